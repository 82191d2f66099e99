//! A question as it stands in the address of a page: the same names and values as the command's
//! arguments, read by the same code.
//!
//! An empty field is not given. What cannot be is told beside its field, and the other values stay.

use clap::error::{ContextKind, ContextValue};
use clap::{ArgAction, CommandFactory as _, FromArgMatches as _, Parser};
use sponson_client::CommandError;
use sponson_client::catalogue::Catalogue;
use sponson_client::commands::call_out::Ways;
use sponson_client::commands::ready::{Launch, Together, Without};
use sponson_proto::answer::v1::Question;
use sponson_show::clean;
use sponson_show::html::{Fault, FormValues};

/// Values that an address can hold: more than there are fields and stations.
const PAIRS_MAX: usize = 200;

/// Names that are for the page alone.
const OF_THE_PAGE: [&str; 2] = ["again", "since"];

/// Words by which a box says that it is not ticked.
const NOT_TICKED: [&str; 3] = ["0", "no", "off"];

/// The field of a launch place by name: the command's `--place` takes both.
const LAUNCH: &str = "launch";

/// Fields that make a question one about a call-out.
const OF_A_CALLOUT: [&str; 5] = [LAUNCH, "place", "travel", "closed", "access"];

/// The field of several craft, with commas between.
const WITHOUT_CRAFT: &str = "without-craft";

/// What may be asked.
#[derive(Debug, Parser)]
#[command(
    no_binary_name = true,
    disable_help_flag = true,
    disable_version_flag = true
)]
struct Typed {
    #[command(flatten)]
    launch: Box<Launch>,
    #[command(flatten)]
    together: Together,
    #[command(flatten)]
    without: Without,
    #[command(flatten)]
    ways: Ways,
}

/// A question as it came.
#[derive(Debug)]
pub(super) struct Asked {
    /// What stood in the fields, and what was wrong with it.
    pub form: FormValues,
    /// The question; none when something was wrong.
    pub question: Option<Question>,
    /// The question's part of the address, without `?`.
    pub query: String,
}

/// One field: its name without dashes, and what stood there.
pub(super) type Pair = (String, String);

/// The pairs of an address or a form, as they came.
///
/// # Errors
/// When it is none, or has too many.
pub(super) fn pairs(query: &str) -> Result<Vec<Pair>, String> {
    let parsed: Result<axum::extract::Query<Vec<Pair>>, _> = format!("/?{query}")
        .parse()
        .map_err(|_| ())
        .and_then(|uri| axum::extract::Query::try_from_uri(&uri).map_err(|_| ()));
    let Ok(axum::extract::Query(pairs)) = parsed else {
        return Err("the address holds what is no text: begin anew".to_owned());
    };
    if pairs.len() > PAIRS_MAX {
        return Err(format!(
            "the address has {} values; at most {PAIRS_MAX} are allowed",
            pairs.len()
        ));
    }
    Ok(pairs)
}

/// Reads a question.
#[must_use]
pub(super) fn read(pairs: Vec<Pair>, catalogue: &Catalogue) -> Asked {
    let given = given(pairs);
    let (question, faults) = match question(&given, catalogue) {
        Ok(question) => (Some(question), Vec::new()),
        Err(whole) => (None, beside(&given, whole, catalogue)),
    };
    Asked {
        query: written(&given),
        form: FormValues::of(given).refused(faults),
        question,
    }
}

/// What was given of it: neither empty nor for the page alone.
pub(super) fn given(pairs: Vec<Pair>) -> Vec<Pair> {
    pairs
        .into_iter()
        .filter(|(name, value)| !OF_THE_PAGE.contains(&name.as_str()) && !value.trim().is_empty())
        .collect()
}

/// The flags of a command for what was given; names that are none are left as they are, so that
/// whoever reads the flags refuses them.
pub(super) fn flags(given: &[Pair], command: &clap::Command) -> Vec<String> {
    let is_box = |name: &str| {
        let mut args = command.get_arguments();
        let arg = args.find(|arg| arg.get_long() == Some(name));
        arg.is_some_and(|arg| matches!(arg.get_action(), ArgAction::SetTrue))
    };
    let has_place = given.iter().any(|(name, _)| name == "place");
    let mut flags = Vec::new();
    for (name, value) in given {
        match name.as_str() {
            // A place beside the name of a launch place stands for it.
            LAUNCH if has_place => {}
            LAUNCH => flags.push(format!("--place={value}")),
            WITHOUT_CRAFT => {
                let numbers = value.split(',').filter(|it| !it.trim().is_empty());
                flags.extend(numbers.map(|number| format!("--{name}={}", number.trim())));
            }
            name if !is_box(name) => flags.push(format!("--{name}={value}")),
            _ if NOT_TICKED.contains(&value.trim()) => {}
            _ => flags.push(format!("--{name}")),
        }
    }
    flags
}

fn question(given: &[Pair], catalogue: &Catalogue) -> Result<Question, Fault> {
    let command = Typed::command();
    let matches = command
        .clone()
        .try_get_matches_from(flags(given, &command))
        .map_err(|error| not_typed(&error, given))?;
    let typed = Typed::from_arg_matches(&matches).map_err(|error| not_typed(&error, given))?;
    let asked = typed.launch.question(catalogue);
    let mut question = asked.map_err(|error| not_read(&error, given))?;
    let together = typed.together.asked();
    question.together = together.map_err(|error| not_read(&error, given))?;
    let without = typed.without.asked(catalogue);
    question.without = without.map_err(|error| not_read(&error, given))?;
    let is_callout = |(name, _): &Pair| OF_A_CALLOUT.contains(&name.as_str());
    if given.iter().any(is_callout) {
        let ways = typed.ways.asked();
        question.callout = Some(ways.map_err(|error| not_read(&error, given))?);
    }
    Ok(question)
}

/// What is wrong with each field alone; with the whole, where none is wrong alone.
fn beside(given: &[Pair], whole: Fault, catalogue: &Catalogue) -> Vec<Fault> {
    let alone = given.iter().filter_map(|pair| {
        let fault = question(std::slice::from_ref(pair), catalogue).err()?;
        // What needs another field is not wrong when that is there.
        let of_it = fault.field == pair.0 || fault.field.is_empty();
        of_it.then(|| Fault {
            field: pair.0.clone(),
            ..fault
        })
    });
    let mut faults: Vec<Fault> = alone.collect();
    if faults.is_empty() || !faults.iter().any(|fault| fault.field == whole.field) {
        faults.push(whole);
    }
    faults.dedup();
    faults
}

/// What a command line would have been refused for.
pub(super) fn not_typed(error: &clap::Error, given: &[Pair]) -> Fault {
    let text = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text.clone()),
        Some(ContextValue::Strings(texts)) => texts.first().cloned(),
        Some(_) | None => None,
    };
    let arg = text(ContextKind::InvalidArg).unwrap_or_default();
    let said = error.to_string();
    let first = said.lines().next().unwrap_or_default();
    let first = first.strip_prefix("error: ").unwrap_or(first);
    Fault {
        field: field_in(&arg, given),
        text: clean(first),
    }
}

/// What the value of a field was refused for.
pub(super) fn not_read(error: &CommandError, given: &[Pair]) -> Fault {
    let said = error.to_string();
    Fault {
        field: field_in(&said, given),
        text: said,
    }
}

/// The field whose flag a text begins with: `--air is ...`.
fn field_in(text: &str, given: &[Pair]) -> String {
    let flag = text.strip_prefix("--").unwrap_or_default();
    let name: String = flag
        .chars()
        .take_while(|c| c.is_ascii_alphanumeric() || *c == '-')
        .collect();
    let is_given = |wanted: &str| given.iter().any(|(given, _)| given == wanted);
    match name.as_str() {
        name if is_given(name) => name.to_owned(),
        "place" if is_given(LAUNCH) => LAUNCH.to_owned(),
        _ => String::new(),
    }
}

/// The pairs as an address holds them.
pub(super) fn written(given: &[Pair]) -> String {
    let parts = given.iter().map(|(name, value)| {
        let (name, value) = (escaped(name), escaped(value));
        format!("{name}={value}")
    });
    parts.collect::<Vec<_>>().join("&")
}

fn escaped(text: &str) -> String {
    let bytes = text.bytes().map(|byte| match byte {
        b'a'..=b'z'
        | b'A'..=b'Z'
        | b'0'..=b'9'
        | b'-'
        | b'_'
        | b'.'
        | b'~'
        | b':'
        | b'@'
        | b',' => char::from(byte).to_string(),
        b' ' => "+".to_owned(),
        _ => format!("%{byte:02X}"),
    });
    bytes.collect()
}

#[cfg(test)]
mod tests {
    use sponson_proto::service::v1::CatalogueReply;

    use super::*;

    fn asked(query: &str) -> Asked {
        let catalogue = Catalogue::new(CatalogueReply::default());
        read(pairs(query).expect("pairs"), &catalogue)
    }

    #[test]
    fn values_are_read_as_the_command_reads_them() {
        let asked = asked("mission=flood&air=-5C&water=&crew=3&tow=on&place=44.9,-103.2&again=9");
        let question = asked.question.expect("a question");
        assert_eq!((question.air_mc, question.water_mc), (Some(-5000), None));
        assert_eq!(question.mission, "flood");
        let conditions = question.conditions.expect("conditions");
        assert!(conditions.tow && conditions.lat_e7 == Some(449_000_000));
        assert_eq!(
            asked.query,
            "mission=flood&air=-5C&crew=3&tow=on&place=44.9,-103.2"
        );
    }

    #[test]
    fn what_cannot_be_is_told_beside_its_field() {
        for (query, field, said) in [
            ("air=warm&water=6C", "air", "air"),
            ("crew=many", "crew", "many"),
            ("crew=0", "crew", "somebody has to"),
            ("place=91,0", "place", "place"),
            ("together=-1", "together", "together"),
            ("ambient=84kPa&altimeter=29.92inHg", "ambient", "altimeter"),
            ("air=5C&air=6C", "air", "multiple"),
            ("missoin=flood", "missoin", "missoin"),
        ] {
            let asked = asked(query);
            assert!(asked.question.is_none(), "{query}");
            let faults = asked.form.faults();
            let told = faults
                .iter()
                .any(|fault| fault.field == field && fault.text.contains(said));
            assert!(told, "{query}: {faults:?}");
        }
    }

    #[test]
    fn every_field_that_is_wrong_is_told_at_once() {
        let asked = asked("air=warm&water=cold&mission=flood");
        let fields: Vec<&str> = asked
            .form
            .faults()
            .iter()
            .map(|fault| fault.field.as_str())
            .collect();
        assert_eq!(fields, ["air", "water"]);
    }

    #[test]
    fn an_address_comes_back_as_it_was_meant() {
        let query = "metar=KXYZ+121853Z+M05/M09+A2992+%26+%3D&mission=a%2Bb";
        let first = asked(query);
        let again = pairs(&first.query).expect("pairs");
        assert_eq!(again, pairs(query).expect("pairs"));
    }

    #[test]
    fn an_address_is_bounded() {
        let many = |count| vec!["closed=A"; count].join("&");
        let fit = pairs(&many(PAIRS_MAX)).map(|pairs| pairs.len());
        assert_eq!(fit.ok(), Some(PAIRS_MAX));
        assert!(pairs(&many(PAIRS_MAX + 1)).is_err());
        // What is no text is no temperature either.
        assert!(asked("air=%FF").question.is_none());
    }
}
