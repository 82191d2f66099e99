//! Shapes of single groups: what one group of letters and digits says. No group is compared with
//! another here.

use sponson_readiness::weather_report::{Reach, ReportedDistance, ReportedWind};

/// Strongest wind that a group is believed, mm/s: as for wind by hand.
const WIND_MAX_MM_S: u32 = 120_000;

/// Coldest and warmest air that a group is believed, whole degrees: beyond any on record (-89.2 and
/// 56.7, WMO).
const AIR_C: std::ops::RangeInclusive<i32> = -90..=60;

/// Altimeter settings that are believed, pascal: beyond any on record at the sea (870 and 1084 hPa,
/// from memory).
const ALTIMETER_PA: std::ops::RangeInclusive<i64> = 85_000..=110_000;

/// Pascal of an inch of mercury, in thousandths (NIST SP 811: 3386.389).
const INCH_MPA: i64 = 3_386_389;

/// Millimetres of a statute mile.
const MILE_MM: u32 = 1_609_344;

const DESCRIPTORS: [&str; 8] = ["MI", "PR", "BC", "DR", "BL", "SH", "TS", "FZ"];

const PHENOMENA: [&str; 22] = [
    "DZ", "RA", "SN", "SG", "IC", "PL", "GR", "GS", "UP", "BR", "FG", "FU", "VA", "DU", "SA", "HZ",
    "PY", "PO", "SQ", "FC", "SS", "DS",
];

/// Whether a text is digits alone, and has any.
pub(super) fn all_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

/// Four letters and digits, a letter first.
pub(super) fn is_station(group: &str) -> bool {
    let mut bytes = group.bytes();
    let first = bytes.next().is_some_and(|byte| byte.is_ascii_uppercase());
    let rest = bytes.all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit());
    group.len() == 4 && first && rest && !matches!(group, "AUTO" | "TEMP")
}

/// How a report came about: by itself, put right, late.
pub(super) fn is_modifier(group: &str) -> bool {
    let corrected = group.len() == 3 && group.starts_with("CC");
    corrected || matches!(group, "AUTO" | "COR" | "RTD")
}

/// Whether a value was not measured: strokes alone, with or without its unit.
pub(super) fn is_missing(group: &str) -> bool {
    let units = ["KT", "MPS", "KMH", "SM"];
    let bare = units.iter().find_map(|unit| group.strip_suffix(unit));
    let bare = bare.unwrap_or(group);
    let bare = bare.strip_prefix(['A', 'Q']).unwrap_or(bare);
    bare.starts_with("//") && bare.bytes().all(|byte| byte == b'/')
}

/// Wind, for example `31014G32KT`, `VRB03KT`, `24004MPS`, `140P99KT`.
pub(super) fn wind(group: &str) -> Option<ReportedWind> {
    let units = ["KT", "MPS", "KMH"];
    let (bare, unit) = units
        .iter()
        .find_map(|unit| Some((group.strip_suffix(unit)?, *unit)))?;
    let (from, speeds) = bare.split_at_checked(3)?;
    if from != "VRB" && from != "///" && !from.parse::<u32>().is_ok_and(|from| from <= 360) {
        return None;
    }
    let (mean, gust) = match speeds.split_once('G') {
        Some((mean, gust)) => (mean, Some(gust)),
        None => (speeds, None),
    };
    let (mean_mm_s, reach) = speed(mean, unit)?;
    let gust = gust.filter(|gust| *gust != "//");
    let gust = gust.map(|gust| speed(gust, unit));
    let (gust_mm_s, gust_reach) = match gust {
        Some(read) => read.map(|(mm_s, reach)| (Some(mm_s), reach))?,
        None => (None, Reach::Exact),
    };
    let wind = ReportedWind {
        mean_mm_s,
        gust_mm_s,
        reach: reach.max(gust_reach),
    };
    let is_gust = gust_mm_s.is_none_or(|gust| gust >= mean_mm_s);
    (is_gust && wind.counts_mm_s() <= WIND_MAX_MM_S).then_some(wind)
}

/// Two or three digits, after P or ABV the value or more.
fn speed(text: &str, unit: &str) -> Option<(u32, Reach)> {
    let more = text.strip_prefix('P').or(text.strip_prefix("ABV"));
    let digits = more.unwrap_or(text);
    if !all_digits(digits) || !(2..=3).contains(&digits.len()) {
        return None;
    }
    let value: u32 = digits.parse().ok()?;
    let mm_s = match unit {
        "KT" => (value * 9_260 + 9) / 18,
        "KMH" => (value * 5_000 + 9) / 18,
        _ => value * 1_000,
    };
    let reach = if more.is_some() {
        Reach::OrMore
    } else {
        Reach::Exact
    };
    Some((mm_s, reach))
}

/// How wind varied, for example `280V340`.
pub(super) fn is_wind_range(group: &str) -> bool {
    let both = group.split_once('V');
    both.is_some_and(|(from, to)| [from, to].iter().all(|it| it.len() == 3 && all_digits(it)))
}

/// A distance of sight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sight {
    /// The prevailing one.
    Prevailing(ReportedDistance),
    /// The least, in one direction.
    Least(ReportedDistance),
}

/// Visibility of one group: `CAVOK`, `0800`, `1200NE`, `4000NDV`, `10SM`, `M1/4SM`, `P6SM`, `10KM`; of two
/// (`1` and `1/2SM`) with the whole miles given.
pub(super) fn visibility(group: &str, whole: u32) -> Option<Sight> {
    let exactly = |metres, reach| Some(Sight::Prevailing(ReportedDistance { metres, reach }));
    if group == "CAVOK" {
        return exactly(10_000, Reach::OrMore);
    }
    if let Some(bare) = group.strip_suffix("SM") {
        return miles(bare, whole).map(Sight::Prevailing);
    }
    if let Some(bare) = group.strip_suffix("KM").filter(|bare| all_digits(bare)) {
        let km: u32 = bare.parse().ok().filter(|km| *km <= 99)?;
        return exactly(km * 1_000, Reach::Exact);
    }
    let (reach, bare) = bound(group);
    let (digits, way) = bare.split_at_checked(4).filter(|(it, _)| all_digits(it))?;
    let metres = digits.parse().ok()?;
    let far = match metres {
        0 => ReportedDistance {
            metres: 50,
            reach: Reach::Below,
        },
        9_999 => ReportedDistance {
            metres: 10_000,
            reach: Reach::OrMore,
        },
        metres => ReportedDistance { metres, reach },
    };
    match way {
        "" | "NDV" => Some(Sight::Prevailing(far)),
        "N" | "NE" | "E" | "SE" | "S" | "SW" | "W" | "NW" => Some(Sight::Least(far)),
        _ => None,
    }
}

/// Less than (`M`), or more than (`P`).
fn bound(group: &str) -> (Reach, &str) {
    match (group.strip_prefix('M'), group.strip_prefix('P')) {
        (Some(bare), _) => (Reach::Below, bare),
        (None, Some(bare)) => (Reach::OrMore, bare),
        (None, None) => (Reach::Exact, group),
    }
}

fn miles(bare: &str, whole: u32) -> Option<ReportedDistance> {
    let (reach, bare) = bound(bare);
    let number = |text: &str| -> Option<u32> {
        let short = all_digits(text) && text.len() <= 2;
        text.parse().ok().filter(|_| short)
    };
    let (over, under) = match bare.split_once('/') {
        Some((over, under)) => (number(over)?, number(under).filter(|under| *under > 0)?),
        None => (number(bare)?, 1),
    };
    // Only a part of a mile follows whole miles.
    if whole > 0 && over >= under {
        return None;
    }
    let mm = MILE_MM.checked_mul(whole * under + over)? / under;
    Some(ReportedDistance {
        metres: (mm + 500) / 1_000,
        reach,
    })
}

/// Present weather by its codes of two letters, for example `+TSRA`, `-SN`, `VCFG`.
pub(super) fn weather(group: &str) -> Option<Vec<&str>> {
    let bare = group.strip_prefix(['+', '-']).unwrap_or(group);
    let bare = bare.strip_prefix("VC").unwrap_or(bare);
    if !bare.is_ascii() || bare.is_empty() || bare.len() > 10 || !bare.len().is_multiple_of(2) {
        return None;
    }
    let codes: Vec<&str> = (0..bare.len())
        .step_by(2)
        .filter_map(|at| bare.get(at..at + 2))
        .collect();
    let known = |code: &&str| DESCRIPTORS.contains(code) || PHENOMENA.contains(code);
    codes.iter().all(known).then_some(codes)
}

/// Whether weather is of the sort that the navigation rules name: fog, mist, falling snow, heavy
/// rainstorms, sandstorms and the like (33 CFR 83.03(l)). Light snow and weather in the vicinity go by
/// the distance that is reported.
pub(super) fn restricts(group: &str, codes: &[&str]) -> bool {
    let heavy = group.starts_with('+');
    let light = group.starts_with('-');
    let always = ["FG", "BR", "SS", "DS", "PY"];
    let snow = codes.contains(&"SN") && !light && !codes.contains(&"DR");
    let near = !group.trim_start_matches(['+', '-']).starts_with("VC");
    let named = codes.iter().any(|code| always.contains(code));
    near && (named || snow || heavy && codes.contains(&"RA"))
}

/// Whether weather may restrict visibility where no distance is reported.
pub(super) fn may_restrict(codes: &[&str]) -> bool {
    let may = [
        "SN", "SG", "FU", "VA", "DU", "SA", "HZ", "UP", "PO", "FC", "BL",
    ];
    codes.iter().any(|code| may.contains(code))
}

/// Clouds, or that there are none.
pub(super) fn is_cloud(group: &str) -> bool {
    if matches!(group, "SKC" | "CLR" | "NSC" | "NCD" | "NSW") {
        return true;
    }
    let amounts = ["FEW", "SCT", "BKN", "OVC", "VV", "///"];
    let height = amounts.iter().find_map(|it| group.strip_prefix(it));
    let height = height.and_then(|rest| rest.split_at_checked(3));
    height.is_some_and(|(height, sort)| {
        (all_digits(height) || height == "///") && matches!(sort, "" | "CB" | "TCU" | "///")
    })
}

/// Runway, recent weather, wind shear, sea, colour state: of no use here.
pub(super) fn is_other(group: &str) -> bool {
    let runway = |group: &str| {
        let bare = group
            .strip_prefix('R')
            .and_then(|bare| bare.split_once('/'));
        bare.is_some_and(|(way, _)| way.get(..2).is_some_and(all_digits))
    };
    let state = |group: &str| {
        let state = group
            .bytes()
            .all(|byte| byte.is_ascii_digit() || byte == b'/');
        group.len() == 8 && state
    };
    let recent = group.strip_prefix("RE").and_then(weather).is_some();
    let sea = group
        .strip_prefix('W')
        .and_then(|bare| bare.split_once('/'));
    let sea = sea.is_some_and(|(_, state)| state.starts_with(['S', 'H']));
    let colour = ["BLU", "WHT", "GRN", "YLO", "AMB", "RED"];
    let colour = colour.iter().any(|it| group.starts_with(it)) || group.starts_with("BLACK");
    let shear = matches!(group, "WS" | "ALL" | "RWY") || group.starts_with("RWY");
    runway(group) || state(group) || recent || sea || colour || shear || group == "$"
}

/// Air and dew point in whole degrees, for example `M05/M07`, `12/`, `12///`.
pub(super) fn temperatures(group: &str) -> Option<(Option<i32>, Option<i32>)> {
    let (air, dew) = group.split_once('/')?;
    let air = degrees(air)?;
    let dew = degrees(dew)?;
    let is_above = air.zip(dew).is_some_and(|(air, dew)| dew > air + 1);
    (!is_above && air.or(dew).is_some()).then_some((air, dew))
}

/// Whole degrees; none where strokes stand for them.
fn degrees(text: &str) -> Option<Option<i32>> {
    if matches!(text, "" | "//" | "XX" | "MM") {
        return Some(None);
    }
    let below = text.strip_prefix(['M', '-']);
    let digits = below.unwrap_or(text);
    if !all_digits(digits) || digits.len() != 2 {
        return None;
    }
    let value: i32 = digits.parse().ok()?;
    let value = if below.is_some() { -value } else { value };
    AIR_C.contains(&value).then_some(Some(value))
}

/// Altimeter setting, pascal: `A2992` in hundredths of an inch of mercury, `Q1013` in hectopascal.
pub(super) fn altimeter(group: &str) -> Option<i64> {
    let (sort, digits) = group.split_at_checked(1)?;
    if digits.len() != 4 || !all_digits(digits) {
        return None;
    }
    let value: i64 = digits.parse().ok()?;
    let pa = match sort {
        "A" => (value * INCH_MPA + 50_000) / 100_000,
        "Q" => value * 100,
        _ => return None,
    };
    ALTIMETER_PA.contains(&pa).then_some(pa)
}
