//! Names near a name that is not known, for whoever mistyped it.

/// Most names offered: more are no help on one line.
const OFFERED_MAX: usize = 3;

/// Names of `known` that are near `name`, the nearest first: at most a third of its letters differ,
/// or one begins with the other.
#[must_use]
pub fn near<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let wanted = plain(name);
    let allowed = (wanted.chars().count() / 3).max(1);
    let mut found: Vec<(usize, &str)> = known
        .into_iter()
        .filter_map(|candidate| {
            let plain = plain(candidate);
            let begins = !wanted.is_empty()
                && (plain.starts_with(&wanted) || wanted.starts_with(&plain) && !plain.is_empty());
            let distance = distance(&wanted, &plain);
            (begins || distance <= allowed).then_some((distance, candidate))
        })
        .collect();
    found.sort();
    found.dedup();
    found
        .into_iter()
        .take(OFFERED_MAX)
        .map(|(_, name)| name.to_owned())
        .collect()
}

/// A name without what people write differently: case, blanks, hyphens, underscores, points.
pub(crate) fn plain(name: &str) -> String {
    name.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_' | '.'))
        .flat_map(char::to_lowercase)
        .collect()
}

/// Letters to insert, delete or replace to get from one name to the other.
fn distance(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (i, c) in one.chars().enumerate() {
        let mut before = i;
        let mut left = i + 1;
        for (cell, d) in row.iter_mut().skip(1).zip(&other) {
            let above = *cell;
            let replaced = before + usize::from(c != *d);
            left = replaced.min(above + 1).min(left + 1);
            before = above;
            *cell = left;
        }
        if let Some(first) = row.first_mut() {
            *first = i + 1;
        }
    }
    row.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_names_come_nearest_first() {
        let known = ["tube-1", "tube-2", "keel", "floor", "transom"];
        for (name, offered) in [
            ("tube1", vec!["tube-1", "tube-2"]),
            ("Tube 2", vec!["tube-2", "tube-1"]),
            ("transon", vec!["transom"]),
            ("tra", vec!["transom"]),
            ("propeller", vec![]),
            ("", vec![]),
        ] {
            assert_eq!(near(name, known), offered, "{name}");
        }
    }

    #[test]
    fn distance_counts_letters() {
        for (one, other, letters) in [("keel", "keel", 0), ("keel", "kel", 1), ("", "abc", 3)] {
            assert_eq!(distance(one, other), letters, "{one} {other}");
        }
    }
}
