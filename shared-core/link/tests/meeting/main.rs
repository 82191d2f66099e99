//! Replicas meeting over real sockets on this machine: TLS, admission, sync, the local service.
//!
//! Every test has a county and stations of its own in folders of its own, on ports that the system
//! chooses, and ends within [`world::LIMIT`].

mod admission;
mod answer;
mod between;
mod bounds;
mod by_itself;
mod crowd;
mod cut;
mod frames;
mod given;
mod guard;
mod hello;
mod limits;
mod local;
mod packed;
mod pictures;
mod places;
mod put_back;
mod raw;
mod roles;
mod shapes;
mod slow;
mod strangers;
mod sync;
mod taken_file;
mod takeover;
mod trying;
mod under_way;
mod versions;
mod wire;
mod world;
