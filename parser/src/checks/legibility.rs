//! Pieces that stand where a piece of the marking must stand and could not be read.

use super::{Check, Finding, Severity, each};
use crate::{Plate, Span, message};

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
    Check {
        name: "text inside the marking could not be read",
        question: "Is everything between the first and the last piece of a marking read?",
        source: "common practice, no source",
        severity: Severity::Review,
        passing: "II 2 G Ex db eb IIC T4 Gb",
        failing: "II 2 D q7 T100 °C",
        find: inside,
    },
    Check {
        name: "X or U behind text that was not read",
        question: "Is every X or U at the end of a number that of a certificate that was read?",
        source: "IEC 60079-0 clauses 13 and 29 (memory)",
        severity: Severity::Review,
        passing: "Ex db IIC T4 Gb; ABC 14 ATEX 1234 X",
        failing: "Ex db IIC T4 Gb; ABC 14 AT.X 1234 X",
        find: lost_condition,
    },
    Check {
        name: "pieces of a marking without its mark",
        question: "Does each line that looks like a marking open with a mark that was read?",
        source: "common practice, no source",
        severity: Severity::Critical,
        passing: "Ex db IIC T4 Gb; Ex tb IIIC T80 °C Db; IP66",
        failing: "Ex db IIC T4 Gb; Ez tb IIIC T80 °C Db; IP66",
        find: without_mark,
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
        Some(message!("check-illegible", text = &odd.value))
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
        let bare = without_sign(text);
        let strokes = bare
            .chars()
            .take_while(|c| matches!(c, 'I' | 'l' | '1' | '|'))
            .count();
        let rest: Vec<char> = bare
            .chars()
            .skip(strokes)
            .filter(|c| !c.is_whitespace())
            .take(4)
            .collect();
        // The group of a category line alone: its figure and letter were found elsewhere or not.
        let is_whole_line = plate
            .lines
            .get(span.line)
            .is_some_and(|l| without_sign(l) == without_sign(text));
        let lacks_category = plate.markings.iter().any(|m| m.atex.is_none());
        if strokes == 2 && rest.is_empty() && is_whole_line && lacks_category {
            found.push(Finding::plate(
                message!("check-odd-line", text = text),
                vec![*span],
            ));
            continue;
        }
        let figure = rest
            .first()
            .is_some_and(|c| c.is_ascii_digit() || matches!(c, '(' | 'Z' | 'l' | 'I' | '|'));
        let letter = rest.iter().skip(1).any(|c| matches!(c, 'G' | 'D'));
        let short = text.chars().count() <= 12;
        // `II G`: the figure itself is lost.
        let no_figure =
            strokes == 2 && matches!(rest.as_slice(), ['G' | 'D', ..]) && rest.len() <= 2;
        if no_figure && !plate.markings.is_empty() {
            found.push(Finding::plate(
                message!("check-lost-figure", text = text),
                vec![*span],
            ));
            continue;
        }
        if (1..=3).contains(&strokes) && figure && letter && short && !plate.markings.is_empty() {
            found.push(Finding::plate(
                message!("check-odd-line", text = text),
                vec![*span],
            ));
        }
    }
    found
}

/// A text without the hexagon before it.
fn without_sign(text: &str) -> &str {
    text.trim_start_matches(['⬡', '⬢']).trim()
}

/// Unread text on the line of a marking, between its first and its last piece there.
fn inside(plate: &Plate) -> Vec<Finding> {
    let mut found = Vec::new();
    for (index, marking) in plate.markings.iter().enumerate() {
        let spans = || {
            marking
                .spans
                .iter()
                .chain(marking.atex.iter().map(|line| &line.raw.span))
        };
        let between = plate.unread.iter().find(|gap| {
            let here = || spans().filter(|s| s.line == gap.line);
            here().any(|s| s.end <= gap.start) && here().any(|s| s.start >= gap.end)
        });
        if let Some(gap) = between
            && let Some(text) = unread_text(plate, *gap)
        {
            found.push(Finding {
                spans: vec![*gap],
                ..Finding::on(index, marking, message!("check-inside", text = text))
            });
        }
    }
    found
}

fn unread_text(plate: &Plate, span: Span) -> Option<&str> {
    plate.lines.get(span.line)?.get(span.start..span.end)
}

/// Unread text of letters and a number that ends in X or U: a certificate number, most likely, and
/// then with conditions that must be met, or of a component.
fn lost_condition(plate: &Plate) -> Vec<Finding> {
    if plate.markings.is_empty() {
        return Vec::new();
    }
    let ends_so = |text: &str| {
        let number = text.strip_suffix(['X', 'U']).map(str::trim_end);
        let figures = |number: &str| number.chars().filter(char::is_ascii_digit).count();
        number.is_some_and(|number| {
            number.ends_with(|c: char| c.is_ascii_digit())
                && figures(number) >= 4
                && number.starts_with(|c: char| c.is_ascii_uppercase())
                && number.contains(' ')
        })
    };
    plate
        .unread
        .iter()
        .filter_map(|span| Some((*span, unread_text(plate, *span)?)))
        .filter(|(_, text)| ends_so(text))
        .map(|(span, text)| {
            Finding::plate(message!("check-lost-condition", text = text), vec![span])
        })
        .collect()
}

/// Lines on which no marking was read, but three kinds of its pieces stand.
fn without_mark(plate: &Plate) -> Vec<Finding> {
    // More lines than a plate has; it bounds the work.
    const LINES: usize = 64;
    let mut lines: Vec<usize> = plate.unread.iter().map(|s| s.line).collect();
    lines.dedup();
    lines.truncate(LINES);
    lines
        .into_iter()
        .filter(|line| {
            !plate
                .markings
                .iter()
                .any(|m| m.spans.iter().any(|s| s.line == *line))
        })
        .filter_map(|line| {
            let unread: Vec<Span> = plate
                .unread
                .iter()
                .copied()
                .filter(|s| s.line == line)
                .collect();
            let text: Vec<&str> = unread
                .iter()
                .filter_map(|s| unread_text(plate, *s))
                .collect();
            let text = text.join(" ");
            (crate::grammar::kinds_of_pieces(&text) >= 3)
                .then(|| Finding::plate(message!("check-pieces", text = &text), unread))
        })
        .collect()
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
                message!("check-glued", text = text),
                vec![*span],
            ));
        }
    }
    found
}
