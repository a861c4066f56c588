//! A register with a clock that tests turn, and photos that show what they are told.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]
#![allow(dead_code, reason = "each test program uses its part")]

use jiff::Timestamp;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use tempfile::TempDir;
use vetplate::Environment;
use vetplate::answer::{LineDto, OutcomeDto, PhotoDto, Share};
use vetplate::pipeline::GivenPlace;
use vetplate::register::{
    Evidence, Filter, Joined, Lease, LocationFacts, NewPhoto, NewReading, Offered, Photos, PlateId,
    PlateQuery, ReadLine, Sighting, SqliteRegister, Store,
};
use vetplate_parser::Line;
use vetplate_parser::place::PlaceFields;

/// A register with a clock that tests turn.
pub(crate) struct Fixture {
    pub(crate) folder: TempDir,
    pub(crate) register: SqliteRegister,
    pub(crate) clock: Arc<AtomicI64>,
}

impl Fixture {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let clock = Arc::new(AtomicI64::new(1_780_000_000_000));
        let read = Arc::clone(&clock);
        let environment = Environment::system()
            .with_clock(move || Timestamp::from_millisecond(read.load(Ordering::Relaxed)).unwrap());
        let path = folder.path().join("corrieburn.register");
        let register = SqliteRegister::open(&path, true, environment).unwrap();
        Self {
            folder,
            register,
            clock,
        }
    }

    pub(crate) fn pass(&self, seconds: i64) {
        self.clock.fetch_add(seconds * 1000, Ordering::Relaxed);
    }

    pub(crate) fn offer(&self, name: &str, location: Option<&str>) -> Lease {
        match self
            .register
            .offer(&photo(name, location), "worker", 60, false)
            .unwrap()
        {
            Offered::ToRead(lease) => lease,
            other => panic!("{other:?}"),
        }
    }

    /// Takes a photo that shows these lines.
    pub(crate) fn take(&self, name: &str, location: Option<&str>, lines: &[&str]) -> Joined {
        let lease = self.offer(name, location);
        let reading = self.reading(name, location, lines, None);
        self.register
            .finish(&lease, &[reading], false, None, "import")
            .unwrap()[0]
    }

    /// Takes a photo of several plates: the number of the plate beside each line.
    pub(crate) fn take_several(
        &self,
        name: &str,
        location: Option<&str>,
        lines: &[(usize, &str)],
        look: Option<u64>,
    ) -> Vec<Joined> {
        let lease = self.offer(name, location);
        let readings = self.readings(name, location, lines, look);
        self.register
            .finish(&lease, &readings, false, None, "import")
            .unwrap()
    }

    /// The readings of a photo of several plates, as an import makes them.
    pub(crate) fn readings(
        &self,
        name: &str,
        location: Option<&str>,
        lines: &[(usize, &str)],
        look: Option<u64>,
    ) -> Vec<NewReading> {
        let place = self.place(location);
        let whole = on_plates(name, lines);
        let answer = whole.answer(place.as_ref());
        NewReading::all(whole, &answer, place.as_ref(), look).unwrap()
    }

    fn place(&self, location: Option<&str>) -> Option<GivenPlace> {
        location
            .and_then(|tag| self.register.location(tag).unwrap())
            .and_then(|l| GivenPlace::check(l.facts.place).unwrap())
    }

    pub(crate) fn reading(
        &self,
        name: &str,
        location: Option<&str>,
        lines: &[&str],
        look: Option<u64>,
    ) -> NewReading {
        let place = self.place(location);
        let evidence = evidence(name, lines);
        NewReading::new(&evidence, &evidence.answer(place.as_ref()), look).unwrap()
    }

    pub(crate) fn still_house(&self) {
        let place = PlaceFields {
            zone: Some("1".to_owned()),
            gas: vec!["ethanol".to_owned()],
            ..PlaceFields::default()
        };
        self.put_place("STILL-HOUSE", place);
    }

    pub(crate) fn put_place(&self, tag: &str, place: PlaceFields) {
        let facts = LocationFacts {
            tag: tag.to_owned(),
            description: None,
            place,
        };
        self.register.put_location(&facts, "site file").unwrap();
    }

    pub(crate) fn outcome(&self, plate: PlateId) -> Option<OutcomeDto> {
        self.register.plate(plate).unwrap().unwrap().row.outcome
    }

    #[track_caller]
    pub(crate) fn is_whole(&self) {
        let mut findings = Vec::new();
        self.register.check(&mut |f| findings.push(f)).unwrap();
        assert_eq!(findings, []);
    }

    pub(crate) fn list(&self, filter: Filter) -> Vec<PlateId> {
        let query = PlateQuery {
            filter,
            ..PlateQuery::default()
        };
        let page = self.register.plates(&query).unwrap();
        page.plates.iter().map(|p| p.id).collect()
    }
}

pub(crate) fn photo(name: &str, location: Option<&str>) -> NewPhoto {
    NewPhoto {
        sha256: name.to_owned(),
        bytes: 1000,
        sighting: Sighting::new(format!("/photos/{name}.jpg")),
        kept: false,
        location: location.map(ToOwned::to_owned),
        tag: None,
    }
}

pub(crate) fn evidence(name: &str, lines: &[&str]) -> Evidence {
    Evidence {
        photo: PhotoDto {
            file: Some(format!("{name}.jpg")),
            sha256: name.to_owned(),
            width: 400,
            height: 300,
            taken_at: None,
            gps: None,
            notes: Vec::new(),
        },
        models: Vec::new(),
        lines: lines
            .iter()
            .map(|text| ReadLine {
                shown: LineDto {
                    text: (*text).to_owned(),
                    confidence: Share::new(1.0),
                    quad: None,
                    hidden: Vec::new(),
                    flaws: Vec::new(),
                    plate: None,
                },
                line: Line::certain(text),
            })
            .collect(),
        codes: Vec::new(),
        plates: 1,
    }
}

/// Evidence of a photo whose lines stand on several plates, one beside the other.
pub(crate) fn on_plates(name: &str, lines: &[(usize, &str)]) -> Evidence {
    let texts: Vec<&str> = lines.iter().map(|(_, text)| *text).collect();
    let mut whole = evidence(name, &texts);
    for (at, (line, (plate, _))) in whole.lines.iter_mut().zip(lines).enumerate() {
        let (x, y) = (*plate as f64 * 200.0, at as f64 * 20.0);
        line.shown.plate = Some(*plate);
        line.shown.quad = Some([[x, y], [x + 90.0, y], [x + 90.0, y + 15.0], [x, y + 15.0]]);
    }
    whole
}

pub(crate) const MOTOR: [&str; 3] = [
    "II 2 G Ex db IIC T4 Gb",
    "ABC 14 ATEX 1234",
    "Serial No. CB-2019-0042",
];
