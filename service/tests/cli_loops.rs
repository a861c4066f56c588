//! Loops from the command line.

#[path = "support/program.rs"]
mod program;

use program::{file, photo, run};
use std::ffi::OsStr;
use tempfile::TempDir;

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
