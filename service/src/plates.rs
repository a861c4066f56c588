//! Several plates on one photo: each is decided apart, and the photo is never judged milder than the
//! worst of them.

use crate::answer::{Answer, CodeDto, OnePlateDto, Source};
use crate::pipeline::{GivenPlace, answer_to, read_lines};
use vetplate_parser::{Language, Line, Reading, message};

/// Decides a photo whose lines stand on several plates; none where they are one plate's.
pub(crate) fn decide_each(
    source: &Source,
    lines: &[Line],
    place: Option<&GivenPlace>,
    language: Language,
) -> Option<Answer> {
    let answers: Vec<Answer> = read_apart(source.lines.iter().map(|line| line.plate), lines)?
        .iter()
        .map(|(group, reading)| {
            let part = Source {
                lines: group.iter().map(|&i| source.lines[i].clone()).collect(),
                codes: codes_of(source, group),
                ..source.clone()
            };
            answer_to(part, reading, place, language)
        })
        .collect();
    // There is a place for all of them or for none.
    let outcome = |answer: &Answer| answer.verdict.as_ref().map(|v| v.outcome);
    let plates: Vec<OnePlateDto> = answers.iter().map(OnePlateDto::new).collect();
    // The first of the worst ones speaks for the photo.
    let mut answers = answers.into_iter();
    let first = answers.next()?;
    let mut worst = answers.fold(first, |worst, next| {
        if outcome(&next) < outcome(&worst) {
            next
        } else {
            worst
        }
    });
    let count = plates.len();
    worst.plates = plates;
    worst.codes.clone_from(&source.codes);
    worst.review.needed = true;
    worst
        .review
        .reasons
        .insert(0, message!("review-plates", count = count).text(language));
    Some(worst)
}

/// The codes that stand on the plate of a group of lines.
fn codes_of(source: &Source, group: &[usize]) -> Vec<CodeDto> {
    let plate = group.first().and_then(|&i| source.lines[i].plate);
    let own = |code: &&CodeDto| code.plate == plate;
    source.codes.iter().filter(own).cloned().collect()
}

/// The lines of each plate of a photo as indices, in the order of the photo; none where they are one
/// plate's. `numbers` are the plates that the reader put the lines on.
///
/// A group of lines without a marking is no plate of its own: a certificate number with its X may
/// stand there, and it stays with the others.
pub(crate) fn apart(
    numbers: impl Iterator<Item = Option<usize>>,
    lines: &[Line],
) -> Option<Vec<Vec<usize>>> {
    let plates = read_apart(numbers, lines)?;
    Some(plates.into_iter().map(|(group, _)| group).collect())
}

/// As [`apart`], with what each plate's lines say.
fn read_apart(
    numbers: impl Iterator<Item = Option<usize>>,
    lines: &[Line],
) -> Option<Vec<(Vec<usize>, Reading)>> {
    let groups = groups(numbers);
    if groups.len() < 2 {
        return None;
    }
    // As soon as one has no marking, the rest need not be read.
    groups
        .into_iter()
        .map(|group| {
            let own: Vec<Line> = group.iter().map(|&i| lines[i].clone()).collect();
            let reading = read_lines(&own);
            (!reading.best().plate.markings.is_empty()).then_some((group, reading))
        })
        .collect()
}

fn groups(numbers: impl Iterator<Item = Option<usize>>) -> Vec<Vec<usize>> {
    let mut groups: Vec<(usize, Vec<usize>)> = Vec::new();
    for (index, number) in numbers.enumerate() {
        let plate = number.unwrap_or_default();
        match groups.iter_mut().find(|(p, _)| *p == plate) {
            Some((_, group)) => group.push(index),
            None => groups.push((plate, vec![index])),
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::{LineDto, OutcomeDto, Share, VersionsDto};
    use crate::pipeline::decide;
    use vetplate_parser::place::PlaceFields;

    /// The answer to lines with the numbers of their plates, for zone 1 and ethanol.
    fn answer(lines: &[(usize, &str)]) -> Answer {
        let shown = |(plate, text): &(usize, &str)| LineDto {
            text: (*text).to_owned(),
            confidence: Share::new(1.0),
            quad: None,
            hidden: Vec::new(),
            flaws: Vec::new(),
            plate: Some(*plate),
        };
        let source = Source {
            photo: None,
            lines: lines.iter().map(shown).collect(),
            codes: Vec::new(),
            versions: VersionsDto::new(Vec::new()),
        };
        let parsed: Vec<Line> = lines.iter().map(|(_, t)| Line::certain(t)).collect();
        let place = GivenPlace::check(PlaceFields {
            zone: Some("1".to_owned()),
            gas: vec!["ethanol".to_owned()],
            ..PlaceFields::default()
        })
        .unwrap();
        decide(source, &parsed, place.as_ref(), Language::English)
    }

    #[test]
    fn each_plate_is_decided_apart_and_the_worst_speaks() {
        let found = answer(&[
            (0, "II 2 G Ex db IIC T4 Gb"),
            (0, "ABC 15 ATEX 1234"),
            (1, "II 3 G Ex ec IIC T4 Gc"),
            (1, "XYZ 16 ATEX 5678"),
        ]);
        assert_eq!(found.plates.len(), 2);
        let outcomes: Vec<_> = found
            .plates
            .iter()
            .map(|p| p.verdict.as_ref().map(|v| v.outcome))
            .collect();
        assert_eq!(
            outcomes,
            [Some(OutcomeDto::Suitable), Some(OutcomeDto::Unsuitable)]
        );
        assert_eq!(
            found.verdict.map(|v| v.outcome),
            Some(OutcomeDto::Unsuitable)
        );
        assert_eq!(found.markings[0].text, "Ex ec IIC T4 Gc");
        assert!(found.review.needed && found.review.reasons[0].contains("2 plates"));
    }

    #[test]
    fn pieces_of_two_plates_are_never_one_marking() {
        let found = answer(&[(0, "Ex db eb"), (1, "Ex tb IIIC T80°C Db")]);
        assert!(found.plates.iter().all(|p| p.markings.len() == 1));
    }

    #[test]
    fn lines_without_a_marking_stay_with_the_others() {
        let found = answer(&[(0, "II 2 G Ex db IIC T4 Gb"), (1, "ABC 15 ATEX 1234 X")]);
        assert!(found.plates.is_empty());
        assert_eq!(
            found.verdict.map(|v| v.outcome),
            Some(OutcomeDto::Conditional)
        );
    }
}
