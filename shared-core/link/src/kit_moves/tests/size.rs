//! A county of 500 craft, 60 stations and 40 lines.

use super::super::solve::NODES_MAX;
use super::*;

/// Numbers that look like chance and are the same each time (Knuth, MMIX).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, most: u32) -> u32 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        u32::try_from(self.0 >> 33).expect("31 bits") % most
    }
}

fn long_id(kind: u8, number: u32) -> SubjectId {
    let mut bytes = [kind; 16];
    bytes[1..5].copy_from_slice(&number.to_be_bytes());
    SubjectId::from_bytes(bytes)
}

/// Every third of 500 craft lacks one to three of 40 lines; 60 shelves hold one line in so many, and
/// every other craft has one unit to spare of one line in 20.
fn county(seed: u64, shelf_lines: u32) -> Problem {
    let mut numbers = Numbers(seed);
    let lines: Vec<String> = (0..40).map(|line| format!("line-{line:02}")).collect();
    let mut problem = Problem::default();
    for number in 0..500 {
        let station = long_id(1, numbers.below(60));
        if number % 3 > 0 {
            for line in &lines {
                if numbers.below(40) == 0 {
                    let mut spare = stock(0, 0, line, 1);
                    (spare.id, spare.station) = (long_id(2, number), station);
                    problem.stocks.push(spare);
                }
            }
            continue;
        }
        let mut lacks = BTreeMap::new();
        for _ in 0..=numbers.below(3) {
            let line = lines[usize::try_from(numbers.below(40)).expect("small")].as_str();
            lacks.insert(line, 1 + numbers.below(3));
        }
        let wants: Vec<(&str, u32, &[&str])> = lacks
            .into_iter()
            .map(|(line, units)| (line, units, &[][..]))
            .collect();
        let mut made = taker(0, 0, &wants);
        (made.id, made.station) = (long_id(2, number), station);
        problem.takers.push(made);
    }
    for station in 0..60 {
        for line in &lines {
            if numbers.below(shelf_lines) == 0 {
                let mut spare = stock(0, 0, line, 1 + numbers.below(3));
                (spare.id, spare.station) = (long_id(3, station), long_id(1, station));
                problem.stocks.push(spare);
            }
        }
        for other in 0..station {
            let way = 1_000 + numbers.below(120_000);
            problem
                .metres
                .insert((long_id(1, other), long_id(1, station)), way);
        }
    }
    problem.stocks.sort();
    problem
}

/// Where kit is scarce: a plan that holds, the same each time.
#[test]
fn a_large_county_has_one_plan() {
    let problem = county(2, 40);
    let solved = solve(&problem, NODES_MAX);
    assert_eq!(problem.worth(&solved.plan), Ok(solved.worth));
    assert!(solved.worth.craft > 0);
    assert_eq!(solve(&problem, NODES_MAX), solved);
}

/// Craft that all lack some of three lines, of which each of 60 shelves holds a little: each draws on the
/// same kit, and there is not enough for all.
fn crowd(craft: u32) -> Problem {
    let mut numbers = Numbers(7);
    let lines = ["line-0", "line-1", "line-2"];
    let mut problem = Problem::default();
    for number in 0..craft {
        let mut lacks = BTreeMap::new();
        for _ in 0..=numbers.below(3) {
            let line = lines[usize::try_from(numbers.below(3)).expect("small")];
            lacks.insert(line, 1 + numbers.below(3));
        }
        let wants: Vec<(&str, u32, &[&str])> = lacks
            .into_iter()
            .map(|(line, units)| (line, units, &[][..]))
            .collect();
        let mut made = taker(0, 0, &wants);
        (made.id, made.station) = (long_id(2, number), long_id(1, numbers.below(60)));
        problem.takers.push(made);
    }
    for station in 0..60 {
        for line in lines {
            let mut spare = stock(0, 0, line, 1 + numbers.below(3));
            (spare.id, spare.station) = (long_id(3, station), long_id(1, station));
            problem.stocks.push(spare);
        }
        for other in 0..station {
            let way = 1_000 + numbers.below(120_000);
            let pair = (long_id(1, other), long_id(1, station));
            problem.metres.insert(pair, way);
        }
    }
    problem.stocks.sort();
    problem
}

/// Where the search is cut short there is a plan all the same, and it says so.
#[test]
fn a_crowd_has_a_plan_though_not_the_best() {
    let problem = crowd(500);
    let solved = solve(&problem, NODES_MAX);
    assert_eq!(problem.worth(&solved.plan), Ok(solved.worth));
    assert_eq!(solved.proven, Proven::No);
    // Enough for a third of them: 360 units, and the first to be filled lack one each.
    assert!(solved.worth.craft > 166, "{:?}", solved.worth);
    assert_eq!(solve(&problem, NODES_MAX), solved);
}
