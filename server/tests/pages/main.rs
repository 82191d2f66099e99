//! The county's pages over real sockets: who may see and do what, and what a page is told.

mod bounds;
mod doors;
mod due;
mod elsewhere;
mod faults;
mod hostile;
mod limits;
mod network;
mod record;
mod round;
mod shown;
mod signing_in;
mod station;
mod waiting;
mod work;
mod world;
