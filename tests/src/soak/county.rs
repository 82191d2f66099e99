//! The county that is simulated: its registry, its stations, its craft, and its days.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use prost::Message as _;
use sponson_log::event::{CheckpointHeld, Clock, Header, SignedEvent, Subject};
use sponson_log::ids::{EventId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_made::county::{MODEL, founding, joining, now};
use sponson_made::{Seeded, said, signed};
use sponson_proto::event::v1::SubjectType;
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::standard::{Policy, Standard, built_in};
use sponson_replica::{NewEvent, Replica};

use super::meeting::{self, Met};
use super::work::{Craft, day_of};

pub use sponson_made::county::{DAY, START, working};

/// How a county is made.
#[derive(Clone, Copy, Debug)]
pub struct Sort {
    /// Stations.
    pub stations: u16,
    /// Craft at each.
    pub craft_each: u16,
    /// Stations with a store of their own, the first ones.
    pub whole: u16,
    /// Rounds in which every station meets the county in a day with nothing new.
    pub idle_rounds: u16,
    /// How many times as much is done with a craft as usual, beside its weekly check.
    pub busy: u64,
    /// From what everything is chosen.
    pub seed: u64,
}

/// A county that works.
#[derive(Debug)]
pub struct County {
    /// Its replica, while it is open.
    replica: Option<Replica>,
    /// Stations with stores of their own.
    whole: Vec<Replica>,
    /// Bytes of all events as signed.
    pub signed_bytes: u64,
    /// Chunks that were written at the county: one for each entry that came, and one for each time
    /// that a station was heard.
    pub chunks: u64,
    /// Now, milliseconds since 1970.
    pub now_ms: i64,
    sort: Sort,
    folder: PathBuf,
    stations: Vec<Station>,
    craft: Vec<Craft>,
    heads: BTreeMap<SubjectId, EventId>,
    seeded: Seeded,
    standard: Standard,
}

/// A station's key, and how far it signed.
#[derive(Debug)]
struct Station {
    id: SubjectId,
    key: DeviceKey,
    seq: u64,
    previous: Option<EventId>,
}

/// Key of a station by its number.
#[must_use]
pub fn station_key(number: u16) -> DeviceKey {
    let mut seed = [3; 32];
    seed[..2].copy_from_slice(&number.to_be_bytes());
    DeviceKey::from_seed(seed)
}

fn numbered(sort: u8, number: u16) -> SubjectId {
    let mut id = [sort; 16];
    id[..2].copy_from_slice(&number.to_be_bytes());
    SubjectId::from_bytes(id)
}

impl County {
    /// Founds a county in an empty folder: policy, sheet, stations, craft.
    ///
    /// # Panics
    /// When the folder cannot be written.
    #[must_use]
    pub fn found(folder: &Path, sort: Sort) -> Self {
        let replica = Replica::create(&folder.join("county"), &founding(), working());
        let sheets = built_in();
        let sheet = sheets.iter().find(|(model, _)| *model == MODEL);
        let (_, text) = sheet.expect("the sheet is built in");
        let mut county = Self {
            replica: Some(replica.expect("a new store")),
            whole: Vec::new(),
            signed_bytes: 0,
            chunks: 0,
            now_ms: START,
            sort,
            folder: folder.to_owned(),
            stations: (0..sort.stations).map(station).collect(),
            craft: Vec::new(),
            heads: BTreeMap::new(),
            seeded: Seeded::new(sort.seed),
            standard: Standard::parse(text).expect("the sheet can be read"),
        };
        county.take(signed::root_admits(working().key()));
        for event in registry(text, sort.stations) {
            let appended = county.open().append(event, &now(START));
            appended.expect("the registry is right");
        }
        for number in 0..sort.whole {
            let folder = county.whole_folder(number);
            let station = Replica::create(&folder, &joining(), station_key(number));
            county.whole.push(station.expect("a new store"));
        }
        // They know the county before they record: their chains begin once.
        county.meet_whole();
        for station in 0..sort.stations {
            for number in 0..sort.craft_each {
                let craft = numbered(0xc0, station * sort.craft_each + number);
                county.craft.push(Craft::new(craft, usize::from(station)));
                county.record(usize::from(station), registered(craft, station));
            }
        }
        county
    }

    /// The county's replica.
    ///
    /// # Panics
    /// When it is closed.
    pub fn open(&mut self) -> &mut Replica {
        opened(&mut self.replica)
    }

    /// A whole station's replica.
    pub fn whole(&mut self, number: usize) -> &mut Replica {
        &mut self.whole[number]
    }

    /// Closes all stores: their folders are free.
    pub fn close(&mut self) {
        self.replica = None;
        self.whole.clear();
    }

    /// Opens all stores again, as after a night without power.
    ///
    /// # Panics
    /// When one cannot be opened.
    pub fn reopen(&mut self) {
        let replica = Replica::open(&self.folder(), working());
        self.replica = Some(replica.expect("the store opens again"));
        for number in 0..self.sort.whole {
            let station = Replica::open(&self.whole_folder(number), station_key(number));
            self.whole.push(station.expect("the store opens again"));
        }
    }

    /// Folder of the county's store.
    #[must_use]
    pub fn folder(&self) -> PathBuf {
        self.folder.join("county")
    }

    /// Folder of a whole station's store.
    #[must_use]
    pub fn whole_folder(&self, number: u16) -> PathBuf {
        self.folder.join(format!("station-{number}"))
    }

    /// Goes through some days.
    ///
    /// # Panics
    /// When a store fails.
    pub fn days(&mut self, count: u32) {
        for _ in 0..count {
            self.day();
        }
    }

    fn day(&mut self) {
        let begun = self.now_ms;
        let crews: Vec<usize> = (0..self.stations.len()).collect();
        for station in crews {
            let subject = (self.stations[station].id, SubjectType::Station);
            let event = super::work::crews(subject, begun);
            self.now_ms += 1_000;
            self.record(station, event);
        }
        for place in 0..self.craft.len() {
            let mut craft = self.craft[place].clone();
            let number = (begun - START) / DAY;
            for work in day_of(
                &mut craft,
                &self.standard,
                (number, self.sort.busy),
                &mut self.seeded,
            ) {
                self.now_ms += 20_000;
                let fault = work.is_fault();
                let id = self.record(craft.station, work.event(&craft));
                if fault {
                    craft.found(id);
                }
            }
            self.craft[place] = craft;
        }
        self.meet_whole();
        self.idle(self.sort.idle_rounds);
        self.now_ms = begun + DAY;
    }

    /// Every station meets the county with nothing new, so many times.
    ///
    /// # Panics
    /// When a store fails.
    pub fn idle(&mut self, rounds: u16) {
        for _ in 0..rounds {
            self.now_ms += 60_000;
            for place in 0..self.stations.len() {
                let (id, now_ms) = (self.stations[place].id, self.now_ms);
                let heard = self.open().heard(id, now_ms);
                heard.expect("the store is whole");
                self.chunks += 1;
            }
            self.meet_whole();
        }
    }

    /// Whole stations meet the county; gives what the last of them did.
    ///
    /// # Panics
    /// When a store fails or a sync does not come to an end.
    pub fn meet_whole(&mut self) -> Met {
        let mut met = Met::default();
        for (place, station) in self.whole.iter_mut().enumerate() {
            let id = self.stations[place].id;
            met = meeting::meet(station, opened(&mut self.replica), id, self.now_ms);
            self.chunks += 1;
        }
        met
    }

    /// Lets a station record, and the county take it in.
    fn record(&mut self, station: usize, event: NewEvent) -> EventId {
        if let Some(whole) = self.whole.get_mut(station) {
            let appended = whole.append(event, &now(self.now_ms)).expect("it is right");
            let id = self.stations[station].id;
            meeting::meet(whole, opened(&mut self.replica), id, self.now_ms);
            self.chunks += 2;
            let held = self.open().event(&appended.id).expect("rows are whole");
            self.count(&held.expect("it was sent"));
            return appended.id;
        }
        let signed = self.signed(station, event);
        let id = signed.id();
        let at = &mut self.stations[station];
        (at.seq, at.previous) = (at.seq + 1, Some(id));
        self.take(signed);
        let (station, now_ms) = (self.stations[station].id, self.now_ms);
        let heard = self.open().heard(station, now_ms);
        heard.expect("the store is whole");
        self.chunks += 1;
        id
    }

    /// An event as a device signs it that holds all of its subject.
    fn signed(&self, station: usize, event: NewEvent) -> SignedEvent {
        let station = &self.stations[station];
        let subjects = event.subjects.iter().map(|(id, kind)| Subject {
            id: *id,
            kind: *kind,
            seen: self.heads.get(id).copied().into_iter().collect(),
        });
        let held = self
            .replica
            .as_ref()
            .and_then(|it| it.checkpoint(self.now_ms))
            .expect("a county");
        let last = station.previous.map(|previous| (station.seq, previous));
        let header = Header {
            kind_version: event.kind_version,
            subjects: subjects.collect(),
            clock: Clock {
                unix_ms: self.now_ms,
                utc_offset_min: 0,
                // A device is started anew once a month.
                boot_id: numbered(
                    0xb0,
                    u16::try_from((self.now_ms - START) / DAY / 30).unwrap_or(0),
                )
                .as_bytes()
                .to_owned(),
                monotonic_ms: u64::try_from(self.now_ms - START).expect("after the start"),
            },
            checkpoint: Some(CheckpointHeld {
                log: held.log,
                size: held.size,
                unix_ms: held.unix_ms,
            }),
            observed: event.observed,
            member: event.member,
            ..signed::header(station.key.key(), event.kind, last)
        };
        signed::sign(header, event.payload, &station.key)
    }

    fn take(&mut self, event: SignedEvent) {
        self.count(&event);
        let now_ms = self.now_ms;
        let kept = self.open().keep(vec![event], ChunkSource::Station, now_ms);
        let kept = kept.expect("the store is whole");
        assert_eq!(kept.refused, [], "what devices sign fits");
        self.chunks += 1;
    }

    fn count(&mut self, event: &SignedEvent) {
        self.signed_bytes += event.to_wire().encoded_len() as u64;
        for subject in &event.header().subjects {
            self.heads.insert(subject.id, event.id());
        }
    }
}

fn opened(replica: &mut Option<Replica>) -> &mut Replica {
    replica.as_mut().expect("it is open")
}

fn station(number: u16) -> Station {
    Station {
        id: numbered(0x50, number),
        key: station_key(number),
        seq: 0,
        previous: None,
    }
}

/// Policy, sheet, stations and their keys.
fn registry(sheet: &str, stations: u16) -> Vec<NewEvent> {
    let mut events = vec![
        said::policy(Policy::default_text()),
        said::standard((MODEL, 1), sheet),
    ];
    for number in 0..stations {
        let (id, key) = (numbered(0x50, number), station_key(number).key());
        events.push(said::station_registered(id, &format!("Station {number}")));
        events.push(said::admit(key, id, &said::ALL_ROLES));
    }
    events
}

fn registered(craft: SubjectId, station: u16) -> NewEvent {
    let number = u16::from_be_bytes([craft.as_bytes()[0], craft.as_bytes()[1]]);
    let (number, station) = (number.to_string(), numbered(0x50, station));
    let plate = said::plate((900_000, 1_200_000));
    said::craft_registered(craft, (&number, MODEL), station, plate)
}
