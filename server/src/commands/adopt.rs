//! `adopt`: puts boat standards and the policy in force.

use std::path::{Path, PathBuf};

use clap::Args;
use sponson_client::catalogue::Catalogue;
use sponson_client::session::{Record, Session};
use sponson_client::{Surroundings, taken_file};
use sponson_proto::event::v1::{BoatStandard, Kind, Policy as PolicyMessage};
use sponson_readiness::standard::{Policy, SHEET_MAX, Standard, built_in};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::error::CountyError;

/// Put boat standards in force: built-in ones by name, or the lead's own from files.
///
/// To edit a built-in one: sponson-county adopt --show inflatable-14 > my.toml
#[derive(Args, Debug)]
pub struct AdoptArgs {
    /// Names of built-in boat standards, or files.
    #[arg(required_unless_present_any = ["policy", "show"])]
    sheet: Vec<String>,
    /// File of the county's settings for judging.
    #[arg(long, value_name = "FILE")]
    policy: Option<PathBuf>,
    /// Print a built-in sheet, or policy for the built-in settings, and adopt nothing.
    #[arg(long, value_name = "NAME", conflicts_with_all = ["sheet", "policy"])]
    show: Option<String>,
}

impl AdoptArgs {
    /// Nothing is adopted, only shown.
    pub(crate) const fn only_shows(&self) -> bool {
        self.show.is_some()
    }
}

/// Prints a built-in sheet.
///
/// # Errors
/// When there is none of this name.
pub fn show(args: &AdoptArgs, surroundings: &mut Surroundings) -> Result<Exit, CountyError> {
    let name = args.show.as_deref().unwrap_or_default();
    let text = if name == "policy" {
        Policy::default_text()
    } else {
        built_in_text(name).ok_or_else(|| no_sheet(name))?
    };
    surroundings.terminal().result(text)?;
    Ok(Exit::Fine)
}

/// A sheet that reads, with the revision that it gets.
struct Sheet {
    model: String,
    revision: u32,
    text: String,
}

/// Reads all sheets, and only when all of them are right records them.
///
/// # Errors
/// When a sheet is not there or not right, or the service refuses.
pub async fn run(args: &AdoptArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let mut sheets: Vec<Sheet> = Vec::new();
    for name in &args.sheet {
        let earlier = sheets.iter().rev();
        let text = text_of(name)?;
        let parsed = parse(name, &text)?;
        let model = parsed.model.to_string();
        let in_force = earlier
            .filter(|sheet| sheet.model == model)
            .map(|sheet| sheet.revision)
            .next()
            .or_else(|| revision_in_force(&catalogue, &model));
        let revision = in_force.unwrap_or(0).saturating_add(1);
        let text = with_revision(&text, revision);
        parse(name, &text)?;
        sheets.push(Sheet {
            model,
            revision,
            text,
        });
    }
    let policy = args.policy.as_deref().map(policy_of).transpose()?;
    for sheet in sheets {
        adopt_sheet(sheet, &catalogue, session).await?;
    }
    if let Some(text) = policy {
        let message = PolicyMessage { format: 1, text };
        let event = session
            .record(Kind::Policy, &message, Record::default())
            .await?;
        session.recorded("policy: in force", &event)?;
    }
    Ok(Exit::Fine)
}

async fn adopt_sheet(
    sheet: Sheet,
    catalogue: &Catalogue,
    session: &mut Session<'_>,
) -> Result<(), CountyError> {
    let model = clean(&sheet.model);
    let before = sheet.revision.saturating_sub(1);
    let same = catalogue.standards().any(|held| {
        held.model == sheet.model && with_revision(&held.text, sheet.revision) == sheet.text
    });
    if same {
        let line = format!("{model}: in force already as revision {before}, word for word");
        return Ok(session.terminal().result(&line)?);
    }
    let revision = sheet.revision;
    let message = BoatStandard {
        model: sheet.model,
        revision,
        format: 1,
        text: sheet.text,
    };
    let event = session
        .record(Kind::BoatStandard, &message, Record::default())
        .await?;
    Ok(session.recorded(&format!("{model}: revision {revision} in force"), &event)?)
}

fn revision_in_force(catalogue: &Catalogue, model: &str) -> Option<u32> {
    catalogue
        .standards()
        .find(|held| held.model == model)
        .map(|held| held.revision)
}

fn parse(name: &str, text: &str) -> Result<Standard, CountyError> {
    Standard::parse(text).map_err(|source| CountyError::Standard {
        name: clean(name),
        source,
    })
}

fn policy_of(file: &Path) -> Result<String, CountyError> {
    let text = read(file)?;
    Policy::parse(&text).map_err(|source| CountyError::Standard {
        name: clean(&file.display().to_string()),
        source,
    })?;
    Ok(text)
}

fn text_of(name: &str) -> Result<String, CountyError> {
    if let Some(text) = built_in_text(name) {
        return Ok(text.to_owned());
    }
    let file = Path::new(name);
    if file.exists() {
        return read(file);
    }
    Err(no_sheet(name))
}

fn read(file: &Path) -> Result<String, CountyError> {
    let name = clean(&file.display().to_string());
    let bytes_max = u64::try_from(SHEET_MAX).unwrap_or(u64::MAX);
    let remedy = "shorten labels, sources or comments";
    Ok(taken_file::text(&name, file, bytes_max, remedy)?)
}

fn built_in_text(name: &str) -> Option<&'static str> {
    built_in()
        .into_iter()
        .find(|(built, _)| *built == name)
        .map(|(_, text)| text)
}

fn no_sheet(name: &str) -> CountyError {
    CountyError::NoSheet {
        name: clean(name),
        built_in: built_in().map(|(name, _)| name.to_owned()).to_vec(),
    }
}

/// The sheet with its revision line set; the line stands before the first table.
fn with_revision(text: &str, revision: u32) -> String {
    let mut before_tables = true;
    let lines = text.lines().map(|line| {
        before_tables &= !line.trim_start().starts_with('[');
        let is_revision = line
            .split_once('=')
            .is_some_and(|(key, _)| key.trim() == "revision");
        if before_tables && is_revision {
            format!("revision = {revision}\n")
        } else {
            format!("{line}\n")
        }
    });
    lines.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_sheet_takes_its_next_revision() {
        for (name, text) in built_in() {
            let next = parse(name, &with_revision(text, 7)).expect(name);
            assert_eq!((next.revision, next.model.as_str()), (7, name));
        }
    }

    #[test]
    fn only_the_sheets_own_revision_is_set() {
        let text = "revision = 1\n[item]\nrevision = 1\n";
        assert_eq!(
            with_revision(text, 2),
            "revision = 2\n[item]\nrevision = 1\n"
        );
    }
}
