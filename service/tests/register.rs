//! The register through its two doors: what goes in comes out, nothing is overwritten, and
//! nobody overwrites anybody.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use jiff::Timestamp;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use tempfile::TempDir;
use vetplate::Environment;
use vetplate::answer::{LineDto, OutcomeDto, PhotoDto, Share};
use vetplate::pipeline::GivenPlace;
use vetplate::register::{
    Evidence, Filter, Grade, InspectionKind, Item, ItemResult, Joined, Lease, LocationFacts,
    NewInspection, NewPhoto, NewReading, NewSettlement, Offered, Order, OutcomeFilter, Photos,
    PlateId, PlateQuery, ReadLine, ReviewFilter, ReviewState, SettlementKind, Sighting, Sorted,
    SqliteRegister, Store, StoreError, Subject, accept, judge_again, settle,
};
use vetplate_parser::Line;
use vetplate_parser::certificates::{CertificateEntry, CertificateFields, CertificateList};
use vetplate_parser::place::PlaceFields;

/// A register with a clock that tests turn.
struct Fixture {
    folder: TempDir,
    register: SqliteRegister,
    clock: Arc<AtomicI64>,
}

impl Fixture {
    fn new() -> Self {
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

    fn pass(&self, seconds: i64) {
        self.clock.fetch_add(seconds * 1000, Ordering::Relaxed);
    }

    fn offer(&self, name: &str, location: Option<&str>) -> Lease {
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
    fn take(&self, name: &str, location: Option<&str>, lines: &[&str]) -> Joined {
        let lease = self.offer(name, location);
        let reading = self.reading(name, location, lines, None);
        self.register
            .finish(&lease, &reading, false, None, "import")
            .unwrap()
    }

    fn reading(
        &self,
        name: &str,
        location: Option<&str>,
        lines: &[&str],
        look: Option<u64>,
    ) -> NewReading {
        let place = location
            .and_then(|tag| self.register.location(tag).unwrap())
            .and_then(|l| GivenPlace::check(l.facts.place).unwrap());
        let evidence = evidence(name, lines);
        NewReading::new(&evidence, &evidence.answer(place.as_ref()), look).unwrap()
    }

    fn still_house(&self) {
        let place = PlaceFields {
            zone: Some("1".to_owned()),
            gas: vec!["ethanol".to_owned()],
            ..PlaceFields::default()
        };
        self.put_place("STILL-HOUSE", place);
    }

    fn put_place(&self, tag: &str, place: PlaceFields) {
        let facts = LocationFacts {
            tag: tag.to_owned(),
            description: None,
            place,
        };
        self.register.put_location(&facts, "site file").unwrap();
    }

    fn outcome(&self, plate: PlateId) -> Option<OutcomeDto> {
        self.register.plate(plate).unwrap().unwrap().row.outcome
    }

    #[track_caller]
    fn is_whole(&self) {
        let mut findings = Vec::new();
        self.register.check(&mut |f| findings.push(f)).unwrap();
        assert_eq!(findings, []);
    }

    fn list(&self, filter: Filter) -> Vec<PlateId> {
        let query = PlateQuery {
            filter,
            ..PlateQuery::default()
        };
        let page = self.register.plates(&query).unwrap();
        page.plates.iter().map(|p| p.id).collect()
    }
}

fn photo(name: &str, location: Option<&str>) -> NewPhoto {
    NewPhoto {
        sha256: name.to_owned(),
        bytes: 1000,
        sighting: Sighting::new(format!("/photos/{name}.jpg")),
        kept: false,
        location: location.map(ToOwned::to_owned),
        tag: None,
    }
}

fn evidence(name: &str, lines: &[&str]) -> Evidence {
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
                },
                line: Line::certain(text),
            })
            .collect(),
    }
}

const MOTOR: [&str; 3] = [
    "II 2 G Ex db IIC T4 Gb",
    "ABC 14 ATEX 1234",
    "Serial No. CB-2019-0042",
];

#[test]
fn a_photo_is_offered_read_and_found() {
    let f = Fixture::new();
    f.still_house();
    let joined = f.take("a", Some("STILL-HOUSE"), &MOTOR);
    let plate = f.register.plate(joined.plate()).unwrap().unwrap();
    assert_eq!(plate.row.location.as_deref(), Some("STILL-HOUSE"));
    assert_eq!(plate.row.serial.as_deref(), Some("CB-2019-0042"));
    assert_eq!(plate.row.outcome, Some(OutcomeDto::Suitable));
    assert_eq!(plate.answer["schema"], 1);
    assert_eq!(plate.photos[0].sources, ["/photos/a.jpg"]);
    // The same bytes at another place: an answer, not a second plate.
    let mut again = photo("a", None);
    again.sighting = Sighting::new("/copy/a.jpg");
    let offered = f.register.offer(&again, "worker", 60, false).unwrap();
    assert!(
        matches!(&offered, Offered::Held { plate: Some(p), first_seen, .. }
            if *p == joined.plate() && first_seen == "/photos/a.jpg"),
        "{offered:?}"
    );
    let plate = f.register.plate(joined.plate()).unwrap().unwrap();
    assert_eq!(plate.photos[0].sources, ["/photos/a.jpg", "/copy/a.jpg"]);
    f.is_whole();
}

#[test]
fn a_stale_worker_is_turned_away() {
    let f = Fixture::new();
    let stale = f.offer("a", None);
    // In good time nobody else gets it.
    assert!(matches!(
        f.register.offer(&photo("a", None), "second", 60, false),
        Ok(Offered::Held { plate: None, .. })
    ));
    assert_eq!(f.register.claim("second", 60).unwrap(), None);
    f.pass(61);
    let fresh = f.register.claim("second", 60).unwrap().unwrap().lease;
    assert!(fresh.fence > stale.fence);
    let reading = f.reading("a", None, &MOTOR, None);
    for late in [
        f.register
            .finish(&stale, &reading, false, None, "first")
            .err(),
        f.register
            .give_up(&stale, "a", &Sorted::Failed("late".into()), None)
            .err(),
        f.register.renew(&stale, 60).err(),
    ] {
        assert!(
            matches!(late, Some(StoreError::LeaseLost { .. })),
            "{late:?}"
        );
    }
    f.register
        .finish(&fresh, &reading, false, None, "second")
        .unwrap();
    // Even a lease that ran out counts while nobody else took the photo.
    let slow = f.offer("b", None);
    f.pass(3600);
    let reading = f.reading("b", None, &["Ex eb IIC T3 Gb"], None);
    f.register
        .finish(&slow, &reading, false, None, "slow")
        .unwrap();
    f.is_whole();
}

#[test]
fn a_failed_photo_is_tried_again_on_demand_and_a_refused_one_always() {
    let f = Fixture::new();
    for (name, sorted) in [
        ("a", Sorted::Failed("the model failed".to_owned())),
        ("b", Sorted::Refused("cut short".to_owned())),
    ] {
        let lease = f.offer(name, None);
        f.register.give_up(&lease, name, &sorted, None).unwrap();
    }
    assert_eq!(
        f.register.offer(&photo("a", None), "w", 60, false).unwrap(),
        Offered::FailedBefore {
            reason: "the model failed".to_owned()
        }
    );
    let failed = f.register.failed(None, 10).unwrap();
    assert_eq!(failed.len(), 1);
    assert_eq!(failed[0].1.sightings[0].source, "/photos/a.jpg");
    for (name, retry) in [("a", true), ("b", false)] {
        let offered = f
            .register
            .offer(&photo(name, None), "w", 60, retry)
            .unwrap();
        assert!(matches!(offered, Offered::ToRead(_)), "{offered:?}");
    }
}

#[test]
fn a_photo_that_ends_the_program_is_not_tried_for_ever() {
    let f = Fixture::new();
    for _ in 0..3 {
        f.offer("a", None);
        f.register.begin_import(&[], "next run").unwrap();
    }
    let offered = f.register.offer(&photo("a", None), "w", 60, false).unwrap();
    assert!(
        matches!(&offered, Offered::FailedBefore { reason } if reason.contains("3 times")),
        "{offered:?}"
    );
    assert_eq!(f.register.claim("w", 60).unwrap(), None);
}

#[test]
fn photos_of_one_plate_are_joined_only_where_that_is_sure() {
    let f = Fixture::new();
    let first = f.take("a", None, &MOTOR).plate();
    let same = f.take("b", None, &["Serial No. CB-2019-0042", "ABC 14 ATEX 1234"]);
    assert_eq!(same, Joined::ByIdentity(first));
    // Another serial number, or the same one under another certificate, is another plate.
    for lines in [
        [
            "Ex db IIC T4 Gb",
            "ABC 14 ATEX 1234",
            "Serial No. CB-2019-0043",
        ],
        [
            "Ex db IIC T4 Gb",
            "ABC 15 ATEX 7777",
            "Serial No. CB-2019-0042",
        ],
    ] {
        let joined = f.take(&lines.concat(), None, &lines);
        assert!(matches!(joined, Joined::New(_)), "{joined:?}");
    }
    let plate = f.register.plate(first).unwrap().unwrap();
    assert_eq!(plate.row.photos, 2);
    assert_eq!(plate.row.marking, "Ex db IIC T4 Gb");
    f.is_whole();
}

#[test]
fn copies_that_look_the_same_are_joined_where_nothing_contradicts() {
    let f = Fixture::new();
    let take = |name: &str, lines: &[&str], look: u64| {
        let lease = f.offer(name, None);
        let reading = f.reading(name, None, lines, Some(look));
        f.register
            .finish(&lease, &reading, false, None, "import")
            .unwrap()
    };
    let first = take("a", &["Ex db IIC T4 Gb"], 0xffff_0000_1234_5678).plate();
    let near = take("b", &["Ex db IIC T4 Gb"], 0xffff_0000_1234_5679);
    assert_eq!(near, Joined::ByLook(first));
    let other = take("c", &["Ex eb IIC T4 Gb"], 0xffff_0000_1234_5678);
    assert!(matches!(other, Joined::New(_)), "{other:?}");
    let far = take("d", &["Ex db IIC T4 Gb"], 0x0f0f_0000_1234_5678);
    assert!(matches!(far, Joined::New(_)), "{far:?}");
    f.is_whole();
}

#[test]
fn photos_that_contradict_each_other_call_a_person_and_the_worst_counts() {
    let f = Fixture::new();
    f.still_house();
    let plate = f.take("a", Some("STILL-HOUSE"), &MOTOR).plate();
    let other = ["II 2 G Ex db IIA T4 Gb", MOTOR[1], MOTOR[2]];
    assert_eq!(f.take("b", Some("STILL-HOUSE"), &other).plate(), plate);
    let record = f.register.plate(plate).unwrap().unwrap();
    assert_eq!(record.row.review, ReviewState::Waiting);
    assert_eq!(record.row.outcome, Some(OutcomeDto::Unsuitable));
    assert!(record.differences[0].contains("IIA"), "{record:?}");
}

#[test]
fn settling_judges_again_and_a_second_person_hears_of_the_first() {
    let f = Fixture::new();
    f.still_house();
    let plate = f.take("a", Some("STILL-HOUSE"), &["Ex db", "IIC"]).plate();
    let seen = f.register.plate(plate).unwrap().unwrap().row.version;
    let corrected = |text: &str| NewSettlement {
        kind: SettlementKind::Corrected,
        lines: vec![text.to_owned()],
        note: Some("looked at it with a lamp".to_owned()),
    };
    let settled = settle(
        &f.register,
        plate,
        seen,
        corrected("Ex db IIC T4 Gb"),
        "Ailsa",
    )
    .unwrap();
    assert_eq!(settled.row.review, ReviewState::Settled);
    assert_eq!(settled.row.outcome, Some(OutcomeDto::Suitable));
    assert_eq!(settled.answer["photo"]["sha256"], "a");
    let error = settle(
        &f.register,
        plate,
        seen,
        corrected("Ex db IIB T4 Gb"),
        "Rory",
    )
    .unwrap_err();
    let text = error.to_string();
    assert!(
        text.contains("Ailsa") && text.contains("corrected"),
        "{text}"
    );
    // Nothing of the refused settlement was kept.
    assert_eq!(f.register.settlements(plate).unwrap().len(), 1);
    let history = f.register.history(Subject::Plate(plate)).unwrap();
    let last = history.last().unwrap();
    assert_eq!(
        (last.who.as_str(), last.what.as_str()),
        ("Ailsa", "corrected")
    );
    assert_eq!(last.before["review"], "waiting");
    assert_eq!(last.after["review"], "settled");
    f.is_whole();
}

#[test]
fn a_settled_plate_can_be_reopened_and_a_new_photo_does_not_override_it() {
    let f = Fixture::new();
    f.still_house();
    let plate = f.take("a", Some("STILL-HOUSE"), &MOTOR).plate();
    let confirm = NewSettlement {
        kind: SettlementKind::Confirmed,
        lines: Vec::new(),
        note: None,
    };
    let settled = settle(&f.register, plate, 1, confirm, "Ailsa").unwrap();
    assert_eq!(settled.settlement.unwrap().lines, MOTOR);
    let other = ["II 2 G Ex db IIA T4 Gb", MOTOR[1], MOTOR[2]];
    f.take("b", Some("STILL-HOUSE"), &other);
    let record = f.register.plate(plate).unwrap().unwrap();
    assert_eq!(record.row.marking, "Ex db IIC T4 Gb");
    assert_eq!(record.row.outcome, Some(OutcomeDto::Suitable));
    assert_eq!(record.row.review, ReviewState::PutBack);
    assert!(record.put_back.unwrap().contains("IIA"));
    let open = f
        .register
        .put_back(plate, record.row.version, "the motor was exchanged", "Rory")
        .unwrap();
    assert_eq!(open.settlement, None);
    assert_eq!(open.row.outcome, Some(OutcomeDto::Unsuitable));
    assert_eq!(open.row.review, ReviewState::PutBack);
    f.is_whole();
}

#[test]
fn who_holds_a_plate_decides_first_and_the_hold_runs_out() {
    let f = Fixture::new();
    let plate = f.take("a", None, &MOTOR).plate();
    f.register.hold(plate, 60, "Ailsa").unwrap();
    assert!(matches!(
        f.register.hold(plate, 60, "Rory"),
        Err(StoreError::Held { who, .. }) if who == "Ailsa"
    ));
    let put_back = |who| f.register.put_back(plate, 1, "later", who);
    assert!(matches!(put_back("Rory"), Err(StoreError::Held { .. })));
    f.register.let_go(plate, "Rory").unwrap();
    assert!(matches!(put_back("Rory"), Err(StoreError::Held { .. })));
    f.pass(61);
    put_back("Rory").unwrap();
}

#[test]
fn another_place_is_judged_again_on_demand_and_settled_lines_stay() {
    let f = Fixture::new();
    f.still_house();
    let read = f.take("a", Some("STILL-HOUSE"), &MOTOR).plate();
    let settled = f
        .take("b", Some("STILL-HOUSE"), &["Ex db IIB T4 Gb"])
        .plate();
    let confirm = NewSettlement {
        kind: SettlementKind::Confirmed,
        lines: Vec::new(),
        note: None,
    };
    settle(&f.register, settled, 1, confirm, "Ailsa").unwrap();
    for plate in [read, settled] {
        assert!(!judge_again(&f.register, plate).unwrap().differs());
    }
    let place = PlaceFields {
        zone: Some("0".to_owned()),
        gas: vec!["ethanol".to_owned()],
        ..PlaceFields::default()
    };
    f.put_place("STILL-HOUSE", place);
    for plate in [read, settled] {
        let again = judge_again(&f.register, plate).unwrap();
        assert!(again.outcome_differs());
        assert_eq!(again.after, Some(OutcomeDto::Unsuitable));
        // Only looked at so far.
        assert_eq!(f.outcome(plate), Some(OutcomeDto::Suitable));
        accept(&f.register, &again, "place changed", "Ailsa").unwrap();
        assert_eq!(f.outcome(plate), Some(OutcomeDto::Unsuitable));
        assert!(f.register.verdicts(plate).unwrap().len() >= 2);
    }
    let record = f.register.plate(settled).unwrap().unwrap();
    assert_eq!(record.row.review, ReviewState::Settled);
    f.is_whole();
}

#[test]
fn plates_are_judged_and_settled_against_the_sites_certificates() {
    let f = Fixture::new();
    f.still_house();
    let plate = f.take("a", Some("STILL-HOUSE"), &MOTOR).plate();
    assert_eq!(f.outcome(plate), Some(OutcomeDto::Suitable));
    // The certificate allows IIB; the plate claims IIC.
    let entry = CertificateEntry::from_fields(&CertificateFields {
        number: "ABC 14 ATEX 1234".to_owned(),
        marking: "II 2 G Ex db IIB T4 Gb".to_owned(),
        ..CertificateFields::default()
    })
    .unwrap();
    let list = CertificateList::new(vec![entry]).unwrap();
    f.register.install_certificates(Some(Arc::new(list)));
    let again = judge_again(&f.register, plate).unwrap();
    assert_eq!(again.after, Some(OutcomeDto::Undecided));
    let confirm = NewSettlement {
        kind: SettlementKind::Confirmed,
        lines: Vec::new(),
        note: None,
    };
    let settled = settle(&f.register, plate, 1, confirm, "Ailsa").unwrap();
    assert_eq!(settled.row.outcome, Some(OutcomeDto::Undecided));
    let answer = settled.answer.to_string();
    assert!(answer.contains("the plate has IIC"), "{answer}");
}

#[test]
fn lists_filter_search_and_page() {
    let f = Fixture::new();
    f.still_house();
    let mut plates = Vec::new();
    for n in 0..7 {
        let serial = format!("Serial No. CB-77{n}");
        let location = (n % 2 == 0).then_some("STILL-HOUSE");
        let lines = ["II 2 G Ex db IIC T4 Gb", "ABC 14 ATEX 1234", &serial];
        plates.push(f.take(&format!("p{n}"), location, &lines).plate());
    }
    let text = |part: &str| Filter {
        text: Some(part.to_owned()),
        ..Filter::default()
    };
    assert_eq!(f.list(text("cb-774")), [plates[4]]);
    assert_eq!(f.list(text("77")), []);
    assert_eq!(f.list(text("CB")), plates);
    assert_eq!(f.list(text("still-h")).len(), 4);
    assert_eq!(f.list(text("\" OR 1")), []);
    let filter = Filter {
        location: Some("still-house".to_owned()),
        outcome: Some(OutcomeFilter::Is(OutcomeDto::Suitable)),
        review: Some(ReviewFilter::Is(ReviewState::NotNeeded)),
        text: Some("ATEX".to_owned()),
        ..Filter::default()
    };
    assert_eq!(f.list(filter).len(), 4);
    let unplaced = Filter {
        no_location: true,
        outcome: Some(OutcomeFilter::NotJudged),
        ..Filter::default()
    };
    assert_eq!(f.list(unplaced).len(), 3);
    // Pages put together are the whole list.
    for order in [Order::Id, Order::Urgency] {
        let mut query = PlateQuery {
            order,
            limit: 2,
            ..PlateQuery::default()
        };
        let mut seen = Vec::new();
        loop {
            let page = f.register.plates(&query).unwrap();
            seen.extend(page.plates.iter().map(|p| p.id));
            let Some(next) = page.next else { break };
            query.after = Some(next);
        }
        seen.sort_unstable();
        assert_eq!(seen, plates);
    }
    let tallies = f.register.tallies().unwrap();
    assert_eq!(tallies.iter().map(|t| t.plates).sum::<u64>(), 7);
    let mut each = 0;
    f.register
        .each_plate(&Filter::default(), &mut |_| {
            each += 1;
            Ok(())
        })
        .unwrap();
    assert_eq!(each, 7);
}

#[test]
fn the_most_urgent_comes_first() {
    let f = Fixture::new();
    f.still_house();
    let clear = f.take("a", Some("STILL-HOUSE"), &MOTOR).plate();
    let blank = f.take("b", Some("STILL-HOUSE"), &["Serial 4711"]).plate();
    let lines = |group| [group, "ABC 14 ATEX 1234", "Serial No. CB-2019-0099"];
    let torn = f.take("c", Some("STILL-HOUSE"), &lines("Ex db IIC T4 Gb"));
    f.take("d", Some("STILL-HOUSE"), &lines("Ex db IIA T4 Gb"));
    let page = f
        .register
        .plates(&PlateQuery {
            filter: Filter {
                review: Some(ReviewFilter::Open),
                ..Filter::default()
            },
            order: Order::Urgency,
            ..PlateQuery::default()
        })
        .unwrap();
    let ids: Vec<PlateId> = page.plates.iter().map(|p| p.id).collect();
    assert_eq!(ids, [torn.plate(), blank], "{clear}");
}

#[test]
fn inspections_are_kept_and_corrected_by_another_one() {
    let f = Fixture::new();
    let plate = f.take("a", None, &MOTOR).plate();
    let new = NewInspection {
        grade: Grade::Close,
        kind: InspectionKind::Periodic,
        date: "2026-11-25".parse().unwrap(),
        inspector: "Ailsa".to_owned(),
        competence: None,
        items: vec![Item {
            item: "marking-suits-place".to_owned(),
            result: ItemResult::Pass,
            note: None,
            ground: Some("group".to_owned()),
        }],
        findings: Vec::new(),
        next: Some("2029-11-25".parse().unwrap()),
        replaces: None,
    };
    let first = f.register.inspect(plate, &new, "Ailsa").unwrap();
    let better = NewInspection {
        replaces: Some(first.id),
        ..new
    };
    f.register.inspect(plate, &better, "Ailsa").unwrap();
    let kept = f.register.inspections(plate).unwrap();
    assert_eq!(kept.len(), 2);
    assert_eq!(kept[0], first);
    assert!(f.register.inspect(PlateId(99), &better, "Ailsa").is_err());
}

#[test]
fn the_accounts_of_an_import_balance() {
    let f = Fixture::new();
    let import = f.register.begin_import(&["/photos".into()], "me").unwrap();
    let lease = f.offer("a", None);
    let reading = f.reading("a", None, &MOTOR, None);
    f.register
        .finish(&lease, &reading, false, Some(import), "me")
        .unwrap();
    for sorted in [
        Sorted::Held,
        Sorted::Refused("no picture".into()),
        Sorted::Failed("unreadable".into()),
        Sorted::Left,
    ] {
        f.register.count(import, "x", &sorted).unwrap();
    }
    let record = f.register.import(import).unwrap().unwrap();
    assert!(record.accounts.balance());
    assert_eq!(record.accounts.seen, 4);
    assert_eq!(record.accounts.left, 1);
    assert_eq!(f.register.problems(import, 0, 10).unwrap().len(), 2);
    f.is_whole();
}

#[test]
fn what_is_only_added_to_cannot_be_changed_even_by_hand() {
    let f = Fixture::new();
    f.take("a", None, &MOTOR);
    let path = f.folder.path().join("corrieburn.register");
    let connection = rusqlite::Connection::open(path).unwrap();
    for table in ["readings", "verdicts", "history"] {
        for sql in [
            format!("DELETE FROM {table}"),
            format!("UPDATE {table} SET id = id + 1"),
        ] {
            let error = connection.execute(&sql, []).unwrap_err().to_string();
            assert!(error.contains("only added to"), "{sql}: {error}");
        }
    }
}
