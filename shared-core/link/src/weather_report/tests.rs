//! Reports, group by group.
