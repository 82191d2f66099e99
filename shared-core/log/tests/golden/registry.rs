//! The registry's kinds.

use bytes::Bytes;
use sponson_log::sign::Signed;
use sponson_proto::event::v1::{
    BoatStandard, KeyAdmitted, KeyEndReason, KeyEnded, Kind, LogBegun, LogBegunReason, Policy,
    Role, RoleGiven, StationRegistered, SubjectType,
};

use crate::story::{COUNTY, STATION, Story, about, beginning_key, county, county_key, station_key};

/// Writes them.
pub(crate) fn write(story: &mut Story) {
    let whole = || vec![about(COUNTY, SubjectType::County)];
    let station = || vec![about(STATION, SubjectType::Station)];
    story.county(
        Kind::StationRegistered,
        StationRegistered {
            name: "Alder Ford".to_owned(),
            latitude_e7: Some(415_000_000),
            longitude_e7: Some(-935_000_000),
            elevation_mm: Some(291_000),
            call: "Station 4".to_owned(),
        },
        station(),
    );
    story.county(
        Kind::KeyAdmitted,
        KeyAdmitted {
            key: station_key().key().to_bytes(),
            station: STATION.to_bytes(),
            roles: vec![Role::Crew as i32, Role::Maintenance as i32],
            tls_key_sha256: Bytes::from_static(&[0x5a; 32]),
            replaces_key: county_key().key().to_bytes(),
            replaces_head: story.id(Kind::StationRegistered).to_bytes(),
            member: "M-214".to_owned(),
            device: "tablet by the ramp door".to_owned(),
            epoch: 2,
        },
        station(),
    );
    story.county(
        Kind::RoleGiven,
        RoleGiven {
            key: station_key().key().to_bytes(),
            roles: vec![Role::Lead as i32, Role::Coordinator as i32],
            from_seq: 2,
            after: story.id(Kind::KeyAdmitted).to_bytes(),
        },
        station(),
    );
    story.county(
        Kind::KeyEnded,
        KeyEnded {
            key: station_key().key().to_bytes(),
            last_good: story.id(Kind::RoleGiven).to_bytes(),
            last_good_seq: 31,
            reason: KeyEndReason::Lost as i32,
        },
        station(),
    );
    story.county(
        Kind::Policy,
        Policy {
            format: 1,
            text: "# invented for a golden file\nunheard_days = 3\n".to_owned(),
        },
        whole(),
    );
    story.county(
        Kind::BoatStandard,
        BoatStandard {
            model: "inflatable-14".to_owned(),
            revision: 3,
            format: 1,
            text: "# invented for a golden file\nmodel = \"inflatable-14\"\n".to_owned(),
        },
        whole(),
    );
}

/// The first leaf of a log that follows this one: the first event of a key of its own. Written
/// last, so that what was written before it stays as it was.
pub(crate) fn begin_log(story: &mut Story) {
    let writer = beginning_key();
    let log = *b"golden log no. 2";
    let word = [
        county().as_bytes().as_slice(),
        log.as_slice(),
        writer.key().as_bytes(),
    ]
    .concat();
    let vouched = county_key().sign(Signed::LogBegun, &word);
    story.beginning(
        Kind::LogBegun,
        LogBegun {
            log_id: Bytes::copy_from_slice(&log),
            old_log_id: Bytes::from_static(b"golden log no. 1"),
            old_size: 12,
            old_root: Bytes::from_static(&[0x11; 32]),
            reason: LogBegunReason::Shown as i32,
            shown_log_id: Bytes::from_static(b"golden log no. 1"),
            shown_size: 31,
            shown_root: Bytes::from_static(&[0x22; 32]),
            working_key: county_key().key().to_bytes(),
            vouched: Bytes::copy_from_slice(&vouched),
            shown_key: county_key().key().to_bytes(),
        },
    );
}
