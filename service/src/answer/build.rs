//! Reading and verdict → answer.

use super::{
    Answer, CodeDto, HiddenDto, LineDto, LookDto, MarkingDto, PhotoDto, PieceDto, ReviewDto,
    SCHEMA, Share, SpanDto, SuspicionDto, VerdictDto, VersionsDto,
};
use vetplate_parser::place::PlaceFields;
use vetplate_parser::verdict::{Verdict, cautions};
use vetplate_parser::{Joint, Language, Message, Reading, Severity, explain_rest, message};

/// Where the lines came from.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// The photo; none where the text was typed.
    pub photo: Option<PhotoDto>,
    /// The lines as they are shown.
    pub lines: Vec<LineDto>,
    /// Machine-readable codes; none where the text was typed.
    pub codes: Vec<CodeDto>,
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
        review: review(reading, &source, language),
        photo: source.photo,
        lines: source.lines,
        codes: source.codes,
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
        plates: Vec::new(),
        cautions: cautions().iter().map(|c| c.text(language)).collect(),
        versions: source.versions,
    }
}

/// The reader's reasons with where to look, a severe contradiction, and a plate on which nothing was
/// found.
fn review(reading: &Reading, source: &Source, language: Language) -> ReviewDto {
    let best = reading.best();
    let mut reasons: Vec<Message> = Vec::new();
    let mut looks = Vec::new();
    let mut told: Vec<usize> = Vec::new();
    for reason in &reading.review {
        let mut text = reason.text.clone();
        if let Some(span) = reason.span
            && let Some(at) = SpanDto::new(span, &best.plate.lines)
        {
            // What is wrong with the line is said once, with its first reason.
            if !told.contains(&at.line) {
                told.push(at.line);
                text = with_flaws(text, at.line, source);
            }
            looks.push(LookDto {
                reason: reasons.len(),
                quad: quad(&at, source),
                span: at,
            });
        }
        reasons.push(text);
    }
    for suspicion in &best.suspicions {
        let said = reading.review.iter().any(|r| r.text == suspicion.detail);
        if suspicion.severity == Severity::Critical && !said {
            reasons.push(suspicion.detail.clone());
        }
    }
    for code in &source.codes {
        reasons.extend(code.findings(&best.plate));
    }
    if best.plate.markings.is_empty() {
        reasons.push(if source.photo.is_some() {
            message!("review-no-marking-on-photo")
        } else {
            message!("review-no-marking-in-text")
        });
    }
    ReviewDto {
        needed: !reasons.is_empty(),
        reasons: reasons.iter().map(|r| r.text(language)).collect(),
        looks,
    }
}

/// A reason with what makes its line hard to read.
fn with_flaws(text: Message, line: usize, source: &Source) -> Message {
    let flaws = source.lines.get(line).map_or(&[][..], |l| &l.flaws);
    let flaws = flaws
        .iter()
        .map(|flaw| message!("flaw-on-line", line = line + 1, flaw = flaw.said()));
    Message::list(std::iter::once(text).chain(flaws), Joint::Blank)
}

/// The hidden place that a span stands for, or its line.
fn quad(at: &SpanDto, source: &Source) -> Option<[[f64; 2]; 4]> {
    let line = source.lines.get(at.line)?;
    let place = |h: &&HiddenDto| (at.start..=at.end).contains(&h.before);
    let hidden = line.hidden.iter().find(place);
    hidden.map(|h| h.quad).or(line.quad)
}
