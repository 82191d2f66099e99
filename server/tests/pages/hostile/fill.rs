//! Fills every field.

use super::county::County;
use super::fields::{self, Field, How, Quoted};
use super::texts::{EVERYWHERE, Hostile, SOMEWHERE};
use super::told::Told;
use crate::world::Reply;

/// Texts of the second list that are tried in one field.
const OF_THE_REST: usize = 2;

/// A text that harms nothing.
pub(super) const HARMLESS: &str = "plain";

fn all_fields() -> impl Iterator<Item = &'static Field> {
    let lists = [
        fields::FILES,
        fields::AT_THE_COUNTY,
        fields::AT_THE_STATION,
        fields::ON_PAGES,
    ];
    lists.into_iter().flatten()
}

/// Fills each field with a text that harms nothing, and with none.
pub(super) async fn with_harmless(county: &County, told: &mut Told) {
    for (number, field) in all_fields().enumerate() {
        for text in [HARMLESS, ""] {
            one(county, told, field, text, number).await;
        }
    }
}

/// Fills each field with texts that mean harm.
pub(super) async fn with_hostile(county: &County, told: &mut Told, seed: usize, all: bool) {
    for (number, field) in all_fields().enumerate() {
        let begin = (seed + number) * OF_THE_REST % SOMEWHERE.len();
        let count = if all { SOMEWHERE.len() } else { OF_THE_REST };
        let rest = SOMEWHERE.iter().cycle().skip(begin).take(count);
        for Hostile { tries, text } in EVERYWHERE.iter().chain(rest) {
            let before = told.refused + told.taken;
            one(county, told, field, text, number).await;
            let was_told = told.refused + told.taken > before;
            assert!(
                was_told || matches!(field.1, How::File(..)),
                "{}: {tries}",
                field.0
            );
        }
    }
}

async fn one(county: &County, told: &mut Told, (name, how): &Field, text: &str, number: usize) {
    let what = format!("{name} = {text:?}");
    match how {
        How::Word(program, line) => {
            let words = words(line, text);
            let (exit, said) = county.world.run_words(program, &words).await;
            told.filled(&what, exit, &said);
        }
        How::File(quoted, file, program, line) => {
            let path = county.world.path(&format!("filled-{number}"));
            let inside = in_file(*quoted, file, text, number);
            std::fs::write(&path, inside).expect("writes");
            let path = path.to_str().expect("UTF-8");
            let words: Vec<String> = words(line, "")
                .into_iter()
                .map(|word| word.replace("FILE", path))
                .collect();
            let (exit, said) = county.world.run_words(program, &words).await;
            told.filled(&what, exit, &said);
        }
        How::Station(path, form) => {
            let path = path.replace("ID", &county.craft);
            let form = form.replace("{}", &encoded(text));
            let form = format!("token={}&{form}", county.crew.token);
            answered(told, &what, &county.crew.post(&path, &form).await);
        }
        How::County(path, form) => {
            let path = path.replace("ID", &county.craft);
            let form = form.replace("{}", &encoded(text));
            let form = format!("token={}&{form}", county.lead.token);
            answered(told, &what, &county.lead.post(&path, &form).await);
        }
        How::Asked(path) => {
            let path = path.replace("{}", &encoded(text));
            answered(told, &what, &county.lead.get(&path).await);
        }
        How::AskedThere(path) => {
            let path = path.replace("{}", &encoded(text));
            answered(told, &what, &county.crew.get(&path).await);
        }
    }
}

fn answered(told: &mut Told, what: &str, reply: &Reply) {
    told.reply(what, reply);
    match reply.status {
        200..=399 => told.taken += 1,
        400..=499 => told.refused += 1,
        other => told.wrong(what, format!("{other}: {}", reply.text)),
    }
}

/// The words of a line, with the text within them as it is.
fn words(line: &str, text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for (position, piece) in line.split('\'').enumerate() {
        match position % 2 {
            1 => words.push(piece.to_owned()),
            _ => words.extend(piece.split_whitespace().map(str::to_owned)),
        }
    }
    words
        .into_iter()
        .map(|word| word.replace("{}", text))
        .collect()
}

/// A file with the text in it; `N` is a number of its own.
fn in_file(quoted: Quoted, file: &str, text: &str, number: usize) -> String {
    let quoted = match quoted {
        Quoted::Csv => format!("\"{}\"", text.replace('"', "\"\"")),
        Quoted::Json => serde_json::to_string(text).expect("a string"),
    };
    file.replace("oat N", &format!("oat N{number}"))
        .replace("G N", &format!("G N{number}"))
        .replace("{}", &quoted)
}

/// A text in an address or a form: every byte escaped (RFC 3986, 2.1).
pub(super) fn encoded(text: &str) -> String {
    text.bytes().map(|byte| format!("%{byte:02X}")).collect()
}
