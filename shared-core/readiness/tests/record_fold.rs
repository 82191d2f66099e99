//! What stations that worked apart find when they meet: the record of one subject, folded.

#[path = "record_fold/assigning.rs"]
mod assigning;
#[path = "record_fold/back_doors.rs"]
mod back_doors;
#[path = "record_fold/bounds.rs"]
mod bounds;
#[path = "record_fold/checks.rs"]
mod checks;
#[path = "record_fold/corrections.rs"]
mod corrections;
#[path = "record_fold/cylinders.rs"]
mod cylinders;
#[path = "record_fold/desk.rs"]
mod desk;
#[path = "record_fold/disagreements.rs"]
mod disagreements;
#[path = "record_fold/histories.rs"]
mod histories;
#[path = "record_fold/holds.rs"]
mod holds;
#[path = "record_fold/kept.rs"]
mod kept;
#[path = "record_fold/looked_back.rs"]
mod looked_back;
#[path = "record_fold/people.rs"]
mod people;
#[path = "record_fold/properties.rs"]
mod properties;
#[path = "record_fold/registrations.rs"]
mod registrations;
#[path = "record_fold/sealed.rs"]
mod sealed;
#[path = "record_fold/signed_off.rs"]
mod signed_off;
#[path = "record_fold/unconfirmed.rs"]
mod unconfirmed;
