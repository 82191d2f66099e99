//! Pictures that events commit to: kept as files, given out and taken in by pieces, removed at the
//! lead's word. An event and its proofs never depend on whether a picture is here.
//!
//! Nothing is taken in that no held event commits to: who knows no event stores nothing here.

mod at_county;
mod plan;
mod told;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use sponson_log::event::{Beside, PICTURE_BYTES_MAX};
use sponson_log::ids::{Digest, EventId};
use sponson_proto::event::v1::{BesideType, SubjectType};

use super::Replica;
use super::append::BELONGS_TO_BYTES_MAX;
use crate::errors::AppendError;
use crate::pictures::{Grown, Picture, PictureFileError, PictureFiles, SALT_BYTES};

use at_county::{list, read_list, write_list};
pub use plan::PicturesPlan;
use plan::{Candidate, plan};
use told::room;
pub use told::{Part, PictureBeside, PictureError, PicturePlace, PicturesAbout};

/// Pictures beside one event: four of each of four faults. With 130 bytes a commitment they take
/// 2 KiB of a body.
pub const PICTURES_MAX: usize = 16;

/// What a JPEG begins with.
const JPEG: [u8; 3] = [0xff, 0xd8, 0xff];

/// Where a device keeps pictures, and which of them the county has.
#[derive(Debug)]
pub(super) struct Kept {
    files: PictureFiles,
    at_county: BTreeSet<Digest>,
}

/// A picture to be kept.
pub type NewPicture = Picture;

impl Replica {
    /// Keeps pictures in a folder from now on: what is there already, and what comes. What was kept for
    /// an event that nobody recorded within a month goes.
    ///
    /// # Errors
    /// When the folder cannot be made, read or tidied.
    pub fn with_pictures(
        mut self,
        folder: &Path,
        now_unix_ms: i64,
    ) -> Result<Self, PictureFileError> {
        let files = PictureFiles::open(folder, now_unix_ms)?;
        let at_county = read_list(&list(folder));
        self.pictures = Some(Kept { files, at_county });
        self.drop_redacted_pictures();
        Ok(self)
    }

    /// Keeps a picture, durably, for an event that is still to be recorded.
    ///
    /// # Errors
    /// When it is no JPEG, too large, or there is no room.
    pub fn keep_picture(&mut self, picture: &NewPicture) -> Result<Digest, PictureError> {
        let content = &picture.content;
        if !content.starts_with(&JPEG) {
            return Err(PictureError::Value {
                field: "picture",
                value: "no JPEG".to_owned(),
                limit: "give one".to_owned(),
            });
        }
        if content.len() > PICTURE_BYTES_MAX {
            return Err(PictureError::Value {
                field: "picture",
                value: format!("{} bytes long", content.len()),
                limit: format!("at most {PICTURE_BYTES_MAX} are allowed: make it smaller"),
            });
        }
        self.sheets.refresh(&self.index.registry);
        let budget = self.sheets.policy().pictures.budget_bytes;
        let kept = self.kept()?;
        room(fs2::available_space(kept.files.folder()).ok())?;
        if !self.is_county() {
            let waits =
                |(id, bytes): (Digest, u64)| (!kept.at_county.contains(&id)).then_some(bytes);
            let waiting: u64 = kept.files.held()?.into_iter().filter_map(waits).sum();
            let waiting = waiting.saturating_add(kept.files.loose_bytes()?);
            let bytes = waiting.saturating_add(content.len() as u64);
            if bytes > budget {
                return Err(PictureError::Budget { bytes, budget });
            }
        }
        Ok(kept.files.keep(picture)?)
    }

    /// What an event says of the pictures that it commits to: each is here, and is what its name says.
    pub(super) fn committed(
        &self,
        pictures: &[(String, Digest)],
    ) -> Result<Vec<Beside>, AppendError> {
        let refused = |value: String, limit: String| AppendError::Value {
            field: "picture".to_owned(),
            value,
            limit,
        };
        if pictures.len() > PICTURES_MAX {
            let limit = format!("at most {PICTURES_MAX} go with one event: attach the rest later");
            return Err(refused(format!("given {} times", pictures.len()), limit));
        }
        let mut seen = BTreeSet::new();
        let mut beside = Vec::with_capacity(pictures.len());
        for (belongs_to, id) in pictures {
            let short = format!("{:.12}", id.to_string());
            if !seen.insert(*id) {
                return Err(refused(short, "it may be named once".to_owned()));
            }
            if belongs_to.len() > BELONGS_TO_BYTES_MAX {
                let limit = format!("what it belongs to has at most {BELONGS_TO_BYTES_MAX} bytes");
                return Err(refused(short, limit));
            }
            let kept = self.kept().and_then(|kept| Ok(kept.files.read_loose(id)?));
            let Ok(Some(picture)) = kept else {
                let why = kept.err().map_or_else(
                    || "it is not kept here: give the file again".to_owned(),
                    |error| error.to_string(),
                );
                return Err(refused(short, why));
            };
            beside.push(Beside {
                commitment: *id,
                kind: BesideType::Jpeg,
                size: u32::try_from(picture.content.len()).unwrap_or(u32::MAX),
                belongs_to: belongs_to.clone(),
            });
        }
        Ok(beside)
    }

    /// What an event that is about to be kept commits to stays from now on.
    pub(super) fn bind(&self, pictures: &[(String, Digest)]) -> Result<(), AppendError> {
        for (_, id) in pictures {
            let bound = self.kept().and_then(|kept| Ok(kept.files.bind(id)?));
            bound.map_err(|error| AppendError::Value {
                field: "picture".to_owned(),
                value: format!("{:.12}", id.to_string()),
                limit: error.to_string(),
            })?;
        }
        Ok(())
    }

    /// Where a picture is.
    #[must_use]
    pub fn picture_place(&self, id: &Digest) -> PicturePlace {
        let committed = self.index.pictures.of(id);
        if committed.is_empty() {
            return PicturePlace::NotKnown;
        }
        if self.is_removed(id) {
            return PicturePlace::Removed;
        }
        match &self.pictures {
            Some(kept) if kept.files.holds(id) => PicturePlace::Held,
            Some(kept) => PicturePlace::Missing(kept.files.part(id)),
            None => PicturePlace::Missing(0),
        }
    }

    /// A picture, checked against its commitment.
    ///
    /// # Errors
    /// When it is not known, was removed, is not here, or is damaged.
    pub fn picture(&self, id: &Digest) -> Result<Picture, PictureError> {
        self.is_there(id)?;
        let picture = self.kept()?.files.read(id)?;
        picture.ok_or_else(|| PictureError::Missing(id.to_string()))
    }

    /// A picture that was kept and that nothing commits to yet, or that an event commits to.
    ///
    /// # Errors
    /// As for [`Self::picture`].
    pub fn picture_under_way(&self, id: &Digest) -> Result<Picture, PictureError> {
        if self.index.pictures.of(id).is_empty() {
            let picture = self.kept()?.files.read_loose(id)?;
            return picture.ok_or_else(|| PictureError::NotKnown(id.to_string()));
        }
        self.picture(id)
    }

    /// A piece of a picture's file from a place on, and how long the picture is without its salt.
    ///
    /// # Errors
    /// As for [`Self::picture`].
    pub fn picture_piece(
        &self,
        id: &Digest,
        offset: u64,
        bytes_max: usize,
    ) -> Result<(Vec<u8>, u64), PictureError> {
        self.is_there(id)?;
        let files = &self.kept()?.files;
        // A damaged one is found before any of it is given out.
        if offset == 0 {
            files.read(id)?;
        }
        let missing = || PictureError::Missing(id.to_string());
        let piece = files.piece(id, offset, bytes_max)?.ok_or_else(missing)?;
        let bytes = files.bytes(id).ok_or_else(missing)?;
        Ok((piece, bytes))
    }

    /// Takes a piece of a picture that a held event commits to; `bytes` is its length without its
    /// salt, as some such event says it.
    ///
    /// # Errors
    /// When nothing commits to it, it was removed, there is no room, or what came is something else.
    pub fn take_picture_piece(
        &mut self,
        id: &Digest,
        bytes: u64,
        piece: (u64, &[u8]),
    ) -> Result<Part, PictureError> {
        match self.picture_place(id) {
            PicturePlace::NotKnown => return Err(PictureError::NotKnown(id.to_string())),
            PicturePlace::Removed => return Err(PictureError::Removed(id.to_string())),
            PicturePlace::Held => return Ok(Part::Whole),
            PicturePlace::Missing(_) => {}
        }
        let mut said = self.index.pictures.of(id).iter();
        if !said.any(|it| u64::from(it.bytes) == bytes) {
            return Err(PictureError::Wrong(id.to_string()));
        }
        let files = &self.kept()?.files;
        room(fs2::available_space(files.folder()).ok())?;
        match files.grow(id, bytes.saturating_add(SALT_BYTES as u64), piece)? {
            Grown::To(bytes) => Ok(Part::To(bytes)),
            Grown::Whole => Ok(Part::Whole),
            Grown::Wrong => Err(PictureError::Wrong(id.to_string())),
        }
    }

    /// Pictures that are here, that an event commits to and that are not removed, with the length of
    /// each.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn pictures_held(&self) -> Result<BTreeMap<Digest, u64>, PictureError> {
        let Some(kept) = &self.pictures else {
            return Ok(BTreeMap::new());
        };
        let mut held = kept.files.held()?;
        held.retain(|id, _| !self.index.pictures.of(id).is_empty() && !self.is_removed(id));
        Ok(held)
    }

    /// At a station: notes which of its pictures the county says that it has, durably.
    ///
    /// # Errors
    /// When that cannot be written.
    pub fn note_at_county(&mut self, ids: BTreeSet<Digest>) -> Result<(), PictureError> {
        let kept = self.pictures.as_mut().ok_or(PictureError::NoneKept)?;
        if kept.at_county != ids {
            let path = list(kept.files.folder());
            write_list(&path, &ids).map_err(|source| PictureFileError::File {
                file: path,
                what: "written",
                source,
            })?;
            kept.at_county = ids;
        }
        Ok(())
    }

    /// At a station: which pictures to fetch and which to let go, within the policy's budget. Only
    /// those are let go that the county was noted to have.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn pictures_plan(&mut self) -> Result<PicturesPlan, PictureError> {
        let numbers = self.of_own_station();
        let budget = self.sheets.policy().pictures.budget_bytes;
        let held = self.kept()?.files.held()?;
        let at_county = &self.kept()?.at_county;
        let known = self.index.pictures.iter();
        let candidates = known
            .filter(|(id, _)| !self.is_removed(id))
            .map(|(id, of)| Candidate {
                id: *id,
                bytes: held
                    .get(id)
                    .copied()
                    .or_else(|| of.iter().map(|it| u64::from(it.bytes)).max())
                    .unwrap_or_default(),
                newest: of.iter().map(|it| it.number).max().unwrap_or_default(),
                held: held.contains_key(id),
                at_county: at_county.contains(id),
                ours: of.iter().any(|it| numbers.contains(&it.number)),
            });
        // What is kept for an event still to come takes room too.
        let loose = self.kept()?.files.loose_bytes()?;
        Ok(plan(budget.saturating_sub(loose), candidates.collect()))
    }

    /// Lets a picture go that the county has.
    ///
    /// # Errors
    /// When it is not noted that the county has it, or the file cannot be removed.
    pub fn let_picture_go(&mut self, id: &Digest) -> Result<(), PictureError> {
        let kept = self.kept()?;
        if !kept.at_county.contains(id) {
            return Err(PictureError::Missing(id.to_string()));
        }
        Ok(kept.files.remove(id)?)
    }

    /// Pictures of this replica.
    #[must_use]
    pub fn pictures_about(&self) -> PicturesAbout {
        let all = self
            .pictures
            .as_ref()
            .and_then(|kept| kept.files.held().ok());
        let all = all.unwrap_or_default();
        let loose = self.pictures.as_ref().map(|kept| kept.files.loose_bytes());
        let loose = loose.and_then(Result::ok).unwrap_or_default();
        let held = self.pictures_held().unwrap_or_default();
        let at_county = self.pictures.as_ref().map(|kept| &kept.at_county);
        let waits = |id: &&Digest| at_county.is_some_and(|it| !it.contains(*id));
        let known = self.index.pictures.iter();
        let missing = known.filter(|(id, _)| !held.contains_key(*id) && !self.is_removed(id));
        PicturesAbout {
            held: held.len() as u64,
            bytes: all.values().sum::<u64>().saturating_add(loose),
            waiting: if self.is_county() {
                0
            } else {
                held.keys().filter(waits).count() as u64
            },
            missing: missing.count() as u64,
        }
    }

    /// Pictures beside an event, in order.
    #[must_use]
    pub fn pictures_beside(&self, event: &EventId) -> Vec<PictureBeside> {
        let Ok(Some(event)) = self.event(event) else {
            return Vec::new();
        };
        let beside = event.header().beside.iter();
        beside
            .filter(|beside| beside.kind == BesideType::Jpeg)
            .map(|beside| PictureBeside {
                id: beside.commitment,
                belongs_to: beside.belongs_to.clone(),
                place: self.picture_place(&beside.commitment),
            })
            .collect()
    }

    /// What is here and what is wrong with it, a line each.
    pub(super) fn verify_pictures(&self) -> (PicturesAbout, Vec<String>) {
        let mut wrong = Vec::new();
        let Some(kept) = &self.pictures else {
            return (self.pictures_about(), wrong);
        };
        match kept.files.held() {
            Ok(held) => {
                for id in held.keys() {
                    if !kept.files.is_right(id) {
                        wrong.push(format!(
                            "picture {id} is not what its name says: it is damaged; the next sync \
                             after it is opened brings it again, if anybody has it"
                        ));
                    }
                    if self.is_removed(id) {
                        wrong.push(format!(
                            "picture {id} was removed by the lead and is still here"
                        ));
                    }
                }
            }
            Err(error) => wrong.push(error.to_string()),
        }
        (self.pictures_about(), wrong)
    }

    /// Removes the files of what is redacted by an event that is trusted. What cannot be removed is
    /// told, and tried again at the next start.
    pub(super) fn drop_redacted_pictures(&self) {
        let Some(kept) = &self.pictures else {
            return;
        };
        for (id, _) in self.index.pictures.iter() {
            if self.is_removed(id)
                && let Err(error) = kept.files.remove(id)
            {
                tracing::error!(picture = %id, "a picture that the lead removed is still here: {error}");
            }
        }
    }

    /// Whether the lead had a picture removed from beside any event that commits to it.
    fn is_removed(&self, id: &Digest) -> bool {
        let index = &self.index;
        index.pictures.of(id).iter().any(|committed| {
            index.at(committed.number).is_some_and(|known| {
                index
                    .redactions
                    .of_event(&known.id, &index.registry, &index.chains)
                    .contains_key(&committed.part)
            })
        })
    }

    fn is_there(&self, id: &Digest) -> Result<(), PictureError> {
        match self.picture_place(id) {
            PicturePlace::NotKnown => Err(PictureError::NotKnown(id.to_string())),
            PicturePlace::Removed => Err(PictureError::Removed(id.to_string())),
            PicturePlace::Missing(_) => Err(PictureError::Missing(id.to_string())),
            PicturePlace::Held => Ok(()),
        }
    }

    fn kept(&self) -> Result<&Kept, PictureError> {
        self.pictures.as_ref().ok_or(PictureError::NoneKept)
    }

    /// Numbers of the events about what is at the own station.
    fn of_own_station(&mut self) -> BTreeSet<u64> {
        let own = self.about().station.map(|(id, _)| id);
        let mut numbers = BTreeSet::new();
        let Some(own) = own else {
            return numbers;
        };
        for entry in self.catalogue().entries {
            if entry.kind != SubjectType::Station && entry.station == Some(own) {
                let events = self.index.subjects.get(&entry.id).into_iter();
                numbers.extend(events.flat_map(|events| events.numbers().iter().copied()));
            }
        }
        numbers
    }
}
