use clap::Parser as _;
use sponson_readiness::standard::{Policy, Standard, built_in};

use super::{HeldArgs, Tests};

#[derive(clap::Parser)]
struct Typed {
    #[command(flatten)]
    args: HeldArgs,
}

fn read(inspection: &str, words: &str) -> Result<Tests, String> {
    let sheets = built_in();
    let (_, sheet) = sheets
        .iter()
        .find(|(name, _)| *name == "inflatable-14")
        .expect("a built-in sheet");
    let standard = Standard::parse(sheet).expect("a sheet");
    let policy = Policy::parse(Policy::default_text()).expect("a policy");
    let words = ["inspect"].into_iter().chain(words.split_whitespace());
    let args = Typed::parse_from(words).args;
    let tests = args.read(inspection, &standard, &policy.hold);
    tests.map_err(|error| error.to_string())
}

/// Row 28 and row 32 of the trade's worked values.
#[test]
fn what_was_read_is_judged_and_stated_with_its_values() {
    let words = "--part tube-1 --start 260mbar@80F --end 200mbar@60F --hours 24 \
                 --part tube-2 --start 240mbar@60F --end 245mbar@80F";
    let tests = read("hold-test", words).expect("two parts");
    assert!(tests.lost_too_much());
    let messages = tests.messages();
    assert_eq!(messages.len(), 2);
    assert_eq!(messages[0].part, "tube-1");
    assert_eq!(
        (messages[0].start_gauge_pa, messages[0].end_gauge_pa),
        (26_000, 20_000)
    );
    assert_eq!(
        (messages[0].start_mc, messages[0].end_mc),
        (Some(26_667), Some(15_556))
    );
    assert_eq!(messages[0].start_ambient_pa, None);
    assert_eq!(messages[1].duration_s, 86_400);
    let lines = tests.lines().join("\n");
    for said in [
        "tube-1: passed",
        "tube-2: test for leaks",
        "gas law",
        "linear",
        "not tested: tube-3",
    ] {
        assert!(lines.contains(said), "{said}: {lines}");
    }
}

#[test]
fn a_contradiction_is_asked_back() {
    let lost = "--part tube-1 --start 250mbar@70F --end 219mbar@70F --hours 24";
    let tests = read("hold-test", lost).expect("a test");
    assert!(
        tests
            .contradicts(true)
            .is_some_and(|it| it.contains("test for leaks"))
    );
    assert_eq!(tests.contradicts(false), None);
    let short = "--part tube-1 --start 250mbar --end 249mbar --hours 10";
    let tests = read("hold-test", short).expect("a test");
    assert!(
        tests
            .contradicts(true)
            .is_some_and(|it| it.contains("proves nothing"))
    );
    let good = "--part tube-1 --start 250mbar --end 240mbar --hours 24";
    assert_eq!(
        read("hold-test", good).expect("a test").contradicts(true),
        None
    );
    assert!(read("seams", "").expect("no test").is_empty());
}

#[test]
fn what_does_not_fit_is_refused() {
    for (inspection, words, said) in [
        (
            "seams",
            "--part tube-1 --start 250mbar --end 240mbar --hours 24",
            "no hold test",
        ),
        (
            "hold-test",
            "--part transom --start 250mbar --end 240mbar --hours 24",
            "holds air",
        ),
        (
            "hold-test",
            "--part tube-1 --start 250mbar --hours 24",
            "once for each",
        ),
        (
            "hold-test",
            "--start 250mbar --end 240mbar --hours 24",
            "once for each",
        ),
        (
            "hold-test",
            "--part tube-1 --start 250mbar --end 240mbar",
            "once for each",
        ),
    ] {
        let Err(error) = read(inspection, words) else {
            panic!("read: {words}");
        };
        assert!(error.contains(said), "{words}: {error}");
    }
}
