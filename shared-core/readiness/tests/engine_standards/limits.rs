//! Every limit of a boat standard and of the county's policy: just under it passes, just over it is
//! refused in words that name the field, the value and what is allowed. A chapter for each.

#[path = "limits/policy.rs"]
mod policy;
#[path = "limits/sheet.rs"]
mod sheet;

use sponson_readiness::standard::StandardError;
use toml::{Table, Value};

/// Where a value stands; values that pass; values that do not; what the refusal says.
pub(crate) type Row<'a> = (&'a str, &'a [&'a str], &'a [&'a str], &'a str);

/// Holds each row against a text, one value changed at a time.
pub(crate) fn check(
    text: &str,
    rows: &[Row<'_>],
    read: impl Fn(&str) -> Result<(), StandardError>,
) {
    for (path, pass, over, said) in rows {
        for value in *pass {
            let read = read(&changed(text, path, value));
            assert_eq!(read, Ok(()), "{path} = {value} is within");
        }
        for value in *over {
            let refused = read(&changed(text, path, value))
                .expect_err(value)
                .to_string();
            let field = path.rsplit('.').find(|name| name.parse::<usize>().is_err());
            let field = field.expect("a name");
            assert!(refused.contains(said), "{path} = {value}: {refused}");
            assert!(
                refused.contains(field) || refused.contains(&field.replace('_', " ")),
                "{path} = {value} is not named: {refused}"
            );
        }
    }
}

/// The text with one value changed: names and places in lists, parted by points.
pub(crate) fn changed(text: &str, path: &str, value: &str) -> String {
    let mut all = Value::Table(toml::from_str(text).expect("TOML"));
    let value: Table = toml::from_str(&format!("v = {value}")).expect("a value");
    let names: Vec<&str> = path.split('.').collect();
    set(&mut all, &names, &value["v"]);
    toml::to_string(&all).expect("TOML")
}

pub(crate) fn set(at: &mut Value, path: &[&str], value: &Value) {
    let Some((name, rest)) = path.split_first() else {
        *at = value.clone();
        return;
    };
    match at {
        Value::Array(list) => set(
            &mut list[name.parse::<usize>().expect("a place")],
            rest,
            value,
        ),
        Value::Table(table) => {
            let empty = || Value::Table(Table::new());
            set(table.entry(*name).or_insert_with(empty), rest, value);
        }
        Value::String(_)
        | Value::Integer(_)
        | Value::Float(_)
        | Value::Boolean(_)
        | Value::Datetime(_) => panic!("nothing stands in {at}"),
    }
}

/// A value of so many of one character.
pub(crate) fn long(length: usize) -> String {
    format!("'{}'", "x".repeat(length))
}
