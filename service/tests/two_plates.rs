//! Two plates on one photo are two pieces of equipment, from the import to the settlement.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

#[path = "support/plates.rs"]
mod support;

use support::{Fixture, MOTOR, on_plates, photo};
use vetplate::answer::OutcomeDto;
use vetplate::register::{
    Joined, NewPhoto, NewReading, NewSettlement, Offered, Photos, PlateId, PlateRecord,
    ReviewState, SettlementKind, Store, accept, judge_afresh, judge_again, settle,
};

/// A motor on the left, a heater on the right that no zone 1 takes.
const TWO: [(usize, &str); 6] = [
    (0, MOTOR[0]),
    (1, "II 3 G Ex ec IIC T4 Gc"),
    (0, MOTOR[1]),
    (1, "ABC 16 ATEX 5678"),
    (0, MOTOR[2]),
    (1, "Serial No. HT-7700-1"),
];

fn plate(f: &Fixture, joined: Joined) -> PlateRecord {
    f.register.plate(joined.plate()).unwrap().unwrap()
}

fn texts(record: &PlateRecord) -> Vec<String> {
    let lines = record.answer["lines"].as_array().unwrap();
    let text = |line: &serde_json::Value| line["text"].as_str().unwrap().to_owned();
    lines.iter().map(text).collect()
}

#[test]
fn each_has_its_lines_its_verdict_and_its_row() {
    let f = Fixture::new();
    f.still_house();
    let joined = f.take_several("a", Some("STILL-HOUSE"), &TWO, None);
    assert_eq!(joined, [Joined::New(PlateId(1)), Joined::New(PlateId(2))]);
    let (motor, heater) = (plate(&f, joined[0]), plate(&f, joined[1]));
    assert_eq!(texts(&motor), MOTOR);
    assert_eq!(texts(&heater)[1], "ABC 16 ATEX 5678");
    assert_eq!(motor.row.serial.as_deref(), Some("CB-2019-0042"));
    assert_eq!(heater.row.serial.as_deref(), Some("HT-7700-1"));
    assert_eq!(motor.row.outcome, Some(OutcomeDto::Suitable));
    assert_eq!(heater.row.outcome, Some(OutcomeDto::Unsuitable));
    assert_eq!(
        (motor.beside, heater.beside),
        (vec![PlateId(2)], vec![PlateId(1)])
    );
    // A person looks whether the lines were put with the right plate.
    assert_eq!(motor.row.review, ReviewState::Waiting);
    let reasons = motor.answer["review"]["reasons"].to_string();
    assert!(reasons.contains("2 plates on the photo"), "{reasons}");
    for record in [motor.row, heater.row] {
        assert_eq!(
            (record.photos, record.location.as_deref()),
            (1, Some("STILL-HOUSE"))
        );
    }
    f.is_whole();
}

#[test]
fn later_photos_find_the_plate_that_they_show() {
    let f = Fixture::new();
    let joined = f.take_several("both", None, &TWO, None);
    let heater = f.take(
        "heater",
        None,
        &["ABC 16 ATEX 5678", "Serial No. HT-7700-1"],
    );
    assert_eq!(heater, Joined::ByIdentity(joined[1].plate()));
    assert_eq!(plate(&f, heater).photos.len(), 2);
    assert_eq!(plate(&f, joined[0]).photos.len(), 1);
    // The two again, in the other order.
    let turned: Vec<(usize, &str)> = TWO.iter().map(|(n, text)| (1 - n, *text)).rev().collect();
    let again = f.take_several("again", None, &turned, None);
    let found: Vec<PlateId> = again.iter().map(|j| j.plate()).collect();
    assert_eq!(found, [joined[1].plate(), joined[0].plate()]);
    f.is_whole();
}

#[test]
fn plates_that_read_alike_on_one_photo_stay_two_and_its_copy_finds_each() {
    let f = Fixture::new();
    let twins = [(0, "Ex db IIC T4 Gb"), (1, "Ex db IIC T4 Gb")];
    let look = Some(0xffff_0000_1234_5678);
    let first = f.take_several("a", None, &twins, look);
    assert_ne!(first[0].plate(), first[1].plate());
    let copy = f.take_several("b", None, &twins, look);
    let expected: Vec<Joined> = first.iter().map(|j| Joined::ByLook(j.plate())).collect();
    assert_eq!(copy, expected);
    f.is_whole();
}

#[test]
fn one_piece_with_two_labels_is_one_plate_with_one_photo() {
    let f = Fixture::new();
    let mut lines: Vec<(usize, &str)> = MOTOR.iter().map(|text| (0, *text)).collect();
    lines.extend(MOTOR.iter().map(|text| (1, *text)));
    let joined = f.take_several("a", None, &lines, None);
    assert_eq!(joined[1], Joined::ByIdentity(joined[0].plate()));
    let record = plate(&f, joined[0]);
    assert_eq!((record.row.photos, record.photos.len()), (1, 1));
    assert_eq!(record.beside, []);
    f.is_whole();
}

#[test]
fn settling_one_leaves_the_other() {
    let f = Fixture::new();
    f.still_house();
    let joined = f.take_several("a", Some("STILL-HOUSE"), &TWO, None);
    let heater = plate(&f, joined[1]);
    let confirm = NewSettlement {
        kind: SettlementKind::Confirmed,
        lines: Vec::new(),
        note: None,
    };
    let settled = settle(
        &f.register,
        heater.row.id,
        heater.row.version,
        confirm,
        "Ailsa",
    )
    .unwrap();
    assert_eq!(settled.settlement.unwrap().lines.len(), 3);
    assert_eq!(settled.row.outcome, Some(OutcomeDto::Unsuitable));
    assert_eq!(plate(&f, joined[0]).row.review, ReviewState::Waiting);
    f.is_whole();
}

#[test]
fn a_tag_that_a_list_gives_such_a_photo_is_given_to_neither_and_asked_about() {
    let f = Fixture::new();
    let photo = NewPhoto {
        tag: Some("M-101".to_owned()),
        ..photo("a", None)
    };
    let Offered::ToRead(lease) = f.register.offer(&photo, "worker", 60, false).unwrap() else {
        panic!("the photo is new")
    };
    let readings = f.readings("a", None, &TWO, None);
    for one in f
        .register
        .finish(&lease, &readings, false, None, "import")
        .unwrap()
    {
        let record = plate(&f, one);
        assert_eq!(record.row.tag, None);
        assert!(record.differences[0].contains("M-101"), "{record:?}");
    }
}

#[test]
fn a_photo_that_was_kept_as_one_plate_comes_apart_when_it_is_judged_again() {
    let f = Fixture::new();
    f.still_house();
    let lease = f.offer("a", Some("STILL-HOUSE"));
    // As earlier versions kept it: one reading of all lines.
    let whole = on_plates("a", &TWO);
    let reading = NewReading::new(&whole, &whole.answer(None), None).unwrap();
    let joined = f
        .register
        .finish(&lease, &[reading], false, None, "import")
        .unwrap();
    assert_eq!(joined.len(), 1);
    let again = judge_again(&f.register, PlateId(1)).unwrap();
    assert_eq!(again.further().collect::<Vec<_>>(), ["Ex ec IIC T4 Gc"]);
    assert!(f.register.plate(PlateId(2)).unwrap().is_none());
    accept(&f.register, &again, "judged again", "Ailsa").unwrap();
    let (motor, heater) = (
        plate(&f, Joined::New(PlateId(1))),
        plate(&f, Joined::New(PlateId(2))),
    );
    assert_eq!(texts(&motor), MOTOR);
    assert_eq!(heater.row.serial.as_deref(), Some("HT-7700-1"));
    assert_eq!(heater.row.outcome, Some(OutcomeDto::Unsuitable));
    f.is_whole();
    // Once is enough.
    for id in [PlateId(1), PlateId(2)] {
        assert!(!judge_again(&f.register, id).unwrap().differs());
    }
    assert_eq!(f.register.readings(PlateId(1)).unwrap().len(), 2);
    assert_eq!(f.register.readings(PlateId(2)).unwrap().len(), 1);
}

#[test]
fn a_photo_that_is_read_anew_goes_to_the_plates_where_it_was() {
    let f = Fixture::new();
    let joined = f.take_several("a", None, &TWO, None);
    // The other order, one letter that was not there before, and a third plate.
    let mut anew: Vec<(usize, &str)> = TWO.to_vec();
    anew.reverse();
    anew[0].1 = "Serial No. HT-7700-12";
    anew.push((2, "Ex ia IIC T6 Ga"));
    let fresh = on_plates("a", &anew);
    for one in &joined {
        let again = judge_afresh(&f.register, one.plate(), &mut |_| {
            Some((fresh.clone(), None))
        });
        accept(&f.register, &again.unwrap(), "judged again", "Ailsa").unwrap();
    }
    assert_eq!(
        plate(&f, joined[0]).row.serial.as_deref(),
        Some("CB-2019-0042")
    );
    assert_eq!(
        plate(&f, joined[1]).row.serial.as_deref(),
        Some("HT-7700-12")
    );
    assert_eq!(
        plate(&f, Joined::New(PlateId(3))).row.marking,
        "Ex ia IIC T6 Ga"
    );
    f.is_whole();
    // Lines that are not told apart any more are not put with either.
    let one = on_plates("a", &TWO.map(|(_, text)| (0, text)));
    let again = judge_afresh(&f.register, joined[0].plate(), &mut |_| {
        Some((one.clone(), None))
    });
    let again = again.unwrap();
    assert!(!again.differs(), "{again:?}");
    assert!(again.unused()[0].contains("fewer plates"), "{again:?}");
}
