//! Photos through the queue of the register: offered, read once, joined to their plates.

#[path = "support/plates.rs"]
mod plates;

use plates::{Fixture, MOTOR, photo};
use vetplate::answer::OutcomeDto;
use vetplate::register::{
    Asked, Joined, Offered, Photos, ReviewState, Sighting, Sorted, Store, StoreError,
};

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
            .finish(&stale, std::slice::from_ref(&reading), false, None, "first")
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
        .finish(&fresh, &[reading], false, None, "second")
        .unwrap();
    // Even a lease that ran out counts while nobody else took the photo.
    let slow = f.offer("b", None);
    f.pass(3600);
    let reading = f.reading("b", None, &["Ex eb IIC T3 Gb"], None);
    f.register
        .finish(&slow, &[reading], false, None, "slow")
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
        f.register
            .begin_import(&[], &Asked::default(), "next run")
            .unwrap();
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
            .finish(&lease, &[reading], false, None, "import")
            .unwrap()[0]
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
fn the_accounts_of_an_import_balance() {
    let f = Fixture::new();
    let import = f
        .register
        .begin_import(&["/photos".into()], &Asked::default(), "me")
        .unwrap();
    let lease = f.offer("a", None);
    let reading = f.reading("a", None, &MOTOR, None);
    f.register
        .finish(&lease, &[reading], false, Some(import), "me")
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
