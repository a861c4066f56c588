//! Time of a verdict from text: all rules, one thread. The floor is 50 µs.

use vetplate_parser::place::{Place, PlaceFields};
use vetplate_parser::verdict::{Outcome, judge, judge_plate};
use vetplate_parser::{Line, read};

fn main() {
    divan::main();
}

fn still_house() -> Place {
    Place::from_fields(&PlaceFields {
        zone: Some("1".into()),
        gas: vec!["ethanol".into()],
        ..PlaceFields::default()
    })
    .expect("a place of this bench")
}

const TEXT: &str = "II 2 G Ex db eb IIC T4 Gb ABC 18 ATEX 1234";

#[divan::bench]
fn rules_alone(bencher: divan::Bencher) {
    let place = still_house();
    let reading = read(&[Line::certain(TEXT)]);
    let best = reading.best();
    bencher.bench(|| {
        let verdict = judge_plate(&best.plate, &best.suspicions, &place);
        assert_eq!(verdict.outcome, Outcome::Suitable);
    });
}

#[divan::bench]
fn from_text(bencher: divan::Bencher) {
    let place = still_house();
    bencher.bench(|| {
        let verdict = judge(&read(&[Line::certain(TEXT)]), &place);
        assert_eq!(verdict.outcome, Outcome::Suitable);
    });
}
