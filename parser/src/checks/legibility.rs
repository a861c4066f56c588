//! Pieces that stand where a piece of the marking must stand and could not be read.

use super::{Check, Finding, Severity, each};
use crate::Plate;

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "part of the marking could not be read",
        question: "Is every token of the marking one that the notation knows?",
        source: "common practice, no source",
        severity: Severity::Critical,
        passing: "Ex db IIC T4 Gb",
        failing: "Ex db IIC T4 G9",
        find: illegible,
    },
    Check {
        name: "category line could not be read",
        question: "Is the text between the conformity mark and the string a category line?",
        source: "common practice, no source",
        severity: Severity::Critical,
        passing: "CE 9999 II 2 G Ex db IIC T4 Gb",
        failing: "CE 9999 II 12 G Ex db IIC T4 Gb",
        find: category,
    },
    Check {
        name: "text glued to the marking could not be read",
        question: "Does the marking end where its last piece ends?",
        source: "common practice, no source",
        severity: Severity::Review,
        passing: "Ex db IIC T6...T4 Gb",
        failing: "Ex db IIC T6.,.Zl",
        find: glued,
    },
];

fn illegible(plate: &Plate) -> Vec<Finding> {
    each(plate, |m| {
        let class = m.unknown_class.as_ref().filter(|c| {
            !c.value
                .trim_start_matches('T')
                .trim_start()
                .starts_with(|c: char| c.is_ascii_digit())
        });
        let odd = m.illegible.first().or(class)?;
        Some(format!(
            "{:?} stands where a piece of the marking must stand; look at it.",
            odd.value
        ))
    })
}

/// Unread text that starts with the strokes of a group and holds a category figure.
fn category(plate: &Plate) -> Vec<Finding> {
    let mut found = Vec::new();
    for span in &plate.unread {
        let Some(text) = plate
            .lines
            .get(span.line)
            .and_then(|l| l.get(span.start..span.end))
        else {
            continue;
        };
        let strokes = text
            .chars()
            .take_while(|c| matches!(c, 'I' | 'l' | '1' | '|'))
            .count();
        let rest: Vec<char> = text
            .chars()
            .skip(strokes)
            .filter(|c| !c.is_whitespace())
            .take(4)
            .collect();
        let figure = rest
            .first()
            .is_some_and(|c| c.is_ascii_digit() || matches!(c, '(' | 'Z'));
        let letter = rest.iter().skip(1).any(|c| matches!(c, 'G' | 'D'));
        let short = text.chars().count() <= 12;
        // `II G`: the figure itself is lost.
        let no_figure =
            strokes == 2 && matches!(rest.as_slice(), ['G' | 'D', ..]) && rest.len() <= 2;
        if no_figure && !plate.markings.is_empty() {
            found.push(Finding::plate(
                format!("{text:?} looks like a category line that lost its figure."),
                vec![*span],
            ));
            continue;
        }
        if (1..=3).contains(&strokes) && figure && letter && short && !plate.markings.is_empty() {
            found.push(Finding::plate(
                format!(
                    "{text:?} looks like a group and category line, but cannot be read as one."
                ),
                vec![*span],
            ));
        }
    }
    found
}

/// Unread text that hangs on a marking or an ambient range without a blank, or behind what may be
/// the dots of a range.
fn glued(plate: &Plate) -> Vec<Finding> {
    let ends: Vec<_> = plate
        .markings
        .iter()
        .flat_map(|m| m.spans.iter())
        .chain(plate.ambient.iter().map(|a| &a.span))
        .collect();
    let mut found = Vec::new();
    for span in &plate.unread {
        let Some(line) = plate.lines.get(span.line) else {
            continue;
        };
        let hangs = ends.iter().any(|end| {
            end.line == span.line
                && end.end <= span.start
                && line.get(end.end..span.start).is_some_and(|between| {
                    between.is_empty()
                        || (between.len() > 1 && between.chars().all(|c| ".,·-~…+".contains(c)))
                })
        });
        if hangs && let Some(text) = line.get(span.start..span.end) {
            found.push(Finding::plate(
                format!("{text:?} hangs on what was read before it and may belong to it."),
                vec![*span],
            ));
        }
    }
    found
}
