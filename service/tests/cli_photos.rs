//! Photos from the command line.

#[path = "support/program.rs"]
mod program;

use program::{PLACE, file, photo, run, run_with_input};
use serde_json::Value;
use std::ffi::OsStr;
use tempfile::TempDir;
use vetplate_fixtures::bad_inputs;

#[test]
fn a_photo_is_read_from_end_to_end() {
    let folder = TempDir::new().unwrap();
    let drawing = folder.path().join("drawing.png");
    let path = photo("still-house-pump-motor.jpg");
    let args = [
        OsStr::new("read"),
        path.as_os_str(),
        OsStr::new("--json"),
        OsStr::new("--annotate"),
        drawing.as_os_str(),
    ];
    let ended = run(args.into_iter().chain(PLACE.iter().map(OsStr::new)));
    assert_eq!(ended.code, 0, "{}", ended.err);
    let json = ended.json();
    assert_eq!(json["photo"]["file"], path.to_str().unwrap());
    assert_eq!(json["markings"][0]["text"], "Ex db eb IIC T4 Gb");
    assert_eq!(json["verdict"]["outcome"], "conditional");
    assert_eq!(json["lines"][0]["quad"].as_array().unwrap().len(), 4);
    assert!(!json["versions"]["models"].as_array().unwrap().is_empty());
    let drawn = std::fs::read(drawing).unwrap();
    assert!(drawn.starts_with(b"\x89PNG"));
    // From standard input the same photo gives the same answer, but for its name.
    let bytes = std::fs::read(&path).unwrap();
    let piped = run_with_input(
        &["read", "-", "--json", "--zone", "1", "--gas", "ethanol"],
        &bytes,
    );
    let mut piped = piped.json();
    piped["photo"]["file"] = json["photo"]["file"].clone();
    assert_eq!(piped, json);
}

#[test]
fn one_bad_photo_never_stops_the_rest() {
    let folder = TempDir::new().unwrap();
    let text = file(&folder, "text.jpg", "not a picture");
    let good = photo("still-house-pump-motor.jpg");
    let missing = folder.path().join("missing.jpg");
    let inputs = [
        OsStr::new("read"),
        OsStr::new(&text),
        missing.as_os_str(),
        folder.path().as_os_str(),
        good.as_os_str(),
        OsStr::new("--json"),
    ];
    let ended = run(inputs);
    assert_eq!(ended.code, 3);
    assert_eq!(ended.json()["markings"][0]["text"], "Ex db eb IIC T4 Gb");
    let messages: Vec<&str> = ended.err.lines().collect();
    assert_eq!(messages.len(), 3, "{}", ended.err);
    assert!(messages[0].contains("text.jpg: the file is not a picture"));
    assert!(messages[1].contains("missing.jpg: there is no such file"));
    assert!(messages[2].contains("this is a folder"));
}

#[test]
fn unusual_pictures_are_read_and_broken_ones_refused() {
    let folder = TempDir::new().unwrap();
    let names: Vec<(String, bool)> = bad_inputs()
        .into_iter()
        .map(|(name, bytes)| {
            let usable = name.starts_with("ok-") || name == "animated.webp";
            (file(&folder, name, bytes), usable)
        })
        .collect();
    let args = ["read", "--json"]
        .into_iter()
        .chain(names.iter().map(|(name, _)| name.as_str()));
    let ended = run(args);
    assert_eq!(ended.code, 3);
    let answers: Vec<Value> = ended
        .out
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    for (name, usable) in &names {
        let answer = answers.iter().find(|a| a["photo"]["file"] == **name);
        let complaint = ended.err.lines().find(|line| line.contains(name.as_str()));
        assert_eq!(answer.is_some(), *usable, "{name}: {complaint:?}");
        assert_eq!(complaint.is_none(), *usable, "{name}: {complaint:?}");
        if let Some(answer) = answer {
            // Nothing is invented on pictures without a plate.
            assert_eq!(answer["markings"], serde_json::json!([]), "{name}");
            assert_eq!(answer["review"]["needed"], true);
        }
    }
}
