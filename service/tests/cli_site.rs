//! The files of a site from the command line.

#[path = "support/program.rs"]
mod program;

use program::{decode, file};
use std::path::Path;
use tempfile::TempDir;

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
