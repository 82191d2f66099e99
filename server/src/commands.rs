//! The county's own commands, one file each, named as typed.

pub mod admit;
pub mod adopt;
pub mod answer;
pub mod assign;
pub mod bring_in;
pub mod devices;
pub mod dismiss;
pub mod init;
pub mod redact;
pub mod release;
pub mod revoke;
pub mod role;
pub mod serve;
pub mod waive;
