//! The committed photos against their transcripts, through the whole program.
//!
//! Floors, not figures: the accuracy harness measures. What must never happen is asserted for
//! every photo.

use std::path::Path;
use vetplate_ocr::Reader;
use vetplate_tests::accuracy::{Score, score, truths};

#[test]
fn corrieburn_is_read_and_nothing_is_claimed_that_is_not_there() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/photos");
    let reader = Reader::bundled().expect("the bundled models load");
    let truths = truths(&folder).expect("the transcript is part of the repository");
    assert!(truths.len() >= 12, "{} photos", truths.len());
    let scores: Vec<Score> = truths
        .iter()
        .map(|truth| score(&reader, &folder, truth).expect("every committed photo is read"))
        .collect();
    for s in &scores {
        assert!(
            !s.confident_wrong,
            "{}: wrong and sure: {}",
            s.file, s.detail
        );
        assert!(!s.invented, "{}: a marking was invented", s.file);
        assert!(!s.not_admitted, "{}: hidden text was claimed", s.file);
        assert!(!s.too_mild, "{}: {}", s.file, s.detail);
    }
    let readable: Vec<&Score> = scores.iter().filter(|s| s.grade != "unreadable").collect();
    let right = readable.iter().filter(|s| s.fields_right).count();
    assert!(
        right * 10 >= readable.len() * 8,
        "{right} of {} readable plates with every critical field right",
        readable.len()
    );
}
