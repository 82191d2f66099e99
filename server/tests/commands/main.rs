//! Every command of the county's and the station's programs, in this process, over real sockets:
//! what it does when all is well, and how it ends when something is not.

mod apart;
mod ask;
mod assigning;
mod back;
mod call_out;
mod clock;
mod corrects;
mod county;
mod decisions;
mod device_clock;
mod devices;
mod due;
mod failures;
mod faults;
mod founding;
mod gauges;
mod holds;
mod in_service;
mod kit_moves;
mod lent;
mod limits;
mod paper;
mod pictures;
mod record;
mod redact;
mod round;
mod upgraded;
mod what_if;
mod words;
mod work;
mod world;
