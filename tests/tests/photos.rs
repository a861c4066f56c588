//! The committed photos against their transcripts, through the whole program.
//!
//! Floors, not figures: the accuracy harness measures. What must never happen is asserted for
//! every photo.

use std::path::Path;
use vetplate_ocr::Reader;
use vetplate_tests::accuracy::{Score, score, truths};

/// The photos of a folder of `fixtures` against their transcripts.
fn scores(folder: &str) -> Vec<Score> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures")
        .join(folder);
    let reader = Reader::bundled().expect("the bundled models load");
    let truths = truths(&folder).expect("the transcript is part of the repository");
    truths
        .iter()
        .map(|truth| score(&reader, &folder, truth).expect("every committed photo is read"))
        .collect()
}

/// What must never happen.
fn assert_honest(s: &Score) {
    assert!(
        !s.confident_wrong,
        "{}: wrong and sure: {}",
        s.file, s.detail
    );
    assert!(!s.invented, "{}: a marking was invented", s.file);
    assert!(!s.not_admitted, "{}: hidden text was claimed", s.file);
    assert!(!s.too_mild, "{}: {}", s.file, s.detail);
}

#[test]
fn corrieburn_is_read_and_nothing_is_claimed_that_is_not_there() {
    let scores = scores("photos");
    assert!(scores.len() >= 12, "{} photos", scores.len());
    scores.iter().for_each(assert_honest);
    let readable: Vec<&Score> = scores.iter().filter(|s| s.grade != "unreadable").collect();
    let right = readable.iter().filter(|s| s.fields_right).count();
    assert!(
        right * 10 >= readable.len() * 8,
        "{right} of {} readable plates with every critical field right",
        readable.len()
    );
}

#[test]
fn what_was_once_misread_is_right_or_doubted() {
    let scores = scores("misread");
    assert_eq!(scores.len(), 3);
    scores.iter().for_each(assert_honest);
    // Half of the 4 is under paint: whoever looks at the photo cannot be sure either.
    assert!(scores[0].review, "{}: nobody is asked", scores[0].file);
    // Nothing lies over the line that was passed over.
    assert!(
        scores[1].fields_right,
        "{}: {}",
        scores[1].file, scores[1].detail
    );
    // The ambient range is under tape; what is seen of its line lies across the edge of a shadow.
    assert_eq!(scores[2].caught, Some(true), "{}", scores[2].file);
    assert!(scores[2].review, "{}: nobody is asked", scores[2].file);
}
