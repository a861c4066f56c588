//! The way of a photo, or of typed text, to its answer.
//!
//! The only file that knows both the reader of photos and the reader of markings:
//! bytes → photo → lines → reading → verdict → answer.

use crate::answer::{
    Answer, CodeDto, HiddenDto, LineDto, ModelDto, PhotoDto, Share, Source, VersionsDto, answer,
};
use crate::answer::{KeyError, RequirementDto, rounded};
use crate::measures::stage;
use crate::plates::decide_each;
use sha2::{Digest, Sha256};
use std::sync::Arc;
use std::time::Duration;
use vetplate_ocr::{Limits, OcrError, Photo, PhotoError, PhotoLines, Reader, TextLine};
use vetplate_parser::certificates::CertificateList;
use vetplate_parser::place::{Place, PlaceFields};
use vetplate_parser::verdict::judge_with;
use vetplate_parser::{Cover, Glyph, Hidden, Language, Line, Missed, Reading, read, require};

/// Reads the lines of a photo. The bundled models do; tests put others in their place.
pub trait PhotoReader: Send + Sync {
    /// The lines of `photo` in reading order.
    ///
    /// # Errors
    ///
    /// Where a model fails; a photo without text gives no lines.
    fn lines(&self, photo: &Photo) -> Result<PhotoLines, OcrError>;

    /// The models that take part.
    fn models(&self) -> Vec<ModelDto>;

    /// Lets go of memory that the next photo can fill again, where none was read for `idle`. True while it
    /// rests.
    fn rest(&self, _idle: Duration) -> bool {
        false
    }
}

impl PhotoReader for Reader {
    fn lines(&self, photo: &Photo) -> Result<PhotoLines, OcrError> {
        self.read(photo)
    }

    fn rest(&self, idle: Duration) -> bool {
        Reader::rest(self, idle)
    }

    fn models(&self) -> Vec<ModelDto> {
        Reader::models(self)
            .iter()
            .map(|m| ModelDto {
                name: m.name.clone(),
                version: m.version.clone(),
                sha256: m.sha256.clone(),
            })
            .collect()
    }
}

/// Why a photo gave no answer.
#[derive(Debug, thiserror::Error)]
pub enum PipelineError {
    /// The photo cannot be used.
    #[error(transparent)]
    Photo(#[from] PhotoError),
    /// A model failed, which is our fault.
    #[error(transparent)]
    Reader(#[from] OcrError),
}

/// A place, checked, with the fields that it came from and the certificates of its site.
#[derive(Debug, Clone, PartialEq)]
pub struct GivenPlace {
    fields: PlaceFields,
    place: Place,
    certificates: Option<Arc<CertificateList>>,
}

impl GivenPlace {
    /// Checks the fields of a place; none where no field is given.
    ///
    /// # Errors
    ///
    /// Every field that cannot be used, with what to write instead.
    pub fn check(fields: PlaceFields) -> Result<Option<Self>, Vec<KeyError>> {
        if fields == PlaceFields::default() {
            return Ok(None);
        }
        match Place::from_fields(&fields) {
            Ok(place) => Ok(Some(Self {
                fields,
                place,
                certificates: None,
            })),
            Err(errors) => Err(errors.into_iter().map(Into::into).collect()),
        }
    }

    /// The same place, where plates are held against these certificates, too.
    #[must_use]
    pub fn with_certificates(mut self, certificates: Option<Arc<CertificateList>>) -> Self {
        self.certificates = certificates;
        self
    }

    /// True where both say the same, however they write it.
    pub(crate) fn same_place(&self, other: &Self) -> bool {
        self.place == other.place
    }

    /// The fields as they were given.
    pub fn fields(&self) -> &PlaceFields {
        &self.fields
    }
}

/// A photo that was read: the picture, what was found on it, and the answer.
pub struct PhotoAnswer {
    /// The photo, upright.
    pub photo: Photo,
    /// Its lines.
    pub lines: PhotoLines,
    /// The answer.
    pub answer: Answer,
}

/// Reads a photo and, with a place, judges it.
///
/// `file` is the name that the answer repeats.
///
/// # Errors
///
/// [`PipelineError::Photo`] for a photo that cannot be used, [`PipelineError::Reader`]
/// where a model fails.
pub fn read_photo(
    reader: &dyn PhotoReader,
    bytes: &[u8],
    limits: &Limits,
    file: Option<&str>,
    place: Option<&GivenPlace>,
    language: Language,
) -> Result<PhotoAnswer, PipelineError> {
    let (photo, found) = look(reader, bytes, limits)?;
    let notes = photo.notes().iter().chain(&found.notes).cloned().collect();
    let source = Source {
        photo: Some(PhotoDto {
            file: file.map(ToOwned::to_owned),
            sha256: hex(&Sha256::digest(bytes)),
            width: photo.width(),
            height: photo.height(),
            taken_at: photo.taken_at().map(ToOwned::to_owned),
            gps: photo.gps().map(|(north, east)| [north, east]),
            notes,
        }),
        lines: shown(&found),
        codes: codes(&found),
        versions: VersionsDto::new(reader.models()),
    };
    let lines = parser_lines(&found);
    let answer = decide(source, &lines, place, language);
    Ok(PhotoAnswer {
        photo,
        lines: found,
        answer,
    })
}

/// The lines of a photo as the reader of markings takes them, with their doubt.
///
/// # Errors
///
/// As [`read_photo`].
pub fn photo_lines(
    reader: &dyn PhotoReader,
    bytes: &[u8],
    limits: &Limits,
) -> Result<Vec<Line>, PipelineError> {
    let (_, found) = look(reader, bytes, limits)?;
    Ok(parser_lines(&found))
}

fn look(
    reader: &dyn PhotoReader,
    bytes: &[u8],
    limits: &Limits,
) -> Result<(Photo, PhotoLines), PipelineError> {
    let photo = stage("decode", || {
        let photo = Photo::decode(bytes, limits)?;
        check_whole(bytes).map(|()| photo)
    })?;
    let found = stage("read", || reader.lines(&photo))?;
    Ok((photo, found))
}

/// The lines of a photo as they are shown.
pub(crate) fn shown(found: &PhotoLines) -> Vec<LineDto> {
    let several = found.lines.iter().any(|line| line.plate > 0);
    let lines = found.lines.iter();
    lines.map(|line| line_dto(line, several)).collect()
}

/// The codes of a photo as they are shown.
pub(crate) fn codes(found: &PhotoLines) -> Vec<CodeDto> {
    let several = found.lines.iter().any(|line| line.plate > 0);
    let codes = found.codes.iter();
    codes.map(|code| CodeDto::new(code, several)).collect()
}

fn parser_lines(found: &PhotoLines) -> Vec<Line> {
    found.lines.iter().map(parser_line).collect()
}

/// Refuses a JPEG that ends before its picture does.
///
/// Decoders fill the missing part with grey and say nothing, but a second certificate or
/// an X may have stood there. Within the coded picture a byte FF is never followed by D9
/// (end of image) or DA (start of scan), so a whole file has an end behind its last scan.
fn check_whole(bytes: &[u8]) -> Result<(), PhotoError> {
    let last = |marker: [u8; 2]| bytes.windows(2).rposition(|pair| pair == marker);
    let is_cut = match (last([0xff, 0xda]), last([0xff, 0xd9])) {
        (Some(scan), Some(end)) => end < scan,
        (Some(_), None) => true,
        (None, _) => false,
    };
    if bytes.starts_with(&[0xff, 0xd8, 0xff]) && is_cut {
        return Err(PhotoError::Damaged {
            kind: "JPEG",
            reason: "the file ends before the picture does".to_owned(),
        });
    }
    Ok(())
}

/// Decodes the typed lines of one plate and, with a place, judges it.
pub fn read_text(lines: &[String], place: Option<&GivenPlace>, language: Language) -> Answer {
    let source = Source {
        photo: None,
        lines: lines
            .iter()
            .map(|text| LineDto {
                text: text.clone(),
                confidence: Share::new(1.0),
                quad: None,
                hidden: Vec::new(),
                flaws: Vec::new(),
                plate: None,
            })
            .collect(),
        codes: Vec::new(),
        versions: VersionsDto::new(Vec::new()),
    };
    let lines: Vec<Line> = lines.iter().map(|text| Line::certain(text)).collect();
    decide(source, &lines, place, language)
}

/// What a place asks for.
pub fn requirement(place: &GivenPlace, language: Language) -> RequirementDto {
    RequirementDto::new(&require(&place.place), &place.fields, language)
}

/// Reads the lines and, with a place, judges them: each plate of the photo apart.
pub(crate) fn decide(
    source: Source,
    lines: &[Line],
    place: Option<&GivenPlace>,
    language: Language,
) -> Answer {
    decide_each(&source, lines, place, language)
        .unwrap_or_else(|| answer_to(source, &read_lines(lines), place, language))
}

/// What the lines of one plate say.
pub(crate) fn read_lines(lines: &[Line]) -> Reading {
    stage("parse", || read(lines))
}

/// The answer to what one plate says, judged where there is a place.
pub(crate) fn answer_to(
    source: Source,
    reading: &Reading,
    place: Option<&GivenPlace>,
    language: Language,
) -> Answer {
    let verdict = place.map(|given| {
        let verdict = stage("judge", || {
            judge_with(reading, &given.place, given.certificates.as_deref())
        });
        (verdict, &given.fields)
    });
    answer(
        source,
        reading,
        verdict.as_ref().map(|(verdict, fields)| (verdict, *fields)),
        language,
    )
}

/// Every character with its doubt; the place on the photo stays behind.
pub(crate) fn parser_line(line: &TextLine) -> Line {
    Line::new(
        line.glyphs
            .iter()
            .map(|glyph| Glyph {
                ch: glyph.ch,
                probability: glyph.probability,
                also: glyph.also.clone(),
            })
            .collect(),
    )
    .with_missed(
        line.missed
            .iter()
            .map(|missed| Missed {
                before: missed.before,
                ch: missed.ch,
                probability: missed.probability,
            })
            .collect(),
    )
    .with_hidden(line.hidden.iter().map(hidden).collect())
}

fn hidden(place: &vetplate_ocr::Hidden) -> Hidden {
    Hidden {
        before: place.before,
        fits: place.fits,
        why: match place.why {
            vetplate_ocr::Cover::Patch => Cover::Patch,
            vetplate_ocr::Cover::Glare => Cover::Glare,
            vetplate_ocr::Cover::Worn => Cover::Worn,
            vetplate_ocr::Cover::Gap => Cover::Gap,
            vetplate_ocr::Cover::Frame => Cover::Frame,
        },
    }
}

fn line_dto(line: &TextLine, several: bool) -> LineDto {
    LineDto {
        text: line.text(),
        confidence: Share::new(f64::from(line.confidence())),
        quad: Some(tenths(line.quad)),
        hidden: line
            .hidden
            .iter()
            .map(|place| HiddenDto {
                before: place.before,
                fits: place.fits,
                why: hidden(place).why.into(),
                quad: tenths(place.quad),
            })
            .collect(),
        flaws: line.flaws.iter().map(|flaw| (*flaw).into()).collect(),
        plate: several.then_some(line.plate),
    }
}

/// A tenth of a pixel is finer than any detector is right.
fn tenths(quad: [[f32; 2]; 4]) -> [[f64; 2]; 4] {
    quad.map(|point| point.map(|x| rounded(f64::from(x), 1)))
}

pub(crate) fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_jpeg_that_was_cut_is_refused() {
        // Start, a thumbnail with an end of its own in the header, scan, end, padding.
        let whole = [
            &[0xff, 0xd8, 0xff, 0xe1, 0xff, 0xd9, 0xff, 0xda, 1, 2, 3][..],
            &[0xff, 0xd9, 0, 0],
        ]
        .concat();
        check_whole(&whole).unwrap();
        let cut = check_whole(&whole[..11]).unwrap_err();
        assert_eq!(
            cut.to_string(),
            "the JPEG file is cut short or damaged (the file ends before the picture does); \
             copy or take the photo again"
        );
        check_whole(b"\x89PNG\xff\xda").unwrap();
    }

    #[test]
    fn hexadecimal_keeps_leading_zeros() {
        assert_eq!(hex(&[0, 10, 255]), "000aff");
    }
}
