//! What is asked, and how one typed line becomes part of the check.

use sponson_readiness::standard::{Dated, Item, Part, Question, Standard};

use crate::check_file::{
    AnswerWord, CheckFile, CountLine, FaultLine, ReadingLine, SeverityWord, StowageWord,
};

/// One thing that is asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// Air that the craft stood in.
    Air,
    /// For how long.
    Stood,
    /// Which gauge.
    Gauge,
    /// How it is kept.
    Stowage,
    /// A reading: id and words of the part.
    Reading(String, String),
    /// An answer: id and words of the question.
    Answer(String, String),
    /// A count: id, words and number wanted of the item.
    Count(String, String, u32),
    /// Dates of a counted item.
    Dates(String, String),
    /// A meter.
    Meter(String),
    /// The gauge of a cylinder.
    Cylinder(String),
    /// A fault; asked until nothing is typed.
    Fault,
}

/// All steps of a check, in the standard's order.
pub(super) fn steps(standard: &Standard, meters: &[String], cylinders: &[String]) -> Vec<Step> {
    let holds_air = |part: &&Part| part.pressure.is_some();
    let mut steps = Vec::new();
    if standard.parts.iter().any(|part| part.pressure.is_some()) {
        steps.extend([Step::Air, Step::Stood, Step::Gauge, Step::Stowage]);
    }
    let reading = |part: &Part| Step::Reading(part.id.to_string(), part.label.clone());
    steps.extend(standard.parts.iter().filter(holds_air).map(reading));
    let answer = |line: &Question| Step::Answer(line.id.to_string(), line.label.clone());
    steps.extend(standard.questions.iter().map(answer));
    steps.extend(standard.items.iter().flat_map(count));
    steps.extend(meters.iter().cloned().map(Step::Meter));
    steps.extend(cylinders.iter().cloned().map(Step::Cylinder));
    steps.push(Step::Fault);
    steps
}

fn count(item: &Item) -> Vec<Step> {
    let (id, label) = (item.id.to_string(), item.label.clone());
    let counted = Step::Count(id.clone(), label.clone(), item.count);
    let dates = item.dated.map(|_: Dated| Step::Dates(id, label));
    std::iter::once(counted).chain(dates).collect()
}

impl Step {
    /// What is asked.
    pub(super) fn prompt(&self) -> String {
        match self {
            Self::Air => "Air that the craft stood in".to_owned(),
            Self::Stood => "For how long it has stood there".to_owned(),
            Self::Gauge => "Number of the gauge".to_owned(),
            Self::Stowage => "How it is kept".to_owned(),
            Self::Reading(_, label) => format!("Gauge at {label}"),
            Self::Answer(_, label) => format!("{label}?"),
            Self::Count(_, label, wanted) => format!("How many: {label} (standard: {wanted})"),
            Self::Dates(_, label) => format!("Dates on them: {label}"),
            Self::Meter(number) => format!("Meter of {number}"),
            Self::Cylinder(number) => format!("Gauge of cylinder {number}"),
            Self::Fault => "Fault found".to_owned(),
        }
    }

    /// How to type it.
    pub(super) fn help(&self) -> String {
        let how = match self {
            Self::Air => "for example 41 F",
            Self::Stood => "for example 10 h",
            Self::Gauge => "for example G1",
            Self::Stowage => "rigged, inflated or rolled",
            Self::Reading(..) => {
                "3.4 psi, or 3.4 psi left 3.6 psi; end with ! to stand by an unlikely value"
            }
            Self::Answer(..) => "yes, no, not fitted, could not look, not used here",
            Self::Count(..) => "6, or 6 bad 1 when one of them is not serviceable",
            Self::Dates(..) => {
                "3 x 2027-03, 1 x made 2024-05, 2 x 2027-03 made 2024-05; end with ! to stand by it"
            }
            Self::Meter(_) => "for example 112.4 h",
            Self::Cylinder(_) => "for example 4200 psi",
            Self::Fault => "PART CLASS SEVERITY, for example tube-2 leak major",
        };
        format!("{how}; Enter alone to leave out")
    }
}

/// A refusal in words for somebody who typed one line: without the place in a check file, which
/// she does not see.
pub(super) fn at_prompt(step: &Step, refusal: &str) -> String {
    let place = match step {
        Step::Air => "air".to_owned(),
        Step::Stood => "stood".to_owned(),
        Step::Gauge => "gauge".to_owned(),
        Step::Stowage => "stowage".to_owned(),
        Step::Reading(part, _) => format!("readings.{part}"),
        Step::Answer(line, _) => format!("answers.{line}"),
        Step::Count(item, _, _) | Step::Dates(item, _) => format!("counts.{item}"),
        Step::Meter(number) => format!("meters.{number}"),
        Step::Cylinder(number) => format!("cylinders.{number}"),
        Step::Fault => "faults ".to_owned(),
    };
    let Some(rest) = refusal.strip_prefix(&place) else {
        return refusal.to_owned();
    };
    // The rest of the place ends before a blank or a colon.
    match rest.find([' ', ':']).map(|end| rest.split_at(end)) {
        Some((_, said)) => match said.strip_prefix(':') {
            Some(said) => said.trim_start().to_owned(),
            None => format!("that{said}"),
        },
        None => refusal.to_owned(),
    }
}

/// Puts one typed line into the check.
pub(super) fn fill(file: &mut CheckFile, step: &Step, text: &str) -> Result<(), String> {
    let text = text.trim();
    let some = || Some(text.to_owned());
    match step {
        Step::Air => file.air = some(),
        Step::Stood => file.stood = some(),
        Step::Gauge => file.gauge = some(),
        Step::Stowage => file.stowage = Some(stowage(text)?),
        Step::Reading(part, _) => {
            file.readings.insert(part.clone(), reading(text));
        }
        Step::Answer(line, _) => {
            file.answers.insert(line.clone(), answer(text)?);
        }
        Step::Count(item, _, _) => {
            file.counts.insert(item.clone(), counted(text)?);
        }
        Step::Dates(item, _) => {
            let line = file
                .counts
                .get_mut(item)
                .ok_or("count them first: Enter alone to go on")?;
            line.dates = text.split(',').map(|date| date.trim().to_owned()).collect();
        }
        Step::Meter(number) => {
            file.meters.insert(number.clone(), text.to_owned());
        }
        Step::Cylinder(number) => {
            file.cylinders.insert(number.clone(), text.to_owned());
        }
        Step::Fault => file.faults.push(fault(text)?),
    }
    Ok(())
}

fn stowage(text: &str) -> Result<StowageWord, String> {
    match text.to_lowercase().as_str() {
        "rigged" => Ok(StowageWord::Rigged),
        "inflated" => Ok(StowageWord::Inflated),
        "rolled" => Ok(StowageWord::Rolled),
        other => Err(format!("'{other}' is none of rigged, inflated, rolled")),
    }
}

fn reading(text: &str) -> ReadingLine {
    let (text, affirmed) = match text.strip_suffix('!') {
        Some(text) => (text.trim(), true),
        None => (text, false),
    };
    let (found, left) = match text.split_once("left") {
        Some((found, left)) => (found.trim(), Some(left.trim().to_owned())),
        None => (text, None),
    };
    ReadingLine {
        found: (!found.is_empty()).then(|| found.trim_end_matches(',').to_owned()),
        left,
        affirmed,
        ..ReadingLine::default()
    }
}

fn answer(text: &str) -> Result<AnswerWord, String> {
    match text.to_lowercase().as_str() {
        "y" | "yes" => Ok(AnswerWord::Yes),
        "n" | "no" => Ok(AnswerWord::No),
        "not fitted" => Ok(AnswerWord::NotFitted),
        "could not look" => Ok(AnswerWord::CouldNotLook),
        "not used here" => Ok(AnswerWord::NotUsedHere),
        other => Err(format!(
            "'{other}' is none of yes, no, not fitted, could not look, not used here"
        )),
    }
}

fn counted(text: &str) -> Result<CountLine, String> {
    let number = |text: &str| {
        let text = text.trim();
        text.parse::<u32>()
            .map_err(|_| format!("'{text}' is no whole number: type for example 6 or 6 bad 1"))
    };
    let (count, bad) = match text.split_once("bad") {
        Some((count, bad)) => (number(count)?, number(bad)?),
        None => (number(text)?, 0),
    };
    Ok(CountLine {
        count,
        unserviceable: bad,
        ..CountLine::default()
    })
}

fn fault(text: &str) -> Result<FaultLine, String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let [part, class, severity] = words.as_slice() else {
        return Err("type three words, for example tube-2 leak major".to_owned());
    };
    let severity = match severity.to_lowercase().as_str() {
        "disabling" => SeverityWord::Disabling,
        "restrictive" => SeverityWord::Restrictive,
        "major" => SeverityWord::Major,
        "minor" => SeverityWord::Minor,
        other => {
            return Err(format!(
                "'{other}' is none of disabling, restrictive, major, minor"
            ));
        }
    };
    Ok(FaultLine {
        part: (*part).to_owned(),
        class: (*class).to_owned(),
        severity,
        ..FaultLine::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::tests::sample;

    #[test]
    fn steps_follow_the_standard() {
        let catalogue = sample();
        let craft = catalogue.craft("Boat 3").expect("there");
        let standard = catalogue.standard(craft).expect("adopted").standard;
        let steps = steps(&standard, &["M3".to_owned()], &["C1".to_owned()]);
        let place = |wanted: &str| {
            steps
                .iter()
                .position(|step| step.prompt().contains(wanted))
                .expect(wanted)
        };
        let order = [
            place("Air that"),
            place("tube 1"),
            place("Meter of M3"),
            place("cylinder C1"),
            place("Fault"),
        ];
        assert!(order.is_sorted(), "{order:?}");
        assert_eq!(steps.last(), Some(&Step::Fault));
    }

    #[test]
    fn typed_lines_become_parts_of_the_check() {
        let mut file = CheckFile::default();
        let reading = Step::Reading("tube-1".to_owned(), "tube 1".to_owned());
        let count = Step::Count("flare".to_owned(), "flare".to_owned(), 4);
        let dates = Step::Dates("flare".to_owned(), "flare".to_owned());
        let answer = Step::Answer("hull".to_owned(), "hull sound".to_owned());
        for (step, text) in [
            (&reading, "3.4 psi left 3.6 psi !"),
            (&count, "4 bad 1"),
            (&dates, "3 x 2027-03, 1 x 2028"),
            (&answer, "Y"),
            (&Step::Cylinder("C1".to_owned()), "4200 psi"),
            (&Step::Fault, "tube-2 leak major"),
        ] {
            fill(&mut file, step, text).expect(text);
        }
        let reading = &file.readings["tube-1"];
        assert_eq!(
            (
                reading.found.as_deref(),
                reading.left.as_deref(),
                reading.affirmed
            ),
            (Some("3.4 psi"), Some("3.6 psi"), true)
        );
        assert_eq!(file.counts["flare"].unserviceable, 1);
        assert_eq!(file.counts["flare"].dates.len(), 2);
        assert_eq!(file.answers["hull"], AnswerWord::Yes);
        assert_eq!(file.cylinders["C1"], "4200 psi");
        assert_eq!(file.faults[0].class, "leak");
    }

    #[test]
    fn lines_that_cannot_be_are_refused_with_what_to_type() {
        let answer = Step::Answer("hull".to_owned(), String::new());
        let count = Step::Count("flare".to_owned(), String::new(), 4);
        let dates = Step::Dates("flare".to_owned(), String::new());
        for (step, text, said) in [
            (&answer, "maybe", "none of yes"),
            (&count, "six", "no whole number"),
            (&dates, "2027", "count them first"),
            (&Step::Fault, "tube-2 leak", "three words"),
            (&Step::Fault, "tube-2 leak awful", "none of disabling"),
            (&Step::Stowage, "upside down", "none of rigged"),
        ] {
            let why = fill(&mut CheckFile::default(), step, text).expect_err(text);
            assert!(why.contains(said), "{why}");
        }
    }
}
