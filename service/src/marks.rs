//! What is drawn onto a photo: plates, critical fields with their confidence, hidden places.

use crate::answer::{Answer, FieldDto, MarkingDto, OutcomeDto, VerdictDto};
use vetplate_ocr::{Mark, MarkKind, PhotoLines, TextLine, outline};

/// A field of at least this confidence is drawn as sure, as in the list of what a person must look at.
const SURE: f64 = 0.9;

/// The marks of a photo that was read.
pub(crate) fn marks(found: &PhotoLines, answer: &Answer) -> Vec<Mark> {
    let outcome = |verdict: &Option<VerdictDto>| verdict.as_ref().map(|v| v.outcome);
    if answer.plates.is_empty() {
        let lines: Vec<&TextLine> = found.lines.iter().collect();
        return plate(&lines, &answer.markings, outcome(&answer.verdict));
    }
    let mut marks = Vec::new();
    let mut rest = found.lines.iter();
    for one in &answer.plates {
        // Lines of one plate follow each other, in the photo as in the answer.
        let lines: Vec<&TextLine> = rest.by_ref().take(one.lines.len()).collect();
        marks.extend(plate(&lines, &one.markings, outcome(&one.verdict)));
    }
    marks
}

/// The marks of one plate.
fn plate(lines: &[&TextLine], markings: &[MarkingDto], outcome: Option<OutcomeDto>) -> Vec<Mark> {
    let quads: Vec<[[f32; 2]; 4]> = lines.iter().map(|l| l.quad).collect();
    let mut marks = Vec::new();
    if let Some(quad) = outline(&quads) {
        marks.push(Mark {
            kind: MarkKind::Plate,
            quad,
            label: outcome.map_or("", label).to_owned(),
        });
    }
    for marking in markings {
        for (name, field) in &marking.fields {
            marks.extend(pieces(name, field, lines));
        }
    }
    for hidden in lines.iter().flat_map(|line| &line.hidden) {
        marks.push(Mark {
            kind: MarkKind::Hidden,
            quad: hidden.quad,
            label: format!("HIDDEN {}?", hidden.fits),
        });
    }
    marks
}

/// Every piece of one field; the first one says how sure it is and what else it may be.
fn pieces(name: &str, field: &FieldDto, lines: &[&TextLine]) -> Vec<Mark> {
    let percent = (100.0 * field.confidence.get()).floor();
    let sure = field.confidence.get() >= SURE && !field.illegible;
    let label = if sure {
        format!("{percent}%")
    } else {
        let other = field.also.first().map(|a| format!(" {}?", a.value));
        format!("{} {percent}%{}", short(name), other.unwrap_or_default())
    };
    let kind = if sure {
        MarkKind::Sure
    } else {
        MarkKind::Doubtful
    };
    let places = field
        .spans
        .iter()
        .filter_map(|span| lines.get(span.line)?.part(span.start, span.end));
    places
        .enumerate()
        .map(|(index, quad)| Mark {
            kind,
            quad,
            label: if index == 0 {
                label.clone()
            } else {
                String::new()
            },
        })
        .collect()
}

fn short(field: &str) -> &'static str {
    match field {
        "protections" => "TYPE",
        "group" => "GROUP",
        "temperature" => "TEMP",
        "epl" => "EPL",
        _ => "CATEGORY",
    }
}

fn label(outcome: OutcomeDto) -> &'static str {
    match outcome {
        OutcomeDto::Unsuitable => "UNSUITABLE",
        OutcomeDto::Undecided => "UNDECIDED",
        OutcomeDto::Conditional => "CONDITIONAL",
        OutcomeDto::Suitable => "SUITABLE",
    }
}
