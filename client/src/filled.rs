//! A form that was filled in, read by the arguments of the command that it stands for: what a flag
//! refuses a form refuses with the same words, beside its field.
//!
//! A field has the name of its flag or its place without dashes; `meter.M3` with `113.6h` is
//! `--meter M3=113.6h`. An empty field was not given. It records nothing and knows no page.

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Arg, ArgAction, Args, Command};
use sponson_show::clean;
use sponson_show::html::Fault;

use crate::error::CommandError;

/// One field: its name, and what stood there.
pub type Pair = (String, String);

/// Values of one form: a check of 200 lines has three fields each.
pub const PAIRS_MAX: usize = 600;

/// Longest value: a note of some pages. Longer is a slip of the hand.
pub const VALUE_BYTES_MAX: usize = 8 * 1024;

/// The value of a field; empty when it was not given.
#[must_use]
pub fn value<'a>(given: &'a [Pair], field: &str) -> &'a str {
    let mut pairs = given.iter();
    pairs
        .find(|(name, value)| name == field && !value.trim().is_empty())
        .map_or("", |(_, value)| value.trim())
}

/// Reads the fields of a form; those of the page itself are left out by their names.
///
/// # Errors
/// Every field that is missing or that its flag refuses, each with what to do.
pub fn read<A: Args>(given: &[Pair], of_the_page: &[&str]) -> Result<A, Vec<Fault>> {
    let given = taken(given, of_the_page)?;
    let command = Command::new("form")
        .no_binary_name(true)
        .disable_help_flag(true)
        .disable_version_flag(true);
    let command = A::augment_args(command);
    let mut faults = missing(&command, &given);
    let places_missing = command.get_positionals().any(|place| {
        faults
            .iter()
            .any(|fault| fault.field == place.get_id().as_str())
    });
    let typed = flags(&command, &given, !places_missing);
    match command.try_get_matches_from(typed) {
        Ok(matches) if faults.is_empty() => {
            A::from_arg_matches(&matches).map_err(|error| vec![not_typed(&error, &given)])
        }
        Ok(_) => Err(faults),
        Err(error) => {
            if faults.is_empty() || error.kind() != ErrorKind::MissingRequiredArgument {
                faults.push(not_typed(&error, &given));
            }
            Err(faults)
        }
    }
}

/// What a command refused, beside the field that it is about.
#[must_use]
pub fn refused(error: &CommandError, given: &[Pair]) -> Fault {
    if let CommandError::NobodyToAsk { instead } = error {
        let field = instead.trim_start_matches('-').to_owned();
        let text = "it contradicts itself: correct it, or say here that it is so".to_owned();
        return Fault { field, text };
    }
    let text = error.to_string();
    Fault {
        field: field_of(&text, given),
        text,
    }
}

/// The fields that were filled in, bounded.
fn taken(given: &[Pair], of_the_page: &[&str]) -> Result<Vec<Pair>, Vec<Fault>> {
    let fault = |field: &str, text: String| {
        vec![Fault {
            field: field.to_owned(),
            text,
        }]
    };
    if given.len() > PAIRS_MAX {
        let text = format!(
            "the form has {} fields; at most {PAIRS_MAX} are taken",
            given.len()
        );
        return Err(fault("", text));
    }
    if let Some((name, value)) = given.iter().find(|(_, it)| it.len() > VALUE_BYTES_MAX) {
        let length = value.len();
        let text = format!(
            "{name} is {length} bytes long; at most {VALUE_BYTES_MAX} are kept: shorten it"
        );
        return Err(fault(name, clean(&text)));
    }
    let filled = given
        .iter()
        .filter(|(name, value)| !of_the_page.contains(&name.as_str()) && !value.trim().is_empty());
    Ok(filled
        .map(|(name, value)| (name.clone(), value.trim().to_owned()))
        .collect())
}

/// The flag of a field, and what stands before its value.
fn flag_of(command: &Command, name: &str) -> (String, String) {
    let (head, key) = name.split_once('.').unwrap_or((name, ""));
    let is_known = |wanted: &str| {
        command
            .get_arguments()
            .any(|arg| arg.get_long() == Some(wanted))
    };
    if !key.is_empty() && is_known(head) {
        return (head.to_owned(), format!("{key}="));
    }
    (name.to_owned(), String::new())
}

/// The fields as a command line.
fn flags(command: &Command, given: &[Pair], has_places: bool) -> Vec<String> {
    let place = |name: &str| command.get_positionals().any(|arg| arg.get_id() == name);
    let mut typed = Vec::new();
    for (name, value) in given.iter().filter(|(name, _)| !place(name)) {
        let (flag, before) = flag_of(command, name);
        let mut all = command.get_arguments();
        let arg = all.find(|arg| arg.get_long() == Some(flag.as_str()));
        let is_box = arg.is_some_and(|arg| matches!(arg.get_action(), ArgAction::SetTrue));
        typed.push(if is_box {
            format!("--{flag}")
        } else {
            format!("--{flag}={before}{value}")
        });
    }
    if has_places {
        typed.push("--".to_owned());
        for arg in command.get_positionals() {
            let name = arg.get_id().as_str();
            let values = given.iter().filter(|(known, _)| known == name);
            typed.extend(values.map(|(_, value)| value.clone()));
        }
    }
    typed
}

/// What must be given and was not.
fn missing(command: &Command, given: &[Pair]) -> Vec<Fault> {
    let name = |arg: &Arg| arg.get_long().unwrap_or(arg.get_id().as_str()).to_owned();
    let is_given = |wanted: &str| given.iter().any(|(known, _)| known == wanted);
    let needed = command.get_arguments().filter(|arg| arg.is_required_set());
    needed
        .map(|arg| (name(arg), arg))
        .filter(|(name, _)| !is_given(name))
        .map(|(name, arg)| {
            let help = arg.get_help().map(ToString::to_string).unwrap_or_default();
            let help = help.trim_end_matches('.');
            Fault {
                field: name,
                text: format!("nothing was given. It says: {help}"),
            }
        })
        .collect()
}

/// What a command line would have been refused for.
fn not_typed(error: &clap::Error, given: &[Pair]) -> Fault {
    let text = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text.clone()),
        Some(ContextValue::Strings(texts)) => texts.first().cloned(),
        Some(_) | None => None,
    };
    let arg = text(ContextKind::InvalidArg).unwrap_or_default();
    let said = error.to_string();
    let mut lines = said.lines().map(str::trim);
    let first = lines.next().unwrap_or_default();
    let first = first.strip_prefix("error: ").unwrap_or(first);
    let possible = lines.find(|line| line.starts_with("[possible values"));
    let missing = error.kind() == ErrorKind::MissingRequiredArgument;
    let text = match possible {
        _ if missing => "nothing was given".to_owned(),
        Some(possible) => format!("{first} {possible}"),
        None => first.to_owned(),
    };
    Fault {
        field: field_of(&arg, given),
        text: clean(&text),
    }
}

/// The field that a text begins with, `--air is ...` or `PART: ...`; else the one whose value it
/// quotes; empty where it is none.
fn field_of(text: &str, given: &[Pair]) -> String {
    let word = text.split([' ', ':', '=']).next().unwrap_or_default();
    let word = word.trim_matches(['-', '<', '>', '[', ']', '.']);
    // A place of the command line is named so, also where nothing was given for it.
    let is_place = word.len() > 1 && word.bytes().all(|it| it.is_ascii_uppercase());
    let word = word.to_lowercase().replace('_', "-");
    let quoted = |value: &str| value.chars().count() > 1 && text.contains(value);
    let of_word = |name: &str| {
        let head = name.split('.').next().unwrap_or_default();
        name == word || head == word
    };
    let named: Vec<&Pair> = given.iter().filter(|(name, _)| of_word(name)).collect();
    let mut of_several = named
        .iter()
        .filter(|(_, value)| text.contains(value.trim()));
    if let Some((name, _)) = of_several.next().or_else(|| named.first()) {
        return name.clone();
    }
    if text.starts_with("--") || is_place {
        return word;
    }
    let mut others = given.iter().filter(|(_, value)| quoted(value.trim()));
    others
        .next()
        .map_or_else(String::new, |(name, _)| name.clone())
}

#[cfg(test)]
mod tests;
