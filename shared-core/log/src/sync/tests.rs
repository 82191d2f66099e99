//! Stations and a county in memory, exchanging through the cores.

mod converge;
mod heard;
mod model;
mod moved;
mod refuse;
