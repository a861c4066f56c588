//! Pieces that stand alone tell that something beside them was not read.
//!
//! A recogniser passes over what is painted over and is sure of the rest. Each of these signs was
//! met on such a plate: the text that was read is right, and yet it is not what is printed.

use super::{ReviewReason, Weighted};
use crate::checks::is_whole;
use crate::marking::{Level, Marking, Scheme};
use crate::{Joint, Line, Message, Plate, Span, message};

/// Names of the check whose finding on a photo may mean a line that was not read.
const NO_CERTIFICATE: &str = "certificate number missing";

/// Pieces that are told of: more than a plate has.
const MOST: usize = 64;

/// Why a person should look for what was not read.
pub(super) fn reasons(lines: &[Line], best: &Weighted) -> Vec<ReviewReason> {
    let plate = &best.plate;
    let texts: Vec<String> = lines.iter().map(Line::text).collect();
    let text = |span: &Span| texts.get(span.line)?.get(span.start..span.end);
    let mut found = Vec::new();
    for span in &plate.unread {
        if found.len() >= MOST {
            break;
        }
        let Some(text) = text(span) else { continue };
        let beside_range = plate
            .ambient
            .as_ref()
            .is_some_and(|a| a.span.line == span.line);
        let reason = if text.split_whitespace().any(is_piece) && !plate.markings.is_empty() {
            message!("review-piece", text = text, line = span.line + 1)
        } else if beside_range && text.contains('°') {
            message!("review-other-limit", text = text, line = span.line + 1)
        } else {
            continue;
        };
        found.push(ReviewReason {
            text: reason,
            span: Some(*span),
            critical: true,
        });
    }
    // Typed lines are whole as they are given; a photo may have hidden one.
    let photographed = lines
        .iter()
        .any(|line| line.glyphs().iter().any(|g| g.probability < 1.0));
    if photographed {
        found.extend(uncategorised(plate));
        found.extend(uncertified(plate));
        found.extend(
            best.suspicions
                .iter()
                .filter(|s| s.check == NO_CERTIFICATE)
                .map(|s| ReviewReason {
                    text: Message::list(
                        [s.detail.clone(), message!("review-conditions-beside")],
                        Joint::Blank,
                    ),
                    span: None,
                    critical: false,
                }),
        );
    }
    found
}

/// Groups and EPLs of today's strings, which never stand alone.
fn is_piece(word: &str) -> bool {
    let group = matches!(
        word,
        "IIA" | "IIB" | "IIC" | "IIB+H2" | "IIIA" | "IIIB" | "IIIC"
    );
    let epl = matches!(word, "Ga" | "Gb" | "Gc" | "Da" | "Db" | "Dc" | "Ma" | "Mb");
    group || epl
}

/// A string without a category where one is due: another string of the plate has one, or the plate has
/// the mark of a directive that asks for it (2014/34/EU, annex II, 1.0.5). Its category line was not
/// read.
fn uncategorised(plate: &Plate) -> Option<ReviewReason> {
    let with = plate.markings.iter().any(|m| m.atex.is_some());
    let without = plate
        .markings
        .iter()
        .position(|m| m.atex.is_none() && !m.protections.is_empty() && takes_category(m))?;
    let text = if with {
        message!("review-no-category-line", marking = without + 1)
    } else if !plate.marks.is_empty() && plate.markings[without].scheme == Scheme::Iec {
        message!("review-no-category-anywhere")
    } else {
        return None;
    };
    Some(ReviewReason {
        text,
        span: plate.markings[without].spans.first().copied(),
        // A whole line is hidden, and nobody knows what else stands on it.
        critical: true,
    })
}

/// A string of today's standards without a category, and no certificate number on the plate. With a
/// category that is a check's business; without one nothing else tells of a number that was not read, and
/// of the X behind it (IEC 60079-0, clause 29; memory). Level c may be declared by the maker alone.
fn uncertified(plate: &Plate) -> Option<ReviewReason> {
    // What is for North America too is listed there, under the mark of who lists it.
    let is_american = !plate.markings.iter().all(takes_category);
    if !is_whole(plate) || !plate.certificates.is_empty() || is_american {
        return None;
    }
    let due = |m: &&Marking| {
        m.atex.is_none()
            && m.scheme == Scheme::Iec
            && !m.protections.is_empty()
            && m.epl.iter().any(|epl| epl.value.level != Level::C)
    };
    let marking = plate.markings.iter().find(due)?;
    Some(ReviewReason {
        text: message!("review-no-certificate"),
        span: marking.spans.first().copied(),
        critical: true,
    })
}

/// False for North American markings, which have no category wherever they are printed.
fn takes_category(marking: &Marking) -> bool {
    !(marking.aex
        || matches!(
            marking.scheme,
            Scheme::NecDivision | Scheme::NecZone | Scheme::Cec
        ))
}

#[cfg(test)]
mod tests {
    use crate::{Line, read};

    fn photographed(texts: &[&str]) -> Vec<Line> {
        texts
            .iter()
            .map(|text| {
                let mut glyphs = Line::certain(text).glyphs().to_vec();
                for glyph in &mut glyphs {
                    glyph.probability = 0.9999;
                }
                Line::new(glyphs)
            })
            .collect()
    }

    fn reasons(texts: &[&str]) -> Vec<String> {
        let reading = read(&photographed(texts));
        reading
            .review
            .into_iter()
            .map(|r| r.text.to_string())
            .collect()
    }

    #[test]
    fn a_group_alone_tells_of_a_hidden_type() {
        let found = reasons(&["II 2 D", "IIIC T135°C Db", "ABC 18 ATEX 1742 X", "CE 9998"]);
        assert!(found.iter().any(|r| r.contains("\"IIIC\"")), "{found:?}");
    }

    #[test]
    fn a_limit_beside_the_range_tells_of_a_lost_sign() {
        let marking = "II 2 G Ex db IIC T4 Gb";
        let certificate = "ABC 14 ATEX 9449 X";
        let found = reasons(&[marking, certificate, "0 °C  TAMB. < +60 °C", "CE 9998"]);
        assert!(found.iter().any(|r| r.contains("other limit")), "{found:?}");
        let found = reasons(&[marking, certificate, "0 °C < TAMB. < +60 °C", "CE 9998"]);
        assert!(
            !found.iter().any(|r| r.contains("other limit")),
            "{found:?}"
        );
    }

    #[test]
    fn a_string_without_category_beside_one_with_it_is_looked_at() {
        let lines = [
            "II 2 G",
            "Ex db IIA T4 Gb",
            "Ex tb IIIC T85°C Db",
            "ABC 14 ATEX 9449",
            "CE 0000",
        ];
        let found = reasons(&lines);
        assert!(
            found.iter().any(|r| r.contains("no category line")),
            "{found:?}"
        );
        let found = reasons(&[
            "Ex db IIA T4 Gb",
            "Ex tb IIIC T85°C Db",
            "IECEx ABC 14.0001",
        ]);
        assert!(
            !found.iter().any(|r| r.contains("no category line")),
            "{found:?}"
        );
    }

    #[test]
    fn a_conformity_mark_without_any_category_is_looked_at() {
        let found = |lines: &[&str]| reasons(lines).iter().any(|r| r.contains("conformity mark"));
        assert!(found(&["Ex h IIA T2 Gb", "IECEx ABC 17.0203", "CE"]));
        assert!(!found(&["Ex h IIA T2 Gb", "IECEx ABC 17.0203"]));
        assert!(!found(&["II 2 G Ex h IIA T2 Gb", "ABC 17 ATEX 1203", "CE"]));
        // Older than the directive's category line.
        assert!(!found(&["EEx d IIC T4", "CE"]));
        assert!(!found(&["Class I, Division 1, Groups B, C, D", "CE"]));
    }

    #[test]
    fn a_certificate_is_looked_for_beside_strings_without_category_too() {
        let found = |lines: &[&str]| {
            reasons(lines)
                .iter()
                .any(|r| r.contains("certificate number"))
        };
        let marking = "Ex db eb mb IIC T6 Gb";
        assert!(found(&["Solenoid", marking, "Year: 04/2014"]));
        assert!(!found(&["Solenoid", marking, "IECEx ABC 14.0173"]));
        // A line that somebody gives with its doubt is no plate.
        assert!(!found(&[marking]));
        assert!(!found(&["Solenoid", "Ex ec IIC T3 Gc", "Year: 04/2014"]));
        assert!(!found(&[
            "Ex eb IIC T5 Gb",
            "Class I, Zone 1, AEx eb IIC T5 Gb",
            "NEMA 4"
        ]));
    }

    #[test]
    fn a_certificate_that_is_due_is_looked_for_on_photos_only() {
        let lines = ["CE 9999", "II 2 G Ex db IIC T4 Gb", "Type MR 488"];
        let asked = |found: &[String]| found.iter().any(|r| r.contains("certificate"));
        assert!(asked(&reasons(&lines)));
        let typed = read(&lines.map(Line::certain));
        let typed: Vec<String> = typed
            .review
            .into_iter()
            .map(|r| r.text.to_string())
            .collect();
        assert!(!asked(&typed), "{typed:?}");
    }
}
