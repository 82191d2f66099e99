//! Every limit on what is typed, and on files that are named: just under it passes, just over it is
//! refused in words that say what is allowed. A chapter each for what is recorded, asked, read from files,
//! and for single values.

mod asked;
mod files;
mod recorded;
mod values;

use sponson_show::terminal::Exit;

use crate::world::World;

/// Of which program, what is typed with `{}` for the value, a value that passes, one that does not,
/// and what the refusal says.
pub(crate) type Row<'a> = (&'a str, &'a str, &'a str, &'a str, &'a str);

/// Types both values of each row.
pub(crate) async fn check(world: &World, rows: &[Row<'_>]) {
    for (program, line, under, over, said) in rows {
        let (exit, text) = world.run(program, &line.replace("{}", under)).await;
        let passed = matches!(exit, Exit::Fine | Exit::Judged);
        assert!(passed, "{program} {line} with {}: {text}", short(under));
        let (exit, text) = world.run(program, &line.replace("{}", over)).await;
        let refused = matches!(exit, Exit::Refused | Exit::WrongUse);
        assert!(refused, "{program} {line} with {}: {text}", short(over));
        let told: Vec<&str> = text.split_whitespace().collect();
        let told = told.join(" ");
        assert!(told.contains(said), "{line} with {}: {text}", short(over));
    }
}

/// As much of a value as a message needs.
pub(crate) fn short(value: &str) -> String {
    value.chars().take(60).collect()
}

pub(crate) fn long(length: usize) -> String {
    "x".repeat(length)
}
