//! A reader that has read a known plate before anything that it says is believed.
//!
//! The known plate is read while the first photo is, since somebody may be waiting in the field; what
//! is read of that photo is given out once the known plate was read as it should be.

use crate::answer::ModelDto;
use crate::pages;
use crate::pipeline::{PhotoReader, read_photo};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, OnceLock};
use std::time::Duration;
use vetplate_ocr::{Limits, OcrError, Photo, PhotoLines};
use vetplate_parser::Language;

/// A picture of a plate: four lines, as high as lines should be, so that one look at 640 × 160 pixels
/// finds them.
const KNOWN: &[u8] = include_bytes!("../assets/self-check.png");
/// What stands on it.
const KNOWN_TEXT: &str = "Ex db IIC T4 Gb";

/// A reader whose lines are held back until it has read the known plate.
pub(crate) struct Vouched {
    reader: Arc<dyn PhotoReader>,
    checked: OnceLock<Result<(), String>>,
}

impl Vouched {
    /// Not checked yet.
    pub(crate) fn new(reader: Arc<dyn PhotoReader>) -> Self {
        Self {
            reader,
            checked: OnceLock::new(),
        }
    }

    /// Reads the known plate; whoever waits for it goes on.
    ///
    /// # Errors
    ///
    /// Where it was not read as it should be: a sentence.
    pub(crate) fn check(&self) -> Result<(), String> {
        // A panic here would leave everybody waiting.
        let read = || catch_unwind(AssertUnwindSafe(|| self_check(self.reader.as_ref())));
        self.checked
            .get_or_init(|| read().unwrap_or_else(|_| Err("the self-check broke off".to_owned())))
            .clone()
    }

    /// True where the known plate was read, and not as it should be.
    pub(crate) fn has_failed(&self) -> bool {
        self.checked.get().is_some_and(Result::is_err)
    }
}

impl PhotoReader for Vouched {
    /// Waits for the self-check; not to be called from a thread that serves requests.
    fn lines(&self, photo: &Photo) -> Result<PhotoLines, OcrError> {
        pages::want_large(true);
        let lines = self.reader.lines(photo)?;
        match self.checked.wait() {
            Ok(()) => Ok(lines),
            Err(reason) => Err(OcrError::Model {
                name: "self-check".to_owned(),
                reason: reason.clone(),
            }),
        }
    }

    fn models(&self) -> Vec<ModelDto> {
        self.reader.models()
    }

    fn rest(&self, idle: Duration) -> bool {
        let rests = self.reader.rest(idle);
        if rests {
            pages::want_large(false);
        }
        rests
    }
}

/// Reads a known plate from end to end.
fn self_check(reader: &dyn PhotoReader) -> Result<(), String> {
    let found = read_photo(
        reader,
        KNOWN,
        &Limits::default(),
        None,
        None,
        Language::English,
    )
    .map_err(|e| format!("the self-check failed: {e}"))?;
    let markings: Vec<&str> = found
        .answer
        .markings
        .iter()
        .map(|m| m.text.as_str())
        .collect();
    if markings == [KNOWN_TEXT] {
        Ok(())
    } else {
        Err(format!(
            "the self-check read {markings:?} where {KNOWN_TEXT:?} stands"
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::channel;
    use vetplate_ocr::{Glyph, TextLine};

    /// Sees one line on every photo.
    struct Sees(&'static str);

    impl PhotoReader for Sees {
        fn lines(&self, _: &Photo) -> Result<PhotoLines, OcrError> {
            assert_ne!(self.0, "", "nothing to see");
            let glyph = |(i, ch)| Glyph {
                ch,
                probability: 1.0,
                also: Vec::new(),
                x: i as f32 / 100.0,
            };
            let line = TextLine {
                glyphs: self.0.chars().enumerate().map(glyph).collect(),
                quad: [[0.0, 0.0], [90.0, 0.0], [90.0, 9.0], [0.0, 9.0]],
                ..TextLine::default()
            };
            Ok(PhotoLines {
                lines: vec![line],
                ..PhotoLines::default()
            })
        }

        fn models(&self) -> Vec<ModelDto> {
            Vec::new()
        }
    }

    fn photo() -> Photo {
        Photo::from_image(image::RgbImage::new(8, 8))
    }

    #[test]
    fn what_was_read_waits_for_the_check() {
        let vouched = Vouched::new(Arc::new(Sees(KNOWN_TEXT)));
        let (sender, answered) = channel();
        std::thread::scope(|scope| {
            scope.spawn(|| sender.send(vouched.lines(&photo())));
            let soon = answered.recv_timeout(Duration::from_millis(50));
            assert!(soon.is_err(), "given out unchecked");
            assert_eq!(vouched.check(), Ok(()));
            let lines = answered.recv().unwrap().unwrap();
            assert_eq!(lines.lines[0].text(), KNOWN_TEXT);
        });
        assert!(!vouched.has_failed());
    }

    #[test]
    fn a_reader_that_misreads_the_known_plate_gives_nothing_out() {
        // The second one panics.
        for seen in ["Ex db IIC T6 Gb", ""] {
            let vouched = Vouched::new(Arc::new(Sees(seen)));
            assert!(!vouched.has_failed());
            assert!(vouched.check().is_err());
            assert!(vouched.has_failed());
            if !seen.is_empty() {
                let fault = vouched.lines(&photo()).unwrap_err().to_string();
                assert!(fault.contains("self-check"), "{fault}");
            }
        }
    }
}
