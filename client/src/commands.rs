//! The commands, one file each, named as typed.

pub mod about;
pub mod air;
pub mod back;
pub mod carry;
pub mod check;
pub mod crews;
pub mod disagreements;
pub mod due;
pub mod fault;
pub mod inspect;
pub mod join;
pub mod log;
pub mod r#move;
pub mod number;
pub mod out;
pub mod prove;
pub mod ready;
pub mod reckon;
pub mod repair;
pub mod salvage;
pub mod serve;
pub mod sign_off;
pub mod sync;
pub mod r#use;
pub mod verify;
pub mod withdraw;
