//! The program as a user meets it: arguments in, output and exit code out.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use serde_json::Value;
use std::ffi::OsStr;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;
use vetplate_fixtures::bad_inputs;

struct Ended {
    code: i32,
    out: String,
    err: String,
}

impl Ended {
    #[track_caller]
    fn json(&self) -> Value {
        assert_eq!(self.out.lines().count(), 1, "{}{}", self.out, self.err);
        serde_json::from_str(&self.out).unwrap()
    }

    /// Bad usage: exit code 2, nothing on standard output, and a message with `part`.
    #[track_caller]
    fn is_usage(&self, part: &str) {
        assert_eq!(self.code, 2, "{}", self.err);
        assert_eq!(self.out, "");
        assert!(self.err.contains(part), "{}", self.err);
    }
}

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_vetplate"));
    // Settings of whoever runs the tests must not reach them.
    command.env_clear().stdin(Stdio::null());
    command
}

fn run<S: AsRef<OsStr>>(args: impl IntoIterator<Item = S>) -> Ended {
    ended(program().args(args).output().unwrap())
}

fn ended(output: std::process::Output) -> Ended {
    Ended {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

fn run_with_input(args: &[&str], input: &[u8]) -> Ended {
    let mut child = program()
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The program may end before it has read everything.
    let _ = child.stdin.take().unwrap().write_all(input);
    ended(child.wait_with_output().unwrap())
}

fn decode(text: &str, more: &[&str]) -> Ended {
    run([&["decode", text], more].concat())
}

/// A photo of the repository.
fn photo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures/photos")
        .join(name)
}

fn file(folder: &TempDir, name: &str, content: impl AsRef<[u8]>) -> String {
    let path = folder.path().join(name);
    std::fs::write(&path, content).unwrap();
    path.to_str().unwrap().to_owned()
}

const PLACE: [&str; 4] = ["--zone", "1", "--gas", "ethanol"];

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
fn a_site_file_gives_the_place_and_flags_outrank_it() {
    let folder = TempDir::new().unwrap();
    let csv = file(
        &folder,
        "site.csv",
        "tag,description,zone,gas,ambient_c\nSTILL-1,Still house,1,ethanol,-10..45\n\
         BOILER,Boiler house,2,hydrogen,\n",
    );
    let toml = file(
        &folder,
        "site.toml",
        "[[location]]\ntag = \"STILL-1\"\nzone = 1\ngas = [\"ethanol\"]\nambient_c = [-10, 45]\n",
    );
    let mut bodies = Vec::new();
    for site in [&csv, &toml] {
        let more = ["--site", site, "--location", "STILL-1", "--json"];
        let json = decode("Ex db IIC T4 Gb", &more).json();
        assert_eq!(
            json["verdict"]["place"]["gas"],
            serde_json::json!(["ethanol"])
        );
        assert_eq!(
            json["verdict"]["place"]["ambient_c"],
            serde_json::json!([-10, 45])
        );
        bodies.push(json);
    }
    assert_eq!(bodies[0], bodies[1]);
    let more = [
        "--site",
        &csv,
        "--location",
        "STILL-1",
        "--zone",
        "0",
        "--json",
    ];
    let json = decode("Ex db IIC T4 Gb", &more).json();
    assert_eq!(json["verdict"]["place"]["zone"], "0");
    assert_eq!(json["verdict"]["outcome"], "unsuitable");
}

#[test]
fn a_place_that_contradicts_itself_is_refused_with_the_reason() {
    let folder = TempDir::new().unwrap();
    let site = file(
        &folder,
        "site.csv",
        "tag,zone,gas,dust,epl\nA,1,,wood,\nB,21,ethanol,,\nC,1,ethanol,,Db\n",
    );
    for (tag, flags, reason) in [
        (
            "A",
            vec!["--zone", "1", "--dust", "wood"],
            "only dust is described",
        ),
        (
            "B",
            vec!["--zone", "21", "--gas", "ethanol"],
            "only gas is described",
        ),
        (
            "C",
            vec!["--zone", "1", "--gas", "ethanol", "--epl", "Db"],
            "does not speak of the atmosphere",
        ),
    ] {
        decode("Ex db IIC T4 Gb", &flags).is_usage(reason);
        decode("Ex db IIC T4 Gb", &["--site", &site, "--location", tag]).is_usage(reason);
    }
}

#[test]
fn faults_of_a_site_file_name_row_and_column() {
    let folder = TempDir::new().unwrap();
    let text = "Ex db IIC T4 Gb";
    let zone = file(&folder, "zone.csv", "tag,zone\nA,1\nB,7\n");
    decode(text, &["--site", &zone, "--location", "B"]).is_usage("row 3, column zone: '7'");
    assert_eq!(decode(text, &["--site", &zone, "--location", "A"]).code, 0);
    decode(text, &["--site", &zone, "--location", "C"]).is_usage("no location has the tag \"C\"");
    let column = file(&folder, "column.csv", "tag,gasgroup\nA,IIB\n");
    decode(text, &["--site", &column, "--location", "A"]).is_usage("row 1, column 2 (gasgroup)");
    let toml = file(&folder, "broken.toml", "[[location]\n");
    decode(text, &["--site", &toml, "--location", "A"]).is_usage("line 1");
    decode(text, &["--site", "/nowhere.csv", "--location", "A"]).is_usage("/nowhere.csv");
}

const SOURCE: &str = "[Ex ia Ga] IIC; Uo = 25.2 V Io = 93 mA Po = 0.59 W; Co = 107 nF Lo = 4.2 mH";
const DEVICE: &str = "Ex ia IIC T4 Ga; Ui = 30 V Ii = 120 mA Pi = 0.8 W; Ci = 5 nF Li = 10 µH";

#[test]
fn a_loop_is_checked_from_plates() {
    let cable = "350 m, 180 pF/m, 0.7 µH/m";
    let check = |source: &str, device: &str, cable: &str| {
        run([
            "loop", "--source", source, "--device", device, "--cable", cable, "--json",
        ])
        .json()
    };
    let json = check(SOURCE, DEVICE, cable);
    assert_eq!(json["overall"], "pass", "{json}");
    assert_eq!(json["capacitance_total_nf"], 68.0);
    assert_eq!(json["loop_level"], "ia");
    let values = json["plates"][0]["values"].as_array().unwrap();
    let co = values.iter().find(|v| v["name"] == "Co").unwrap();
    assert_eq!(
        co,
        &serde_json::json!({"name": "Co", "value": "107 nF", "line": 2, "text": "Co = 107 nF"})
    );
    // What is missing, printed twice, or no intrinsic safety at all is never a pass.
    let curved = SOURCE.replace("0.59 W", "1.2 W");
    for (source, device, part) in [
        (
            SOURCE,
            DEVICE.replace("Li = 10 µH", ""),
            "Device 1: Li was not read",
        ),
        (
            SOURCE,
            DEVICE.replace("Ci = 5 nF", "Ci = 5 nF Ci = 3 nF"),
            "several circuits",
        ),
        (
            SOURCE,
            DEVICE.replace("Ex ia IIC T4 Ga", "Ex db IIC T4 Gb"),
            "Ui is not used",
        ),
        (
            &curved,
            DEVICE.replace("0.8 W", "2 W"),
            "limited by electronics",
        ),
    ] {
        let json = check(source, &device, cable);
        assert_eq!(json["overall"], "undecided", "{json}");
        assert!(json["notes"].to_string().contains(part), "{json}");
    }
    let weak = DEVICE.replace("30 V", "25 V");
    assert_eq!(check(SOURCE, &weak, cable)["overall"], "fail");
    let people = run([
        "loop", "--source", SOURCE, "--device", DEVICE, "--cable", cable,
    ]);
    assert!(people.out.starts_with("PASS"), "{}", people.out);
    let origin = "107 nF (line 3: \"Co = 107 nF\")";
    assert!(people.out.contains(origin), "{}", people.out);
    run(["loop", "--source", SOURCE, "--device", DEVICE]).is_usage("--cable");
    run([
        "loop", "--source", SOURCE, "--device", DEVICE, "--cable", "300",
    ])
    .is_usage("'300'");
    run(["loop"]).is_usage("--file");
    let missing = run([
        "loop",
        "--source",
        "nowhere.jpg",
        "--device",
        DEVICE,
        "--cable",
        "1 m",
    ]);
    assert_eq!(missing.code, 3);
    assert!(
        missing.err.contains("there is no such file"),
        "{}",
        missing.err
    );
}

#[test]
fn a_loop_is_checked_from_photos() {
    let source = photo("control-room-barrier.jpg");
    let device = photo("still-house-level-transmitter.jpg");
    let json = run([
        OsStr::new("loop"),
        OsStr::new("--source"),
        source.as_os_str(),
        OsStr::new("--device"),
        device.as_os_str(),
        OsStr::new("--cable"),
        OsStr::new("300 m, ordinary"),
        OsStr::new("--json"),
    ])
    .json();
    // What the reader could not read well is undecided; the plates themselves pass.
    assert_ne!(json["overall"], "fail", "{json}");
    assert_eq!(json["plates"].as_array().unwrap().len(), 2);
    assert_eq!(json["plates"][1]["photo"], device.to_str().unwrap());
}

#[test]
fn plates_are_held_against_the_sites_certificates() {
    let folder = TempDir::new().unwrap();
    let list = file(
        &folder,
        "certificates.csv",
        "number,type,marking,ambient,conditions\n\
         ABC 14 ATEX 1234 X,,Ex db IIB T4 Gb,,Wear gloves\n",
    );
    let site = file(
        &folder,
        "site.toml",
        "certificates = \"certificates.csv\"\n[[location]]\ntag = \"A\"\nzone = 1\n\
         gas = \"propane\"\n",
    );
    let text = "ABC14ATEX1234X; Ex db IIC T4 Gb";
    let by_flag = [
        "--certificates",
        &list,
        "--zone",
        "1",
        "--gas",
        "propane",
        "--json",
    ];
    let by_site = ["--site", &site, "--location", "A", "--json"];
    for more in [&by_flag[..], &by_site[..]] {
        let verdict = decode(text, more).json()["verdict"].clone();
        assert_eq!(verdict["outcome"], "undecided", "{verdict}");
        let grounds = verdict["grounds"].to_string();
        assert!(grounds.contains("group: the plate has IIC"), "{grounds}");
        assert!(grounds.contains("Wear gloves"), "{grounds}");
    }
    decode(text, &["--certificates", &list]).is_usage("give the place too");
    let wrong = file(&folder, "wrong.csv", "number,issue\nABC 14 ATEX 1,x\n");
    decode(text, &["--zone", "1", "--certificates", &wrong])
        .is_usage("wrong.csv: row 2, column issue: 'x' is no issue");
    decode(text, &["--zone", "1", "--certificates", "/nowhere.csv"]).is_usage("/nowhere.csv");
}

#[test]
fn the_site_and_certificates_of_corrieburn_can_be_used() {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures");
    let site = fixtures.join("corrieburn.csv");
    let list = fixtures.join("corrieburn-certificates.csv");
    let (site, list) = (site.to_str().unwrap(), list.to_str().unwrap());
    let rows = std::fs::read_to_string(site).unwrap();
    for tag in rows.lines().skip(1).filter_map(|row| row.split(',').next()) {
        let more = ["--site", site, "--location", tag, "--certificates", list];
        assert_eq!(decode("Ex db IIC T4 Gb", &more).code, 0, "{tag}");
    }
}

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
fn a_loop_is_checked_from_toml_and_json() {
    let folder = TempDir::new().unwrap();
    let toml = file(
        &folder,
        "loop.toml",
        "id = \"still house level\"\n[source]\ngas_group = \"IIC\"\nuo_v = 25.2\nio_ma = 93\n\
         po_mw = 586\nco_nf = 107\nlo_uh = 4100\n[[devices]]\nui_v = 30\nii_ma = 120\n\
         pi_mw = 900\nci_nf = 5\nli_uh = 20\n[cable]\nlength_m = 350\nc_pf_per_m = 180\n\
         l_uh_per_m = 0.7\n",
    );
    let json = file(
        &folder,
        "loop.json",
        r#"{"id": "still house level",
            "source": {"gas_group": "IIC", "uo_v": 25.2, "io_ma": 93, "po_mw": 586,
                       "co_nf": 107, "lo_uh": 4100},
            "devices": [{"ui_v": 30, "ii_ma": 120, "pi_mw": 900, "ci_nf": 5, "li_uh": 20}],
            "cable": {"length_m": 350, "c_pf_per_m": 180, "l_uh_per_m": 0.7}}"#,
    );
    let by_toml = run(["loop", "--file", &toml, "--json"]);
    let by_json = run(["loop", "--file", &json, "--json"]);
    assert_eq!(by_toml.json()["overall"], "pass");
    assert_eq!(by_toml.out, by_json.out);
    let people = run(["loop", "--file", &toml]);
    assert!(
        people.out.starts_with("still house level: PASS"),
        "{}",
        people.out
    );
    let slip = file(&folder, "slip.toml", "[source]\nuo = 5\n");
    let ended = run(["loop", "--file", &slip]);
    assert_eq!(ended.code, 3);
    assert!(
        ended.err.contains("line 2") && ended.err.contains("uo"),
        "{}",
        ended.err
    );
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
