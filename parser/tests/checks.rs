//! The plate checks by name: those that the trade asks of every plate are all there.
//!
//! **Source:** derived from IEC 60079-0 clause 29, the type standards and 2014/34/EU; the list itself
//! is common practice.

use vetplate_parser::{CHECKS, Check, Line, read};

const ASKED: &[&str] = &[
    "EPL stronger than type of protection",
    "EPL weaker than type of protection",
    "ATEX category and EPL disagree",
    "ATEX category stronger than type of protection",
    "atmosphere letter and marking disagree",
    "ATEX group and equipment group disagree",
    "EPL does not fit group",
    "type of protection does not fit atmosphere",
    "temperature class missing",
    "dust surface temperature missing",
    "temperature class on dust marking",
    "temperature class and surface temperature disagree",
    "temperature class does not exist",
    "North American temperature code on IEC marking",
    "temperature class on mining marking",
    "group letter missing",
    "group missing",
    "group does not exist",
    "level of protection does not exist",
    "level of protection older than its standard",
    "EPL older than its standard",
    "dust group older than its standard",
    "withdrawn type on recent certificate",
    "EEx on recent certificate",
    "EEx mixed with EPL or level letter",
    "certificate year before the scheme",
    "made before certificate",
    "notified body number missing",
    "notified body number not expected",
    "notified body number malformed",
    "certificate number missing",
    "IP below minimum for type of protection",
    "IP below minimum for dust group",
    "ambient range reversed",
    "ambient at or above surface temperature limit",
    "temperature range of one class",
    "output parameters on field device",
    "brackets missing around associated apparatus",
    "brackets unbalanced",
    "associated apparatus without output parameters",
    "power exceeds voltage times current",
    "power below a quarter of voltage times current",
    "component with temperature class",
    "both X and U",
    "da outside gas sensor use",
    "class and group disagree",
    "division does not exist",
    "zone does not exist",
    "zone and EPL disagree",
    "old dust type with EPL",
    "certificate scheme and mark disagree",
    "two strings, same atmosphere, different values",
    "CE mark on a component",
    "room type on an item",
];

fn all() -> impl Iterator<Item = &'static Check> {
    CHECKS.iter().flat_map(|list| list.iter())
}

#[test]
fn every_check_of_the_list_is_there() {
    let missing: Vec<_> = ASKED
        .iter()
        .filter(|name| all().all(|check| check.name != **name))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn every_source_says_how_it_is_known() {
    let silent: Vec<_> = all()
        .filter(|check| {
            !["checked", "memory", "practice", "arithmetic"]
                .iter()
                .any(|word| check.source.contains(word))
        })
        .map(|check| (check.name, check.source))
        .collect();
    assert!(silent.is_empty(), "{silent:?}");
}

#[test]
fn a_category_line_in_pieces_is_looked_at_and_a_whole_one_is_not() {
    let odd = |lines: &[&str]| {
        let lines: Vec<Line> = lines.iter().map(|text| Line::certain(text)).collect();
        let reading = read(&lines);
        let mut found = reading.best().suspicions.iter();
        found.any(|s| s.check == "category line could not be read")
    };
    let number = "ABC 14 ATEX 1234";
    assert!(odd(&["II", "1", "G", "Ex ia IIC T4 Ga", number]));
    assert!(odd(&["⬢II", "1", "G", "Ex ia IIC T4 Ga", number]));
    assert!(!odd(&["II 1 G", "Ex ia IIC T4 Ga", number]));
    assert!(!odd(&["Model II", "II 1 G", "Ex ia IIC T4 Ga", number]));
}
