//! The program as a user meets it: arguments in, output and exit code out.

#[path = "support/program.rs"]
mod program;

use program::{PLACE, decode, ended, program, run, run_with_input};
use serde_json::Value;
use std::process::Stdio;

#[test]
fn the_outcome_stands_in_the_first_line() {
    let cases = [
        ("Ex db IIC T4 Gb", "1", "SUITABLE for zone 1, ethanol."),
        ("Ex db IIC T4 Gb", "0", "UNSUITABLE for zone 0, ethanol."),
        (
            "ABC 14 ATEX 1234 X; Ex db IIC T4 Gb",
            "1",
            "CONDITIONAL for zone 1, ethanol",
        ),
        ("Ex db IIC", "1", "UNDECIDED for zone 1, ethanol"),
        (
            "Serial 4711",
            "1",
            "UNDECIDED for zone 1, ethanol: no marking was read.",
        ),
    ];
    for (text, zone, first) in cases {
        let ended = decode(text, &["--zone", zone, "--gas", "ethanol"]);
        assert_eq!(ended.code, 0, "{text}: {}", ended.err);
        assert!(ended.out.starts_with(first), "{text}:\n{}", ended.out);
        assert_eq!(ended.err, "");
    }
}

#[test]
fn people_get_every_piece_and_every_clause_in_80_columns() {
    let ended = decode("II 2 G Ex db eb llC T4 Gb; IP66", &PLACE);
    for part in [
        "read as        Ex db eb llC T4 Gb",
        "repaired       \"llC\" to \"IIC\"",
        "flameproof enclosure",
        "increased safety",
        "IEC 60079-14",
        "serves         zones 1, 2",
        "Keep in mind",
    ] {
        assert!(
            ended.out.contains(part),
            "{part} is missing:\n{}",
            ended.out
        );
    }
    for line in ended.out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn every_language_says_the_same_in_80_columns() {
    let text = "II 2 G Ex db [ia Ga] eb llC T4 Gb; ABC 19 ATEX 1234 X; IP66";
    let say = |language: &str| {
        let more = [&PLACE[..], &["--language", language]].concat();
        decode(text, &more).out
    };
    let english = say("en");
    assert_eq!(say("es"), english);
    for (language, parts) in [
        (
            "de",
            [
                "BEDINGT GEEIGNET für Zone 1",
                "druckfeste Kapselung",
                "Zu bedenken",
                "geprüft",
            ],
        ),
        (
            "fr",
            [
                "SOUS CONDITIONS pour zone 1",
                "enveloppe antidéflagrante",
                "À garder à l'esprit",
                "vérifié",
            ],
        ),
    ] {
        let said = say(language);
        for part in parts {
            assert!(said.contains(part), "{part} is missing:\n{said}");
        }
        for line in said.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        // No sentence is left in English; figures and a standard alone are the same.
        for line in said
            .lines()
            .filter(|line| line.split_whitespace().count() > 6)
        {
            assert!(!english.contains(line), "{line}");
        }
    }
    let by_setting = ended(
        program()
            .args(["decode", text])
            .env("VETPLATE_LANGUAGE", "de_CH.UTF-8")
            .output()
            .unwrap(),
    );
    assert!(
        by_setting.out.contains("NICHT BEURTEILT"),
        "{}",
        by_setting.out
    );
}

#[test]
fn json_is_schema_1_and_always_the_same() {
    let first = decode(
        "Ex db eb IIC T4 Gb",
        &["--json", "--zone", "1", "--gas", "ethanol"],
    );
    let json = first.json();
    assert_eq!(json["schema"], 1);
    assert_eq!(json["lines"][0]["text"], "Ex db eb IIC T4 Gb");
    assert_eq!(json["lines"][0].get("quad"), None);
    assert_eq!(json.get("photo"), None);
    let marking = &json["markings"][0];
    assert_eq!(marking["scheme"], "iec");
    assert_eq!(marking["protections"][0]["code"], "d");
    assert_eq!(marking["protections"][0]["level"], "b");
    assert_eq!(marking["protections"][0]["epl"], "Gb");
    assert_eq!(marking["protections"][0]["associated"], false);
    assert_eq!(marking["protections"][0]["standard"], "IEC 60079-1");
    assert_eq!(marking["zones"], serde_json::json!(["1", "2"]));
    assert_eq!(json["ambient_c"], serde_json::json!([-20, 40]));
    assert_eq!(json["ambient_marked"], false);
    assert_eq!(json["verdict"]["outcome"], "suitable");
    assert_eq!(json["review"]["needed"], false);
    let again = decode(
        "Ex db eb IIC T4 Gb",
        &["--json", "--zone", "1", "--gas", "ethanol"],
    );
    assert_eq!(first.out, again.out);
}

#[test]
fn standard_input_holds_one_plate_a_line_or_one_in_all() {
    let input = "Ex db IIC T4 Gb\n\nII 3 G; Ex ec IIC T3 Gc\n";
    let several = run_with_input(&["decode", "-", "--json"], input.as_bytes());
    assert_eq!(several.code, 0);
    let texts: Vec<Value> = several
        .out
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap()["markings"][0]["text"].clone())
        .collect();
    assert_eq!(texts, ["Ex db IIC T4 Gb", "Ex ec IIC T3 Gc"]);
    let input = "Ex db IIC T4 Gb\nABC 14 ATEX 1234 X\nIP66\n";
    let one = run_with_input(&["decode", "-", "--plate", "--json"], input.as_bytes()).json();
    assert_eq!(one["lines"].as_array().unwrap().len(), 3);
    assert_eq!(one["certificates"][0]["suffix"], "X");
    assert_eq!(one["ip"], "IP66");
}

#[test]
fn text_that_cannot_be_used_ends_with_3() {
    for (args, input) in [
        (vec!["decode", ""], ""),
        (vec!["decode", "-"], "\n \n"),
        (vec!["decode", " ; "], ""),
    ] {
        let ended = run_with_input(&args, input.as_bytes());
        assert_eq!(ended.code, 3, "{args:?}");
        assert!(ended.err.contains("empty"), "{}", ended.err);
    }
    let much = run_with_input(&["decode", "-"], "x".repeat(20_000).as_bytes());
    assert_eq!(much.code, 3);
    let latin1 = run_with_input(&["decode", "-"], b"T120 \xb0C");
    assert_eq!(latin1.code, 3);
    assert!(latin1.err.contains("UTF-8"));
}

#[test]
fn bad_usage_ends_with_2_and_says_what_to_type() {
    run(["decode"]).is_usage("<TEXT>");
    run(["read"]).is_usage("<PHOTO>");
    run(["nonsense"]).is_usage("nonsense");
    let text = "Ex db IIC T4 Gb";
    decode(text, &["--zone", "7"]).is_usage("--zone: '7'");
    decode(text, &["--zone", "1", "--gas", "unobtainium"]).is_usage("--gas: 'unobtainium'");
    decode(text, &["--zone", "1", "--gas", "ethnol"]).is_usage("ethanol");
    decode(text, &["--ambient-c", "40..-20"]).is_usage("-20..40");
    decode(text, &["--ignition-c", "hot"]).is_usage("--ignition-c");
    decode(text, &["--epl", "Gd"]).is_usage("--epl");
    decode(text, &["--fail-on", "suitable"]).is_usage("--fail-on");
    decode(text, &["--fail-on", "unsuitable"]).is_usage("needs a place");
    decode(text, &["--location", "STILL-1"]).is_usage("--site");
    run(["decode", "Ex", "db", "IIC", "T4", "Gb"]).is_usage("'Ex db IIC T4 Gb'");
    run(["read", "a.jpg", "b.jpg", "--annotate", "c.png"]).is_usage("folder");
    run(["read", "a.jpg", "--annotate", "c.jpg"]).is_usage(".png");
}

#[test]
fn every_fault_of_a_place_is_named_at_once() {
    let ended = decode(
        "Ex db IIC T4 Gb",
        &["--zone", "7", "--ambient-c", "40..-20"],
    );
    ended.is_usage("--zone");
    ended.is_usage("--ambient-c");
}

#[test]
fn fail_on_takes_an_outcome_or_worse() {
    let outcomes = [
        ("Ex db IIC T4 Gb", "suitable"),
        ("ABC 14 ATEX 1234 X; Ex db IIC T4 Gb", "conditional"),
        ("Ex db IIC", "undecided"),
        ("Ex ec IIC T4 Gc", "unsuitable"),
    ];
    let limits = ["conditional", "undecided", "unsuitable"];
    for (rank, (text, outcome)) in outcomes.iter().enumerate() {
        for (limit_rank, limit) in limits.iter().enumerate() {
            let more = [
                "--fail-on",
                limit,
                "--zone",
                "1",
                "--gas",
                "ethanol",
                "--json",
            ];
            let ended = decode(text, &more);
            assert_eq!(ended.json()["verdict"]["outcome"], *outcome, "{text}");
            let expected = if rank > limit_rank { 4 } else { 0 };
            assert_eq!(ended.code, expected, "{text} --fail-on {limit}");
        }
    }
    let review = decode("Serial 4711", &["--fail-on", "review"]);
    assert_eq!(review.code, 4);
    assert_eq!(decode("Ex db IIC T4 Gb", &["--fail-on", "review"]).code, 0);
}

#[test]
fn substances_are_looked_up() {
    let found = run(["substance", "64-17-5", "--json"]).json();
    assert_eq!(found["substances"][0]["name"], "ethanol");
    let people = run(["substance", "ethanol"]);
    assert_eq!(people.code, 0);
    assert!(people.out.starts_with("ethanol (gas or vapour)"));
    let near = run(["substance", "ethnol"]);
    assert_eq!(near.code, 0);
    assert!(near.out.starts_with("ethanol (gas or vapour)"));
    let message = "not in the table; this is the nearest: ethanol";
    assert!(near.err.contains(message), "{}", near.err);
    let several = run(["substance", "propanol"]);
    assert_eq!((several.code, several.out.as_str()), (3, ""));
    for name in ["propan-1-ol", "propan-2-ol"] {
        assert!(several.err.contains(name), "{}", several.err);
    }
}

#[test]
fn a_place_says_what_it_asks_for() {
    let ended = run(["require", "--json"].into_iter().chain(PLACE));
    assert_eq!(ended.code, 0, "{}", ended.err);
    let json = ended.json();
    assert_eq!(json["needs"][0]["epl"], "Gb");
    assert_eq!(json["needs"][0]["group"], "IIB");
    assert_eq!(json["needs"][0]["category"], "II 2 G");
    let symbols = json["needs"][0]["types"].to_string();
    assert!(
        symbols.contains("\"db\"") && !symbols.contains("\"ec\""),
        "{symbols}"
    );
    let people = run(["require"].into_iter().chain(PLACE));
    assert!(people.out.starts_with("Order: "), "{}", people.out);
    run(["require"]).is_usage("--zone");
    run(["require", "--zone", "7"]).is_usage("--zone: '7'");
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let mut child = program()
        .args(["substance", "ethanol", "hydrogen", "methane"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let ended = ended(child.wait_with_output().unwrap());
    assert_eq!((ended.code, ended.err.as_str()), (0, ""));
}

#[test]
fn help_lists_only_what_works() {
    let help = run(["--help"]);
    assert_eq!(help.code, 0);
    for command in ["read", "decode", "require", "loop", "substance", "serve"] {
        assert!(
            help.out.contains(&format!("\n  {command} ")),
            "{}",
            help.out
        );
        assert_eq!(run([command, "--help"]).code, 0);
    }
    assert_eq!(run(["--version"]).code, 0);
}
