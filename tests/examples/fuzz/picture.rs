use crate::{Fake, LIMITS, kind_of};
use vetplate::pipeline::read_photo;
use vetplate_ocr::{JUDGED_AT, Photo, Reduced, annotate, judge};
use vetplate_parser::Language;

/// Any bytes are decoded, judged, read and drawn on, or refused with a sentence.
pub(crate) fn picture(bytes: &[u8]) -> String {
    let judged = match Reduced::decode(bytes, &LIMITS, JUDGED_AT) {
        Ok(small) => judge(&small).flaws.len().to_string(),
        Err(error) => kind_of(&error.to_string()),
    };
    let photo = match Photo::decode(bytes, &LIMITS) {
        Err(error) => return format!("{judged}; {}", kind_of(&error.to_string())),
        Ok(photo) => photo,
    };
    assert!(photo.width() > 0 && photo.height() > 0);
    match read_photo(&Fake, bytes, &LIMITS, None, None, Language::English) {
        // A JPEG that was cut.
        Err(error) => format!("{judged}; {}", kind_of(&error.to_string())),
        Ok(read) => {
            assert_eq!(read.photo.width(), photo.width());
            let _ = annotate(&read.photo, &read.lines, &[]);
            format!("{judged}; read, {} notes", photo.notes().len())
        }
    }
}
