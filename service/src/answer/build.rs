//! Reading and verdict → answer.

use super::{
    Answer, CAUTIONS, LineDto, MarkingDto, PhotoDto, ReviewDto, SCHEMA, Share, SuspicionDto,
    VerdictDto, VersionsDto,
};
use vetplate_parser::place::PlaceFields;
use vetplate_parser::verdict::Verdict;
use vetplate_parser::{Reading, Severity};

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
) -> Answer {
    let best = reading.best();
    let plate = &best.plate;
    let lines = &plate.lines;
    let suspicions: Vec<SuspicionDto> = best
        .suspicions
        .iter()
        .map(|s| SuspicionDto::new(s, lines))
        .collect();
    Answer {
        schema: SCHEMA,
        review: review(reading, source.photo.is_some()),
        photo: source.photo,
        lines: source.lines,
        markings: plate
            .markings
            .iter()
            .enumerate()
            .map(|(index, marking)| {
                let confidence = Share::new(reading.confidence(index).get());
                MarkingDto::new(plate, index, marking, confidence, &reading.fields)
            })
            .collect(),
        plate: plate.into(),
        suspicions,
        verdict: verdict.map(|(verdict, place)| VerdictDto::new(verdict, place, lines)),
        cautions: CAUTIONS.to_vec(),
        versions: source.versions,
    }
}

/// The reader's reasons, a severe contradiction, and a plate on which nothing was found.
fn review(reading: &Reading, from_photo: bool) -> ReviewDto {
    let best = reading.best();
    let mut reasons: Vec<String> = reading.review.iter().map(|r| r.text.clone()).collect();
    for suspicion in &best.suspicions {
        if suspicion.severity == Severity::Critical && !reasons.contains(&suspicion.detail) {
            reasons.push(suspicion.detail.clone());
        }
    }
    if best.plate.markings.is_empty() {
        reasons.push(if from_photo {
            "no explosion-protection marking was read on the photo; look at the plate itself, or \
             take a sharper photo that the marking fills"
                .to_owned()
        } else {
            "the text holds no explosion-protection marking".to_owned()
        });
    }
    ReviewDto {
        needed: !reasons.is_empty(),
        reasons,
    }
}
