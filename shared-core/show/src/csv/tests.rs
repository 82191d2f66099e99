//! The files as they are written, and read back by the library.

use sponson_readiness::answer::CountyAnswer;

use super::*;
use crate::sample;

fn read_back(text: &str) -> Vec<Vec<String>> {
    let mut reader = ::csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(text.as_bytes());
    let lines = reader
        .records()
        .map(|line| line.expect("every line has as many cells"));
    lines
        .map(|line| line.iter().map(str::to_owned).collect())
        .collect()
}

fn lines_of(section: Section, answer: &CountyAnswer) -> usize {
    match section {
        Section::Who => answer.craft.len(),
        Section::Short => answer.missing_kit.len(),
        Section::Overdue => answer.overdue.len(),
        Section::Disagreements => answer.disagreements.iter().map(|it| it.sides.len()).sum(),
        Section::Stations => answer.stations.len(),
    }
}

#[test]
fn every_section_is_read_back_whole() {
    let (answer, ctx) = (sample::county(), sample::context());
    for section in Section::ALL {
        let text = section.table(&answer, &ctx);
        let lines = read_back(&text);
        assert_eq!(lines.len(), 1 + lines_of(section, &answer), "{section:?}");
        assert!(text.ends_with("\r\n"), "{section:?}");
        assert_eq!(lines[0][..2], ["as_of", "mission"], "{section:?}");
        for line in &lines[1..] {
            assert_eq!(
                line[..2],
                ["2026-03-14T12:30:00Z", "swiftwater"],
                "{section:?}"
            );
        }
    }
}

#[test]
fn a_painted_formula_is_text() {
    let mut answer = sample::county();
    answer.missing_kit[0].number = "=HYPERLINK(\"http://x\",\"a,b\")".to_owned();
    answer.missing_kit[0].label = "jacket, \"large\"\r\nand lamp".to_owned();
    let lines = read_back(&short(&answer, &sample::context()));
    let (number, label) = (&lines[1][2], &lines[1][4]);
    assert_eq!(number, "'=HYPERLINK(\"http://x\",\"a,b\")");
    assert_eq!(label, "jacket, \"large\"  and lamp");
}

#[test]
fn a_negative_number_stays_one() {
    let mut answer = sample::county();
    let load = answer.craft[0]
        .load
        .as_mut()
        .expect("the sample has a load");
    load.mass_left_g = Some(-1_500);
    let lines = read_back(&who(&answer, &sample::context()));
    let at = lines[0].iter().position(|name| name == "mass_left_g");
    assert_eq!(lines[1][at.expect("a column")], "-1500");
}

#[test]
fn as_written() {
    let (answer, ctx) = (sample::county(), sample::context());
    let all = Section::ALL.map(|section| {
        let text = section.table(&answer, &ctx).replace("\r\n", "\n");
        format!("{}.csv\n{text}", section.id())
    });
    insta::assert_snapshot!(all.join("\n"), @r#"
    who.csv
    as_of,mission,group,craft,craft_id,model,stations,station_silent,readiness,status,incident,ready_in_min,seats,crew,crew_least,trips,mass_left_g,checked_at,stowage,crews_at_station,crews_until,limits,why,what_to_do
    2026-03-14T12:30:00Z,swiftwater,can go,Boat 3,41414141414141414141414141414141,inflatable-14,Mill Race,no,ready,available,,,4,2,2,,453592,2026-03-14T03:30:00Z,rigged,2,2026-03-14T22:30:00Z,,,
    2026-03-14T12:30:00Z,swiftwater,with limits,Boat 7,42424242424242424242424242424242,inflatable-14,Otter Ferry,yes,ready_with_limits,available,,5,4,2,2,,453592,2026-03-14T03:30:00Z,rigged,2,2026-03-14T22:30:00Z,add air to tube 1 before power is used; by daylight and in clear weather only,tube 1 (port bow) would be 2.61 psi at the launch; at least 3.48 psi wanted; hand flare: date runs out on 2026-04-01 (in 18 days),"bring tube 1 (port bow) to 3.60 psi now, where the craft stands (5 min)"
    2026-03-14T12:30:00Z,swiftwater,not checked,Raft 2,43434343434343434343434343434343,inflatable-14,Mill Race; Otter Ferry,yes,unproven,available,,30,,,2,,,2026-02-20T12:30:00Z,,2,2026-03-14T22:30:00Z,,last full check 22 days ago; every 7 days wanted,do a full check (30 min)
    2026-03-14T12:30:00Z,swiftwater,cannot go,Boat 9,44444444444444444444444444444444,inflatable-14,Mill Race,no,not_ready,out of service: mechanical,,,4,2,2,,453592,2026-03-14T03:30:00Z,rigged,2,2026-03-14T22:30:00Z,,"seam open at transom, starboard, 4 ft forward of the transom: not signed off; declared out of service: mechanical","repair it, then have somebody entitled sign it off"

    short.csv
    as_of,mission,craft,item,label,have,need,short
    2026-03-14T12:30:00Z,swiftwater,Boat 9,life-jacket,life jacket,3,4,1

    overdue.csv
    as_of,mission,craft,line,label,due,days_over,engine_s_over,effect,consequence
    2026-03-14T12:30:00Z,swiftwater,Boat 3,fuel-line,fuel line inspection,2026-02-10,32,9000,note,noted only

    disagreements.csv
    as_of,mission,disagreement,subject,differ,what,side,value,station,member,device,claimed_at,confirmed,entry,until_settled,to_settle
    2026-03-14T12:30:00Z,swiftwater,1,Raft 2,placed_twice,stations differ about where it is,1,Mill Race,Mill Race,17,0101010101010101010101010101010101010101010101010101010101010101,2026-03-14T03:30:00Z,yes,c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1,not offered from either without saying so: go and look,see where it is and record it: sponson move 'Raft 2' PLACE
    2026-03-14T12:30:00Z,swiftwater,1,Raft 2,placed_twice,stations differ about where it is,2,Otter Ferry,Otter Ferry,17,0202020202020202020202020202020202020202020202020202020202020202,2026-03-14T03:30:00Z,yes,c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2,not offered from either without saying so: go and look,see where it is and record it: sponson move 'Raft 2' PLACE

    stations.csv
    as_of,mission,station,station_id,last_heard,age_s,silent,crews,persons,crews_until,operators
    2026-03-14T12:30:00Z,swiftwater,Mill Race,01010101010101010101010101010101,2026-03-14T12:20:00Z,600,no,2,6,2026-03-14T22:30:00Z,214
    2026-03-14T12:30:00Z,swiftwater,Otter Ferry,02020202020202020202020202020202,2026-03-11T12:30:00Z,259200,yes,,,,
    "#);
}

#[test]
fn every_column_is_described() {
    let page = include_str!("../../csv.md");
    let (answer, ctx) = (sample::county(), sample::context());
    for section in Section::ALL {
        let heading = format!("## `{}`", section.id());
        let (_, rest) = page.split_once(&heading).expect("a section of the page");
        let described = rest.split("\n## ").next().unwrap_or_default();
        for name in &read_back(&section.table(&answer, &ctx))[0][2..] {
            let cell = format!("| `{name}` |");
            assert!(described.contains(&cell), "{section:?}: {name}");
        }
    }
}

#[test]
fn every_column_of_what_comes_due_is_described_and_no_name_is_run() {
    use crate::ahead::Show;
    let page = include_str!("../../csv.md");
    let mut ahead = sample::ahead::ahead();
    ahead.due[0].number = "=HYPERLINK(\"x\")".to_owned();
    ahead.shelf[0].label = "@flare".to_owned();
    ahead.late.done[0].number = "+1".to_owned();
    let runs = |cell: &String| cell.starts_with(['=', '@', '+']);
    for list in Show::ALL {
        let lines = read_back(&list.table(&ahead, sample::AS_OF, &sample::context()));
        let heading = format!("## `{}`", list.id());
        let (_, rest) = page.split_once(&heading).expect("a section of the page");
        let described = rest.split("\n## ").next().unwrap_or_default();
        for name in &lines[0][1..] {
            let cell = format!("| `{name}` |");
            assert!(described.contains(&cell), "{list:?}: {name}");
        }
        assert!(
            lines.len() > 1 && !lines.iter().flatten().any(runs),
            "{list:?}"
        );
    }
}
