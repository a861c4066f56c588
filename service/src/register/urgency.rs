//! How urgent a look is: what may let through something unsuitable comes first.

use crate::answer::{Answer, OutcomeDto};

/// Urgency of a review, 0 where none is needed; more is more urgent.
///
/// | from | what |
/// | --- | --- |
/// | 5000 | some plausible reading would permit the equipment and another would not |
/// | 4000 | the verdict permits it, yet a person must look |
/// | 3000 | undecided |
/// | 2000 | no place is known, so nothing is judged |
/// | 1000 | unsuitable in every reading |
///
/// Within each, the less sure the reading is, the more urgent.
pub fn urgency(answer: &Answer) -> i64 {
    if !answer.review.needed {
        return 0;
    }
    let permits = |outcome: OutcomeDto| outcome >= OutcomeDto::Conditional;
    let class = match &answer.verdict {
        None => 2000,
        Some(verdict) => {
            let readings = || verdict.decided_by.iter().flat_map(|d| &d.readings);
            if readings().any(|r| permits(r.outcome)) && readings().any(|r| !permits(r.outcome)) {
                5000
            } else if permits(verdict.outcome) {
                4000
            } else if verdict.outcome == OutcomeDto::Undecided {
                3000
            } else {
                1000
            }
        }
    };
    let least = answer
        .markings
        .iter()
        .map(|m| m.confidence.get())
        .fold(1.0, f64::min);
    class + ((1.0 - least) * 999.0) as i64
}

#[cfg(test)]
mod tests {
    use super::super::KEPT_IN;
    use super::*;
    use crate::answer::{Source, VersionsDto};
    use crate::pipeline::{GivenPlace, decide, read_text};
    use vetplate_parser::place::PlaceFields;
    use vetplate_parser::{Glyph, Line};

    fn place(zone: &str) -> Option<GivenPlace> {
        GivenPlace::check(PlaceFields {
            zone: Some(zone.to_owned()),
            gas: vec!["ethanol".to_owned()],
            ..PlaceFields::default()
        })
        .unwrap()
    }

    fn answer(text: &str, zone: Option<&str>) -> Answer {
        read_text(&[text.to_owned()], zone.and_then(place).as_ref(), KEPT_IN)
    }

    #[test]
    fn nobody_is_called_for_what_is_clear() {
        assert_eq!(urgency(&answer("Ex db IIC T4 Gb", Some("1"))), 0);
    }

    #[test]
    fn what_may_be_permitted_outranks_everything() {
        let text = "Ex db IIC T4 Gb";
        let mut glyphs = Line::certain(text).glyphs().to_vec();
        glyphs[8].probability = 0.6;
        glyphs[8].also = vec![(Some('A'), 0.4)];
        let line = |glyphs: Vec<Glyph>| {
            let source = Source {
                photo: None,
                lines: Vec::new(),
                codes: Vec::new(),
                versions: VersionsDto::new(Vec::new()),
            };
            let place = place("1");
            decide(source, &[Line::new(glyphs)], place.as_ref(), KEPT_IN)
        };
        let doubt = urgency(&line(glyphs));
        assert!(doubt >= 5000, "{doubt}");
        let unknown = urgency(&answer("Ex h llC", None));
        assert!((2000..3000).contains(&unknown), "{unknown}");
        let barred = urgency(&answer("Ex h llC", Some("1")));
        assert!((1000..2000).contains(&barred), "{barred}");
    }
}
