//! Paper: sheets and labels as files, and what was written on paper, entered afterwards.

use sponson_show::terminal::Exit;

use crate::world::World;

/// Looked at just now.
const JUST_NOW: &str = "craft = 'Boat 3'\nmember = '214'\nextent = 'part'\n\
    [readings.tube-1]\nfound = '2.7 psi'\n";

/// Written on paper the day before by one, entered now by another.
const PAPER: &str = "craft = 'Boat 3'\nmember = '214'\nchecked_by = '212'\nextent = 'part'\n\
    observed = '2026-03-13 08:30'\n[readings.tube-1]\nfound = '3.6 psi'\n";

#[tokio::test(flavor = "multi_thread")]
async fn old_paper_says_whose_it_is_and_does_not_beat_what_was_read_since() {
    let (world, serving) = World::up().await;
    let now = world.file("now.toml", JUST_NOW);
    let paper = world.file("paper.toml", PAPER);
    let marked = "part of a check: 1 reading, from paper, checked by 212";
    world
        .check_all(&[
            (
                &format!("check 'Boat 3' --from {now}"),
                Exit::Fine,
                "1 reading",
            ),
            (
                &format!("check 'Boat 3' --from {paper}"),
                Exit::Fine,
                marked,
            ),
        ])
        .await;
    let (_, log) = world.run("station", "log").await;
    // The table breaks its lines.
    let log = log.split_whitespace().collect::<Vec<_>>().join(" ");
    let marked = "from paper, checked by 212, entered by 214";
    assert!(log.contains(marked), "{log}");
    let (_, differ) = world.run("station", "disagreements --json").await;
    assert!(differ.contains("the worse counts: 2.70 psi"), "{differ}");
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn sheets_and_labels_are_written_whole_and_over_nothing() {
    let (world, serving) = World::up().await;
    let (sheet, label) = (world.path("sheet.html"), world.path("labels.html"));
    let to_sheet = format!("sheet 'boat 3' --out {}", sheet.display());
    let to_labels = format!(
        "label 'Boat 3' 'Boat 4' --address https://north.example.org:7343/ --out {}",
        label.display()
    );
    world
        .check_all(&[
            (&to_sheet, Exit::Fine, "print it from a browser"),
            (&to_sheet, Exit::Refused, "it is there already"),
            (&to_labels, Exit::Fine, "labels.html"),
            ("sheet 'Boat 33'", Exit::Refused, "did you mean Boat 3"),
            (
                "label 'Boat 3' --address north",
                Exit::WrongUse,
                "--address",
            ),
        ])
        .await;
    let sheet = std::fs::read_to_string(sheet).expect("it was written");
    assert!(
        sheet.contains("synced with the county 2026-03-14"),
        "{sheet}"
    );
    let labels = std::fs::read_to_string(label).expect("they were written");
    for number in ["Boat%203", "Boat%204"] {
        let address = format!("https://north.example.org:7343/c/{number}");
        assert_eq!(labels.matches(&address).count(), 1, "{address}");
    }
    serving.end().await;
}
