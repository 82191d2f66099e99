//! What was seen in all outputs, and what was wrong with them.

use std::collections::{BTreeMap, BTreeSet};

use sponson_show::terminal::Exit;

use super::shown::{self, Shape};
use crate::world::Reply;

/// Of one output, told at the most.
const OF_ONE_MAX: usize = 3;

/// What was seen.
pub(super) struct Told {
    /// Shapes that pages have with harmless texts; none while they are collected.
    known: Option<BTreeSet<Shape>>,
    shapes: BTreeSet<Shape>,
    wrong: BTreeMap<String, BTreeSet<String>>,
    pub(super) taken: usize,
    pub(super) refused: usize,
    outputs: usize,
}

impl Told {
    /// Collects what pages look like.
    pub(super) const fn collecting() -> Self {
        Self {
            known: None,
            shapes: BTreeSet::new(),
            wrong: BTreeMap::new(),
            taken: 0,
            refused: 0,
            outputs: 0,
        }
    }

    /// Holds outputs against what was collected.
    pub(super) fn holding_against(known: BTreeSet<Shape>) -> Self {
        Self {
            known: Some(known),
            ..Self::collecting()
        }
    }

    /// What was collected.
    pub(super) fn shapes(self) -> BTreeSet<Shape> {
        self.shapes
    }

    fn add(&mut self, what: &str, wrong: Vec<String>) {
        self.outputs += 1;
        if !wrong.is_empty() {
            self.wrong.entry(what.to_owned()).or_default().extend(wrong);
        }
    }

    /// Something is wrong beside the form of an output.
    pub(super) fn wrong(&mut self, what: &str, why: String) {
        self.wrong.entry(what.to_owned()).or_default().insert(why);
    }

    /// What a command wrote for whoever typed the text.
    pub(super) fn terminal(&mut self, what: &str, text: &str) {
        self.add(what, shown::terminal(text));
    }

    /// What a command wrote, as the form that was asked for when it went well.
    pub(super) fn command(&mut self, what: &str, exit: Exit, text: &str, form: Form) {
        let good = matches!(exit, Exit::Fine | Exit::Judged);
        match form {
            Form::Json if good => self.add(what, shown::json(text)),
            Form::Csv if good => self.add(what, shown::csv(text)),
            Form::Words | Form::Json | Form::Csv => self.add(what, shown::lines(text)),
        }
    }

    /// What the programs logged meanwhile.
    pub(super) fn logged(&mut self, text: &str) {
        self.add("logs", shown::lines(text));
        let is_record = |line: &str| line.starts_with("20") && line.contains("Z ");
        let forged = text.lines().filter(|line| !is_record(line));
        let forged: Vec<String> = forged.map(|line| format!("no record: {line:?}")).collect();
        self.add("logs", forged);
    }

    /// A text filled in by a command.
    pub(super) fn filled(&mut self, what: &str, exit: Exit, text: &str) {
        self.terminal(what, text);
        match exit {
            Exit::Fine | Exit::Judged => self.taken += 1,
            Exit::WrongUse | Exit::Refused if text.split_whitespace().count() > 4 => {
                self.refused += 1;
            }
            Exit::WrongUse | Exit::Refused | Exit::Store | Exit::Network => {
                self.wrong(what, format!("refused as {exit:?}: {text}"));
            }
        }
    }

    /// A page or what else came back, by its type.
    pub(super) fn reply(&mut self, what: &str, reply: &Reply) {
        let kind = reply.header("content-type").to_owned();
        let text = &reply.text;
        if reply.status >= 500 {
            self.wrong(what, format!("{}: {text}", reply.status));
        }
        if let Some((name, value)) = reply.headers.get_key_value("set-cookie")
            && !value.starts_with("sponson")
        {
            self.wrong(what, format!("{name}: {value}"));
        }
        let location = reply.header("location");
        if location.starts_with("//")
            || location.contains([':', '\\']) && !location.starts_with('/')
        {
            self.wrong(what, format!("leads to {location}"));
        }
        match kind.split(';').next().unwrap_or_default() {
            "text/html" => self.page(what, text),
            "application/json" => self.add(what, shown::json(text)),
            "text/csv" => self.add(what, shown::csv(text)),
            "text/calendar" => self.add(what, shown::calendar(text)),
            "text/plain" => self.terminal(what, text),
            _ => {}
        }
    }

    /// A page.
    pub(super) fn page(&mut self, what: &str, text: &str) {
        match &self.known {
            None => self.shapes.extend(shown::shapes(text)),
            Some(known) => {
                let wrong = shown::page(text, known);
                self.add(what, wrong);
            }
        }
    }

    /// A calendar.
    pub(super) fn calendar(&mut self, what: &str, text: &str) {
        self.add(what, shown::calendar(text));
    }

    /// A list.
    pub(super) fn csv(&mut self, what: &str, text: &str) {
        self.add(what, shown::csv(text));
    }

    /// Says what was wrong, and how to try it again.
    pub(super) fn end(self, again: &str) {
        eprint_counts(self.taken, self.refused, self.outputs);
        let all = self.wrong.iter().map(|(what, wrong)| {
            let some: Vec<&str> = wrong.iter().take(OF_ONE_MAX).map(String::as_str).collect();
            format!(
                "{what} ({} wrong):\n    {}",
                wrong.len(),
                some.join("\n    ")
            )
        });
        let all: Vec<String> = all.collect();
        assert!(all.is_empty(), "{}\n{again}", all.join("\n"));
        assert!(
            self.taken > 50 && self.refused > 50,
            "texts reached no field"
        );
    }
}

#[expect(
    clippy::print_stderr,
    reason = "counts that a reader of the test asks for"
)]
fn eprint_counts(taken: usize, refused: usize, outputs: usize) {
    eprintln!("{taken} texts taken, {refused} refused, {outputs} outputs looked at");
}

/// What a command was asked to write.
#[derive(Clone, Copy)]
pub(super) enum Form {
    /// Words for a person.
    Words,
    /// JSON.
    Json,
    /// A list.
    Csv,
}
