//! Taking in one photo that a person sends: known by its key, put where it belongs, read, kept.

use crate::answer::{KeyError, PlaceDto};
use crate::desk::Desk;
use crate::extract::GivenFields;
use crate::import::{ImportError, Intake, NotTaken, SentPhoto};
use crate::pipeline::{GivenPlace, PhotoReader, hex};
use crate::problem::{Code, Problem};
use crate::register::{
    Keyed, LocationFacts, OriginalError, PlateId, PlateRecord, PlateRow, Received, place_of,
};
use crate::render::place_words;
use crate::site::Site;
use axum::body::Bytes;
use serde_json::json;
use sha2::{Digest, Sha256};
use std::io::ErrorKind;
use vetplate_ocr::Limits;
use vetplate_parser::place::PlaceFields;

/// Longest tag of a location or of equipment, characters.
pub(crate) const MAX_TAG_CHARS: usize = 200;
/// Longest note, characters.
const MAX_NOTE_CHARS: usize = 2000;

/// What a person sends.
pub(crate) struct Sent {
    pub(crate) photo: Bytes,
    pub(crate) file: Option<String>,
    pub(crate) given: GivenFields,
    pub(crate) tag: Option<String>,
    pub(crate) note: Option<String>,
    pub(crate) who: String,
    /// The same at each try.
    pub(crate) key: Option<String>,
}

/// With what it is taken in.
pub(crate) struct Receiver<'a> {
    pub(crate) desk: &'a Desk,
    pub(crate) reader: &'a dyn PhotoReader,
    pub(crate) limits: &'a Limits,
    pub(crate) site: &'a Site,
    /// Names this try among others.
    pub(crate) worker: &'a str,
}

/// What came of it.
pub(crate) struct Arrived {
    pub(crate) received: Received,
    pub(crate) plate: PlateRecord,
    /// Each plate that the photo shows, in the order of its reading.
    pub(crate) plates: Vec<PlateRow>,
    /// What was sent and not put in the place of what was there, a sentence each.
    pub(crate) remarks: Vec<String>,
}

impl Sent {
    /// Refuses words that no register should hold.
    ///
    /// # Errors
    ///
    /// [`Code::InvalidRequest`] with every key that cannot be used.
    pub(crate) fn checked(mut self) -> Result<Self, Problem> {
        let tidy =
            |text: Option<String>| text.map(|t| t.trim().to_owned()).filter(|t| !t.is_empty());
        self.tag = tidy(self.tag);
        self.note = tidy(self.note);
        let mut errors = Vec::new();
        let mut check = |key: &str, value: Option<&String>, most: usize, lines: bool| {
            let Some(value) = value else { return };
            let strange = |c: char| c.is_control() && !(lines && matches!(c, '\n' | '\r' | '\t'));
            if value.chars().count() > most || value.contains(strange) {
                errors.push(KeyError {
                    key: key.to_owned(),
                    value: value.clone(),
                    message: format!("`{key}` takes plain text of at most {most} characters"),
                });
            }
        };
        check("tag", self.tag.as_ref(), MAX_TAG_CHARS, false);
        check("note", self.note.as_ref(), MAX_NOTE_CHARS, true);
        check(
            "location",
            self.given.location.as_ref(),
            MAX_TAG_CHARS,
            false,
        );
        if errors.is_empty() {
            Ok(self)
        } else {
            Err(Problem::fields(Code::InvalidRequest, errors))
        }
    }

    /// Tells what is sent from anything else that might be sent under the same key.
    fn content(&self) -> String {
        let place = PlaceDto::from(&self.given.fields);
        let whole = json!([
            hex(&Sha256::digest(&self.photo)),
            self.given.location,
            place,
            self.tag,
            self.note,
        ]);
        hex(&Sha256::digest(whole.to_string().as_bytes()))
    }
}

impl Receiver<'_> {
    /// Takes a photo in. When this returns, its bytes and its row are on disk.
    ///
    /// # Errors
    ///
    /// A [`Problem`]; the same may be sent again under the same key in every case.
    pub(crate) fn receive(&self, sent: &Sent) -> Result<Arrived, Problem> {
        let originals = self.desk.originals().ok_or_else(|| {
            Problem::new(
                Code::NoRegister,
                "this register keeps no copies of photos, so it takes none in",
            )
        })?;
        if let Some(key) = &sent.key {
            match self.desk.photos().begin_upload(key, &sent.content())? {
                Keyed::Open => {}
                Keyed::Ended(received) => return self.arrived(received, sent),
                Keyed::Other => {
                    return Err(Problem::new(
                        Code::KeyReused,
                        "something else was sent under this Idempotency-Key; give each photo a \
                         key of its own",
                    ));
                }
            }
        }
        let location = self.location(&sent.given, &sent.who)?;
        let place = place_of(self.desk.store(), location.as_deref())?;
        let intake = Intake {
            photos: self.desk.photos(),
            originals,
            reader: self.reader,
            limits: self.limits,
            worker: self.worker,
        };
        let received = intake.take(&SentPhoto {
            bytes: &sent.photo,
            file: sent.file.as_deref(),
            location: location.as_deref(),
            place: place.as_ref(),
            tag: sent.tag.as_deref(),
            who: &sent.who,
        })?;
        let (key, note) = (sent.key.as_deref(), sent.note.as_deref());
        if key.is_some() || note.is_some() {
            self.desk
                .photos()
                .end_upload(key, received, note, &sent.who)?;
        }
        self.arrived(received, sent)
    }

    fn arrived(&self, received: Received, sent: &Sent) -> Result<Arrived, Problem> {
        let held = |id: PlateId| {
            self.desk
                .store()
                .plate(id)?
                .ok_or_else(|| Problem::internal(&format!("plate {id} is gone")))
        };
        let plate = held(received.plate())?;
        let sha256 = hex(&Sha256::digest(&sent.photo));
        let shown = self.desk.photos().plates_on(&sha256)?;
        let rows = shown.iter().map(|&id| Ok(held(id)?.row));
        let plates = rows.collect::<Result<Vec<PlateRow>, Problem>>()?;
        let mut remarks = Vec::new();
        let mut compare = |what: &str, sent: Option<&String>, held: Option<&String>| {
            if let (Some(sent), Some(held)) = (sent, held)
                && sent.to_lowercase() != held.to_lowercase()
            {
                remarks.push(format!(
                    "the plate has the {what} {held}; {sent} was not put in its place"
                ));
            } else if let (Some(sent), None) = (sent, held) {
                let why = if plates.len() > 1 {
                    "the photo shows several plates, and it may be meant for another"
                } else {
                    "the photo was held already"
                };
                remarks.push(format!(
                    "the plate has no {what}; {sent} was not given to it, since {why}"
                ));
            }
        };
        compare("tag", sent.tag.as_ref(), plate.row.tag.as_ref());
        compare(
            "location",
            sent.given.location.as_ref(),
            plate.row.location.as_ref(),
        );
        Ok(Arrived {
            received,
            plate,
            plates,
            remarks,
        })
    }

    /// The tag of the location where the plate stands, with the place that was sent.
    ///
    /// A location that is not known is added, if its place is sent along or the site file has
    /// it; a place without a location is one by itself, named by its words. The place of a
    /// location that is known is not changed by the way.
    fn location(&self, given: &GivenFields, who: &str) -> Result<Option<String>, Problem> {
        let store = self.desk.store();
        let tag = given.location.as_deref().map(str::trim);
        let tag = tag.filter(|tag| !tag.is_empty());
        let has_place = given.fields != PlaceFields::default();
        let place = GivenPlace::check(given.fields.clone()).map_err(Problem::place)?;
        let tag = match tag {
            Some(tag) => tag.to_owned(),
            None if has_place => place_words(&PlaceDto::from(&given.fields))
                .chars()
                .take(MAX_TAG_CHARS)
                .collect(),
            None => return Ok(None),
        };
        let refused = |message: String| {
            Problem::place(vec![KeyError {
                key: "location".to_owned(),
                value: tag.clone(),
                message,
            }])
        };
        let facts = match store.location(&tag)? {
            Some(known) if !has_place => return Ok(Some(known.facts.tag)),
            Some(known) if known.facts.place == PlaceFields::default() => LocationFacts {
                place: given.fields.clone(),
                ..known.facts
            },
            Some(known) => {
                let held = place_of(store, Some(&tag))?;
                if held.zip(place).is_some_and(|(a, b)| a.same_place(&b)) {
                    return Ok(Some(known.facts.tag));
                }
                return Err(refused(format!(
                    "location: {tag} has another place in the register ({}); leave the place \
                     out, or change it with PUT /v1/locations/{tag}",
                    place_words(&PlaceDto::from(&known.facts.place))
                )));
            }
            None if has_place => LocationFacts {
                tag: tag.clone(),
                description: None,
                place: given.fields.clone(),
            },
            None => {
                let site = self.site.location(&tag).map_err(|_| {
                    refused(format!(
                        "location: the register has no {tag:?}; send its place along, or add it \
                         with PUT /v1/locations/{tag}"
                    ))
                })?;
                LocationFacts {
                    tag: site.tag.clone(),
                    description: site.description.clone(),
                    place: site.place.clone(),
                }
            }
        };
        let kept = store.put_location(&facts, who)?;
        self.desk.rejudge_location(&kept.facts.tag, who)?;
        Ok(Some(kept.facts.tag))
    }
}

impl From<NotTaken> for Problem {
    fn from(error: NotTaken) -> Self {
        match error {
            NotTaken::Photo(error) => error.into(),
            NotTaken::UnderWay => Self::new(Code::Busy, error.to_string()),
            NotTaken::Ours(reason) => Self::internal(&reason),
            NotTaken::Failed(ImportError::Register(error)) => error.into(),
            NotTaken::Failed(ImportError::Copy(error)) => copy_failed(&error),
        }
    }
}

fn copy_failed(error: &OriginalError) -> Problem {
    if error.source.kind() == ErrorKind::StorageFull {
        Problem::new(
            Code::StorageFull,
            "the disk is full, so the photo was not taken; make room and send it again",
        )
    } else {
        Problem::internal(error)
    }
}
