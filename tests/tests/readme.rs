//! What the README shows is what the program prints.

use std::path::Path;
use vetplate::people;
use vetplate::pipeline::{GivenPlace, read_photo};
use vetplate_ocr::{Limits, Reader};
use vetplate_parser::Language;
use vetplate_parser::place::PlaceFields;

#[test]
fn the_first_command_prints_what_the_readme_shows() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let readme = std::fs::read_to_string(root.join("README.md")).expect("the README");
    let command =
        "cargo run -- read fixtures/photos/still-house-pump-motor.jpg --zone 1 --gas ethanol";
    assert!(
        readme.contains(command),
        "the README names its first command"
    );
    let shown = readme
        .split("```text\n")
        .nth(1)
        .and_then(|tail| tail.split("```").next())
        .expect("the README shows what is printed");
    let photo = "fixtures/photos/still-house-pump-motor.jpg";
    let bytes = std::fs::read(root.join(photo)).expect("the photo is part of the repository");
    let fields = PlaceFields {
        zone: Some("1".to_owned()),
        gas: vec!["ethanol".to_owned()],
        ..PlaceFields::default()
    };
    let place = GivenPlace::check(fields).expect("the place is sound");
    let reader = Reader::bundled().expect("the bundled models load");
    let read = read_photo(
        &reader,
        &bytes,
        &Limits::default(),
        Some(photo),
        place.as_ref(),
        Language::English,
    )
    .expect("the photo is read");
    let printed = people(&read.answer, None);
    assert!(
        printed.starts_with(shown.trim_end()),
        "shown:\n{shown}\nprinted:\n{}",
        printed.lines().take(4).collect::<Vec<_>>().join("\n")
    );
    // Ethanol's two ignition temperatures differ between sources; the stricter is used and said.
    assert!(printed.contains("363 °C") && printed.contains("400 °C"));
}
