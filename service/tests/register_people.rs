//! What people do with plates: find, decide, put back, inspect. Nothing is overwritten, and nobody
//! overwrites anybody.

#[path = "support/plates.rs"]
mod plates;

use plates::{Fixture, MOTOR};
use std::sync::Arc;
use vetplate::CertificateFile;
use vetplate::answer::OutcomeDto;
use vetplate::register::{
    Filter, Grade, InspectionKind, Item, ItemResult, NewInspection, NewSettlement, Order,
    OutcomeFilter, PlateId, PlateQuery, ReviewFilter, ReviewState, SettlementKind, SqliteRegister,
    Store, StoreError, Subject, accept, judge_again, settle,
};
use vetplate_parser::certificates::{CertificateEntry, CertificateFields, CertificateList};
use vetplate_parser::place::PlaceFields;

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
    f.register.try_certificates(Arc::new(list));
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
fn a_list_of_certificates_stays_in_the_register_and_a_newer_one_takes_its_place() {
    let f = Fixture::new();
    f.still_house();
    let plate = f.take("a", Some("STILL-HOUSE"), &MOTOR).plate();
    let file = |name: &str, group: &str| {
        let path = f.folder.path().join(name);
        let text = format!("number,marking\nABC 14 ATEX 1234,II 2 G Ex db {group} T4 Gb\n");
        std::fs::write(&path, text).unwrap();
        CertificateFile::load(&path).unwrap()
    };
    let narrow = file("2025.csv", "IIB");
    assert!(f.register.keep_certificates(&narrow, "Ailsa").unwrap());
    // The same once more is no change.
    assert!(!f.register.keep_certificates(&narrow, "Ben").unwrap());
    // Another program opens the register and needs no flag.
    let other = SqliteRegister::open(f.register.path(), false, f.register.environment().clone());
    let other = other.unwrap();
    let again = judge_again(&other, plate).unwrap();
    assert_eq!(again.after, Some(OutcomeDto::Undecided));
    // It hears of the newer list that is given meanwhile.
    f.pass(60);
    let wide = file("2026.csv", "IIC");
    assert!(f.register.keep_certificates(&wide, "Ben").unwrap());
    let again = judge_again(&other, plate).unwrap();
    assert_eq!(again.after, Some(OutcomeDto::Suitable));
    let lists = f.register.certificate_lists().unwrap();
    let told: Vec<(&str, &str)> = lists
        .iter()
        .map(|l| (l.source.as_str(), l.who.as_str()))
        .collect();
    assert_eq!(told, [("2026.csv", "Ben"), ("2025.csv", "Ailsa")]);
    assert!(lists[0].at > lists[1].at && lists[0].sha256 != lists[1].sha256);
    f.is_whole();
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
fn a_corrected_plate_stays_settled_when_its_place_changes() {
    let f = Fixture::new();
    f.still_house();
    let plate = f
        .take("a", Some("STILL-HOUSE"), &["Ex db IIC T4 Gb"])
        .plate();
    let correction = NewSettlement {
        kind: SettlementKind::Corrected,
        lines: vec!["Ex db IIB T4 Gb".to_owned()],
        note: None,
    };
    settle(&f.register, plate, 1, correction, "Ailsa").unwrap();
    let hydrogen = PlaceFields {
        zone: Some("1".to_owned()),
        gas: vec!["hydrogen".to_owned()],
        ..PlaceFields::default()
    };
    f.put_place("STILL-HOUSE", hydrogen);
    let again = judge_again(&f.register, plate).unwrap();
    accept(&f.register, &again, "place changed", "Ailsa").unwrap();
    let record = f.register.plate(plate).unwrap().unwrap();
    // Hydrogen is IIC, so that the correction makes the difference.
    assert_eq!(record.row.outcome, Some(OutcomeDto::Unsuitable));
    assert_eq!(record.row.marking, "Ex db IIB T4 Gb");
    assert_eq!(record.row.review, ReviewState::Settled);
    f.is_whole();
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
