//! Texts and pictures beside an event: each text is here, was removed, or came to this copy without.

use std::borrow::Cow;

use sponson_proto::event::v1::{Beside, BesideType, Header};
use sponson_proto::service::v1::{LogLine, RemovedText};

/// What became of one text.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum TextBeside<'a> {
    /// It is here.
    Here(Cow<'a, str>),
    /// The lead had it removed.
    Removed(&'a RemovedText),
    /// Its event came without it.
    NotHere,
}

/// The texts that an event's header commits to: what each belongs to, and what became of it.
pub(crate) fn texts<'a>(
    line: &'a LogLine,
    header: &'a Header,
) -> impl Iterator<Item = (&'a str, TextBeside<'a>)> {
    let texts = (0_u32..).zip(&header.beside);
    let texts = texts.filter(|(_, it)| it.r#type() != BesideType::Jpeg);
    texts.map(|(index, committed)| {
        let mut here = line.event.iter().flat_map(|event| &event.beside);
        let content = here.find(|content| content.index == index);
        let removed = line.removed.iter().find(|it| it.index == index);
        let text = match (content, removed) {
            (Some(content), _) => TextBeside::Here(String::from_utf8_lossy(&content.content)),
            (None, Some(removed)) => TextBeside::Removed(removed),
            (None, None) => TextBeside::NotHere,
        };
        (committed.belongs_to.as_str(), text)
    })
}

/// The pictures that an event's header commits to, each with its removal when the lead had it removed.
pub(crate) fn pictures<'a>(
    line: &'a LogLine,
    header: &'a Header,
) -> impl Iterator<Item = (&'a Beside, Option<&'a RemovedText>)> {
    let pictures = (0_u32..).zip(&header.beside);
    let pictures = pictures.filter(|(_, it)| it.r#type() == BesideType::Jpeg);
    pictures.map(|(index, committed)| {
        let removed = line.removed.iter().find(|it| it.index == index);
        (committed, removed)
    })
}

/// The text that belongs to something; none when the event was written without one.
pub(crate) fn text<'a>(
    line: &'a LogLine,
    header: &'a Header,
    belongs_to: &str,
) -> Option<TextBeside<'a>> {
    let mut all = texts(line, header);
    all.find(|(to, _)| *to == belongs_to).map(|(_, text)| text)
}
