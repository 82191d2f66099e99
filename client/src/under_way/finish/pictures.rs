//! Pictures of a check under way, as the events that it becomes commit to them.
//!
//! A picture is kept as a file already; its field holds its name.

use std::collections::BTreeSet;

use sponson_log::ids::Digest;
use sponson_proto::service::v1::AppendPicture;
use sponson_replica::PICTURES_MAX;

use super::{FieldName, Fields, Problem};

/// Pictures of fields, each with what it belongs to: a fault by its place among those of the event.
pub(super) fn of(fields: &Fields) -> Vec<AppendPicture> {
    let numbers: BTreeSet<u32> = fields.keys().filter_map(fault).collect();
    let pictures = fields.iter().filter_map(|(name, value)| {
        if !is_picture(name) {
            return None;
        }
        let belongs_to = match fault(name) {
            None => String::new(),
            Some(number) => {
                let ordinal = numbers.iter().position(|it| *it == number)?;
                format!("fault:{ordinal}")
            }
        };
        let picture = Digest::from_hex(value)?.to_bytes();
        Some(AppendPicture {
            belongs_to,
            picture,
        })
    });
    pictures.collect()
}

/// What is wrong with pictures: a field that holds no name of one, and more than one event may have.
pub(super) fn problems(fields: &Fields) -> Vec<Problem> {
    let pictures: Vec<(&FieldName, &String)> =
        fields.iter().filter(|(name, _)| is_picture(name)).collect();
    let problem = |field: &FieldName, why: String| Problem {
        field: field.clone(),
        why,
        stand_by: None,
    };
    let unnamed = pictures
        .iter()
        .filter(|(_, value)| Digest::from_hex(value).is_none());
    let mut wrong: Vec<Problem> = unnamed
        .map(|(field, _)| problem(field, "that is no picture: send it again".to_owned()))
        .collect();
    if let Some((field, _)) = pictures.get(PICTURES_MAX) {
        let why = format!(
            "at most {PICTURES_MAX} pictures go with one check: leave some out, and add them to its \
             entry afterwards"
        );
        wrong.push(problem(field, why));
    }
    wrong
}

fn is_picture(name: &FieldName) -> bool {
    matches!(name, FieldName::Picture(_) | FieldName::FaultPicture(..))
}

fn fault(name: &FieldName) -> Option<u32> {
    if let FieldName::Fault(number, _) | FieldName::FaultPicture(number, _) = name {
        return Some(*number);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(entered: &[(&str, &str)]) -> Fields {
        let read = |(name, value): &(&str, &str)| {
            let name = name.parse().expect("it is a field");
            (name, (*value).to_owned())
        };
        entered.iter().map(read).collect()
    }

    #[test]
    fn a_picture_belongs_to_its_fault_by_its_place_in_the_event() {
        let names = ["a", "b", "c", "d"].map(|letter| letter.repeat(64));
        let entered = fields(&[
            ("picture.3", &names[0]),
            ("fault.2.part", "tube-1"),
            ("fault.5.part", "tube-2"),
            ("fault.5.picture.1", &names[1]),
            ("fault.9.part", "floor"),
            ("fault.9.picture.0", &names[2]),
            ("fault.9.picture.7", &names[3]),
        ]);
        let mut found: Vec<(String, Digest)> = of(&entered)
            .into_iter()
            .map(|it| {
                (
                    it.belongs_to,
                    Digest::parse("picture", &it.picture).expect("a name"),
                )
            })
            .collect();
        found.sort();
        let named = |index: usize| Digest::from_hex(&names[index]).expect("a name");
        let wanted = [
            (String::new(), named(0)),
            ("fault:1".to_owned(), named(1)),
            ("fault:2".to_owned(), named(2)),
            ("fault:2".to_owned(), named(3)),
        ];
        assert_eq!(found, wanted);
        assert_eq!(problems(&entered), []);
    }

    #[test]
    fn what_names_no_picture_is_said_beside_its_field() {
        let wrong = problems(&fields(&[
            ("picture.0", "00ff"),
            ("fault.1.picture.2", "x"),
        ]));
        let named: Vec<String> = wrong.iter().map(|it| it.field.to_string()).collect();
        assert_eq!(named.len(), 2);
        assert!(named.contains(&"picture.0".to_owned()), "{named:?}");
        let name = "a".repeat(64);
        let many: Vec<String> = (0..=PICTURES_MAX)
            .map(|it| format!("picture.{it}"))
            .collect();
        let many: Vec<(&str, &str)> = many.iter().map(|it| (it.as_str(), name.as_str())).collect();
        assert_eq!(problems(&fields(&many)).len(), 1);
        assert_eq!(problems(&fields(&many[1..])), []);
    }
}
