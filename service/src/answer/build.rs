//! Reading and verdict → answer.

use super::{
    Answer, LineDto, MarkingDto, PhotoDto, PieceDto, ReviewDto, SCHEMA, Share, SuspicionDto,
    VerdictDto, VersionsDto,
};
use vetplate_parser::place::PlaceFields;
use vetplate_parser::verdict::{Verdict, cautions};
use vetplate_parser::{Language, Message, Reading, Severity, explain_rest, message};

/// Where the lines came from.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// The photo; none where the text was typed.
    pub photo: Option<PhotoDto>,
    /// The lines as they are shown.
    pub lines: Vec<LineDto>,
    /// Program and models.
    pub versions: VersionsDto,
}

/// Puts the answer together.
pub fn answer(
    source: Source,
    reading: &Reading,
    verdict: Option<(&Verdict, &PlaceFields)>,
    language: Language,
) -> Answer {
    let best = reading.best();
    let plate = &best.plate;
    let lines = &plate.lines;
    let suspicions: Vec<SuspicionDto> = best
        .suspicions
        .iter()
        .map(|s| SuspicionDto::new(s, lines, language))
        .collect();
    Answer {
        schema: SCHEMA,
        language: language.tag(),
        review: review(reading, source.photo.is_some(), language),
        photo: source.photo,
        lines: source.lines,
        markings: plate
            .markings
            .iter()
            .enumerate()
            .map(|(index, marking)| {
                let confidence = Share::new(reading.confidence(index).get());
                MarkingDto::new(plate, index, marking, confidence, &reading.fields, language)
            })
            .collect(),
        plate: plate.into(),
        plate_pieces: explain_rest(plate)
            .iter()
            .map(|piece| PieceDto::new(piece, language))
            .collect(),
        suspicions,
        verdict: verdict.map(|(verdict, place)| VerdictDto::new(verdict, place, lines, language)),
        cautions: cautions().iter().map(|c| c.text(language)).collect(),
        versions: source.versions,
    }
}

/// The reader's reasons, a severe contradiction, and a plate on which nothing was found.
fn review(reading: &Reading, from_photo: bool, language: Language) -> ReviewDto {
    let best = reading.best();
    let mut reasons: Vec<Message> = reading.review.iter().map(|r| r.text.clone()).collect();
    for suspicion in &best.suspicions {
        if suspicion.severity == Severity::Critical && !reasons.contains(&suspicion.detail) {
            reasons.push(suspicion.detail.clone());
        }
    }
    if best.plate.markings.is_empty() {
        reasons.push(if from_photo {
            message!("review-no-marking-on-photo")
        } else {
            message!("review-no-marking-in-text")
        });
    }
    ReviewDto {
        needed: !reasons.is_empty(),
        reasons: reasons.iter().map(|r| r.text(language)).collect(),
    }
}
