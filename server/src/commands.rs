//! The county's own commands, one file each, named as typed.

pub mod admit;
pub mod adopt;
pub mod answer;
pub mod backup;
pub mod bring_in;
pub mod condemn;
pub mod decide;
pub mod devices;
pub mod dismiss;
pub mod gauges;
pub mod hold;
pub mod init;
pub mod kit_moves;
pub mod let_in;
pub mod level;
pub mod lift;
pub mod redact;
pub mod renew_key;
pub mod restore;
pub mod revoke;
pub mod role;
pub mod same_as;
pub mod serve;
pub mod waive;
