//! Places where something may stand that nobody can see.
//!
//! What is under paint, glare or a label is not absent. For each such place the pieces that the
//! grammar knows are put in, and those that fit and make sense there are what may be hidden: the
//! fields in which they differ from the plate as read are illegible, and the verdict is asked of
//! every one of them.
#![expect(
    clippy::similar_names,
    reason = "plate and place are the words of the trade"
)]

use super::signature::{FIELDS, field, signature};
use super::{FieldDoubt, ReviewReason, Weighted, checking_work, weigh};
use crate::checks::Severity;
use crate::line::Hidden;
use crate::marking::Marking;
use crate::{Confidence, Cover, ILLEGIBLE, Joint, Line, Message, Plate, Span, grammar, message};

/// The work on all places of a plate together, as the grammar counts it. It bounds the time whatever
/// comes in; a place that it does not suffice for counts as hiding anything.
const WORK: usize = 200_000;
/// What each character of the plate takes of it: a long text is no plate, and costs more each time.
const PER_CHARACTER: usize = 20;
/// What each character of a short plate gives: few characters have few places between them, and where
/// there are more, nobody needs to know of each what it may hide.
const WORTH: usize = 1_000;
/// Characters that are worth looking at however short the plate.
const LEAST: usize = 64;
/// Places that are looked at: more than a plate has. What comes after them counts as one more place
/// that may hide anything.
const PLACES: usize = 32;
/// What is left of the confidence of a field that may go on under a cover.
const LEFT: f64 = 0.5;
/// Characters that a stretch of unreadable ink is taken for, where nobody measured it.
const STRETCH: usize = 8;

/// Pieces of markings that may be hidden: one of each kind and value that a verdict tells apart.
const PIECES: [&str; 56] = [
    "X", "U", "Ga", "Gb", "Gc", "Da", "Db", "Dc", "Ma", "Mb", "T1", "T2", "T3", "T4", "T5", "T6",
    "T85°C", "T135°C", "T200°C", "I", "IIA", "IIB", "IIC", "+H2", "IIIA", "IIIB", "IIIC", "d", "e",
    "i", "ia", "ib", "ic", "m", "mb", "nA", "nR", "n", "o", "p", "pxb", "q", "db", "dc", "eb",
    "ec", "tb", "tc", "h", "II", "1", "2", "3", "G", "D", "GD",
];
/// Pieces of a range of temperatures.
const LIMITS: [&str; 6] = ["-20 °C", "+40 °C", "-", "1", "-40 °C ≤", "≤ +60 °C"];

/// A place where something may stand that nobody can see and that a verdict may rest on.
#[derive(Debug, Clone, PartialEq)]
pub struct Covered {
    /// Where: between two characters of a line, or the sign that stands for what is illegible.
    pub span: Span,
    /// How many characters may stand there at most.
    pub fits: usize,
    /// Why they cannot be seen; none where there is ink that the reader could not make out.
    pub why: Option<Cover>,
    /// The critical fields that may stand there, by marking of the best reading.
    pub fields: Vec<(usize, &'static str)>,
    /// The plate with each piece that fits and makes sense there.
    pub completions: Vec<Weighted>,
    /// What a person must look for.
    pub text: Message,
}

impl Covered {
    /// Why a person should look.
    pub(super) fn reason(&self) -> ReviewReason {
        ReviewReason {
            text: self.text.clone(),
            span: Some(self.span),
            critical: false,
        }
    }

    /// Lowers the confidence of the fields that may stand here, and names those of which nothing
    /// was read.
    pub(super) fn lower(&self, fields: &mut Vec<FieldDoubt>) {
        for &(marking, name) in &self.fields {
            let known = fields
                .iter_mut()
                .find(|f| f.marking == marking && f.field == name);
            match known {
                Some(doubt) if doubt.illegible => {}
                Some(doubt) => {
                    doubt.confidence = Confidence::new(doubt.confidence.get() * LEFT);
                    doubt.illegible = true;
                }
                None => fields.push(FieldDoubt {
                    marking,
                    field: name,
                    confidence: Confidence::new(LEFT),
                    also: Vec::new(),
                    spans: vec![self.span],
                    illegible: true,
                }),
            }
        }
    }
}

/// A place as the line tells of it.
struct Place {
    line: usize,
    /// Bytes of the line that stand for it; empty where nothing does.
    start: usize,
    end: usize,
    fits: usize,
    why: Option<Cover>,
}

/// The places that may hide what matters on this plate.
pub(super) fn places(lines: &[Line], best: &Weighted) -> Vec<Covered> {
    let texts: Vec<String> = lines.iter().map(Line::text).collect();
    let base = signature(best);
    let length: usize = lines.iter().map(|line| line.glyphs().len()).sum();
    // What is spent already; a place that nothing is left for may hide anything.
    let mut work = spent(length);
    let mut found = Vec::new();
    for (number, place) in lines
        .iter()
        .enumerate()
        .flat_map(|(index, line)| all(index, line))
        .enumerate()
    {
        if number >= PLACES {
            found.push(rest(&texts[place.line], &place, &best.plate));
            break;
        }
        if place.why == Some(Cover::Gap) && !splits_a_marking(&best.plate, &place) {
            continue;
        }
        let completions = completions(&texts, &place, best, &base, &mut work);
        let unknown = work >= WORK
            || lies_in(&best.plate, &place)
            || is_whole(&texts[place.line], &best.plate);
        if completions.is_empty() && !unknown {
            continue;
        }
        let fields = touched(&best.plate, &completions);
        found.push(Covered {
            span: Span {
                line: place.line,
                start: place.start,
                end: place.end,
            },
            fits: place.fits,
            why: place.why,
            text: said(
                &texts[place.line],
                &place,
                &best.plate,
                &fields,
                &completions,
            ),
            fields,
            completions,
        });
    }
    found
}

/// What length takes of the work, and what a short plate is not worth of it.
fn spent(length: usize) -> usize {
    let worth = WORK.min(WORTH * (LEAST + length));
    PER_CHARACTER * length + (WORK - worth)
}

/// A place after so many that nobody looked what fits in: it may hide anything.
fn rest(text: &str, place: &Place, plate: &Plate) -> Covered {
    Covered {
        span: Span {
            line: place.line,
            start: place.start,
            end: place.end,
        },
        fits: place.fits,
        why: place.why,
        text: said(text, place, plate, &[], &[]),
        fields: Vec::new(),
        completions: Vec::new(),
    }
}

/// The places of one line: those that were measured on the photo, and ink that could not be read.
fn all(index: usize, line: &Line) -> Vec<Place> {
    let starts = line.starts();
    let mut places: Vec<Place> = Vec::new();
    for (number, glyph) in line.glyphs().iter().enumerate() {
        if glyph.ch == ILLEGIBLE {
            places.push(Place {
                line: index,
                start: starts[number],
                end: starts[number + 1],
                fits: STRETCH,
                why: None,
            });
        }
    }
    let signs = places.len();
    for hidden in line.hidden() {
        let Hidden { before, fits, why } = *hidden;
        let Some(&start) = starts.get(before) else {
            continue;
        };
        // The sign for illegible ink beside it is the same place.
        let sign = places[..signs].partition_point(|p| p.end < start);
        let beside = |p: &Place| p.start == start || p.end == start;
        let at = [sign, sign + 1]
            .into_iter()
            .filter(|at| *at < signs)
            .chain((signs < places.len()).then(|| places.len() - 1))
            .find(|at| beside(&places[*at]));
        if let Some(at) = at {
            let place = &mut places[at];
            place.fits = place.fits.max(fits);
            place.why = place.why.or(Some(why));
        } else {
            places.push(Place {
                line: index,
                start,
                end: start,
                fits,
                why: Some(why),
            });
        }
    }
    places.sort_by_key(|p| p.start);
    places
}

/// The plate with each piece that fits and makes sense in a place.
fn completions(
    texts: &[String],
    place: &Place,
    best: &Weighted,
    base: &str,
    work: &mut usize,
) -> Vec<Weighted> {
    if *work >= WORK {
        return Vec::new();
    }
    let line = &texts[place.line];
    let (Some(left), Some(right)) = (line.get(..place.start), line.get(place.end..)) else {
        return Vec::new();
    };
    let known = contradictions(best);
    let mut seen: Vec<String> = vec![base.to_owned()];
    let mut found = Vec::new();
    let pieces = PIECES.iter().chain(&LIMITS);
    for piece in pieces.filter(|p| p.chars().count() <= place.fits + 1) {
        // As a word of its own, or as a part of the words beside it.
        let own = format!("{} {piece} {}", left.trim_end(), right.trim_start());
        let part = format!("{left}{piece}{right}");
        // Between blanks both are the same.
        let differ = own.trim_end() != part.trim_end();
        for text in [Some(own), differ.then_some(part)].into_iter().flatten() {
            if *work >= WORK {
                // Half of what may stand there proves nothing.
                return Vec::new();
            }
            let mut texts = texts.to_vec();
            texts[place.line] = text;
            let span = Span {
                line: place.line,
                start: place.start,
                end: place.end,
            };
            let counted = grammar::parse_counted(&texts);
            let reading = weigh(counted.plate, 1.0, vec![(span, (*piece).to_owned())]);
            *work += counted.work + checking_work(&reading);
            let key = signature(&reading);
            if seen.contains(&key) {
                continue;
            }
            if makes_sense(&reading, best, &known) {
                found.push(reading);
            }
            seen.push(key);
        }
    }
    found
}

/// True where a piece was taken up by a notation and contradicts nothing.
fn makes_sense(reading: &Weighted, best: &Weighted, known: &[&'static str]) -> bool {
    let loose = |plate: &Plate| -> usize {
        let unread: usize = plate.unread.iter().map(|s| s.end - s.start).sum();
        let odd = |m: &Marking| {
            m.illegible.len()
                + usize::from(m.unknown_group.is_some())
                + usize::from(m.unknown_class.is_some())
                + usize::from(m.unbalanced)
        };
        unread + plate.markings.iter().map(odd).sum::<usize>()
    };
    reading.plate.markings.len() >= best.plate.markings.len()
        && loose(&reading.plate) <= loose(&best.plate)
        && contradictions(reading).iter().all(|c| known.contains(c))
}

fn contradictions(reading: &Weighted) -> Vec<&'static str> {
    let weighty = reading
        .suspicions
        .iter()
        .filter(|s| s.severity != Severity::Note);
    weighty.map(|s| s.check).collect()
}

/// True where the place stands in a line that holds what a verdict rests on.
fn lies_in(plate: &Plate, place: &Place) -> bool {
    let markings = plate.markings.iter();
    let strings = markings.clone().flat_map(|m| &m.spans);
    let categories = markings.filter_map(|m| m.atex.as_ref().map(|a| &a.raw.span));
    let ambient = plate.ambient.iter().map(|a| &a.span);
    let enclosure = plate.ip.iter().map(|ip| &ip.span);
    let certificates = plate.certificates.iter().flat_map(|c| &c.spans);
    strings
        .chain(categories)
        .chain(ambient)
        .chain(enclosure)
        .chain(certificates)
        .any(|span| span.line == place.line)
}

/// True where nothing of the line could be read and the plate is one that has a marking: any line
/// of it may be this one.
fn is_whole(text: &str, plate: &Plate) -> bool {
    !plate.markings.is_empty() && text.chars().all(|c| c == ILLEGIBLE || c == ' ')
}

/// True where the place stands between two pieces of one marking, where no column begins.
fn splits_a_marking(plate: &Plate, place: &Place) -> bool {
    let spans = plate.markings.iter().flat_map(|m| &m.spans);
    let mut here = spans.filter(|s| s.line == place.line);
    here.any(|s| s.start < place.start && place.end < s.end)
}

/// The critical fields in which the completions differ from what was read.
fn touched(plate: &Plate, completions: &[Weighted]) -> Vec<(usize, &'static str)> {
    let mut found = Vec::new();
    for (index, marking) in plate.markings.iter().enumerate() {
        for name in FIELDS {
            let differs = completions.iter().any(|c| {
                let other = c.plate.markings.get(index);
                other.is_some_and(|other| field(other, name) != field(marking, name))
            });
            if differs {
                found.push((index, name));
            }
        }
    }
    found
}

/// What a person must look for, with the place.
fn said(
    text: &str,
    place: &Place,
    plate: &Plate,
    fields: &[(usize, &'static str)],
    completions: &[Weighted],
) -> Message {
    let left = text
        .get(..place.start)
        .unwrap_or_default()
        .split_whitespace()
        .next_back();
    let right = text
        .get(place.end..)
        .unwrap_or_default()
        .split_whitespace()
        .next();
    let at = match (left, right) {
        (Some(left), Some(right)) => message!("covered-between", left = left, right = right),
        (Some(left), None) => message!("covered-behind", left = left),
        (None, Some(right)) => message!("covered-before", right = right),
        (None, None) => message!("covered-whole"),
    };
    let why = match place.why {
        Some(Cover::Patch) => message!("covered-patch"),
        Some(Cover::Glare) => message!("covered-glare"),
        Some(Cover::Worn) | None => message!("covered-worn"),
        Some(Cover::Gap) => message!("covered-gap"),
        Some(Cover::Frame) => message!("covered-frame"),
    };
    let mut names: Vec<Message> = Vec::new();
    let mut name = |message: Message| {
        if !names.contains(&message) {
            names.push(message);
        }
    };
    for (_, field) in fields {
        name(super::field_name(field));
    }
    let any = |differs: &dyn Fn(&Plate) -> bool| completions.iter().any(|c| differs(&c.plate));
    if any(&|p| p.has_x() != plate.has_x() || p.has_u() != plate.has_u()) {
        name(message!("covered-conditions"));
    }
    let range = |p: &Plate| p.ambient.as_ref().map(|a| a.value);
    if any(&|p| range(p) != range(plate)) {
        name(message!("covered-ambient"));
    }
    if names.is_empty() {
        names.push(message!("covered-anything"));
    }
    message!(
        "review-covered",
        line = place.line + 1,
        place = at,
        why = why,
        fits = place.fits,
        fields = Message::list(names, Joint::Or)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::{Place as Site, PlaceFields};
    use crate::read;
    use crate::verdict::{Outcome, Verdict, judge};

    /// A line with something hidden before the character that `before` begins with; at the end
    /// where it is empty.
    fn line(text: &str, before: &str, fits: usize, why: Cover) -> Line {
        let at = if before.is_empty() {
            text.chars().count()
        } else {
            text[..text.find(before).unwrap()].chars().count()
        };
        Line::certain(text).with_hidden(vec![Hidden {
            before: at,
            fits,
            why,
        }])
    }

    fn at(lines: &[Line], zone: &str, gas: &[&str], dust: &[&str]) -> Verdict {
        let site = Site::from_fields(&PlaceFields {
            zone: Some(zone.to_owned()),
            gas: gas.iter().map(|g| (*g).to_owned()).collect(),
            dust: dust.iter().map(|d| (*d).to_owned()).collect(),
            ..PlaceFields::default()
        })
        .unwrap();
        judge(&read(lines), &site)
    }

    #[test]
    fn a_hidden_temperature_is_illegible_not_absent() {
        let lines = [line("Ex tb IIIC Db", "Db", 7, Cover::Patch)];
        let reading = read(&lines);
        let doubt = reading.fields.iter().find(|f| f.field == "temperature");
        assert!(doubt.is_some_and(|f| f.illegible), "{:?}", reading.fields);
        assert!(reading.confidence(0).get() <= LEFT);
        let text = reading.review[0].text.to_string();
        assert!(text.contains("between \"IIIC\" and \"Db\""), "{text}");
        assert!(text.contains("temperature"), "{text}");
        let verdict = at(&lines, "21", &[], &["wheat flour"]);
        assert_eq!(verdict.outcome, Outcome::Undecided);
    }

    #[test]
    fn an_x_under_paint_decides_nothing() {
        let marking = Line::certain("II 2 G Ex db IIC T4 Gb");
        let open = [marking.clone(), Line::certain("ABC 15 ATEX 1234")];
        let before = at(&open, "1", &["ethanol"], &[]);
        assert!(before.outcome > Outcome::Undecided, "{before:?}");
        let lines = [marking, line("ABC 15 ATEX 1234", "", 2, Cover::Patch)];
        let verdict = at(&lines, "1", &["ethanol"], &[]);
        assert_eq!(verdict.outcome, Outcome::Undecided);
        let ground = &verdict.grounds[0];
        assert!(
            ground.detail.contains("conditions of use"),
            "{}",
            ground.detail
        );
    }

    #[test]
    fn where_every_completion_agrees_it_does_not_matter() {
        // IIA is not enough for hydrogen, whatever stands behind.
        let lines = [line("Ex db IIA T4 Gb", "", 2, Cover::Glare)];
        let verdict = at(&lines, "1", &["hydrogen"], &[]);
        assert_eq!(verdict.outcome, Outcome::Unsuitable);
        assert!(verdict.notes.iter().any(|n| n.contains("same outcome")));
    }

    #[test]
    fn what_hides_nothing_that_matters_is_passed_over() {
        let marking = Line::certain("Ex db IIC T4 Gb");
        for other in ["Serial 8254573", "Escarrano Industriale", "230 V 50 Hz"] {
            let lines = [marking.clone(), line(other, "", 4, Cover::Patch)];
            let reading = read(&lines);
            assert!(reading.covered.is_empty(), "{other}: {:?}", reading.covered);
        }
    }

    #[test]
    fn a_plain_gap_counts_inside_a_marking_alone() {
        let inside = [line("Ex tb IIIC Db", "Db", 7, Cover::Gap)];
        assert_eq!(read(&inside).covered.len(), 1);
        let column = [line("Ex db IIC T4 Gb IP66", "IP66", 7, Cover::Gap)];
        assert!(read(&column).covered.is_empty());
    }

    #[test]
    fn ink_without_letters_beside_a_measured_place_is_one_place() {
        let lines = [line("Ex d \u{fffd} T4", "\u{fffd}", 3, Cover::Patch)];
        let reading = read(&lines);
        assert_eq!(reading.covered.len(), 1);
        assert!(reading.covered[0].fields.contains(&(0, "group")));
    }

    #[test]
    fn a_short_plate_is_worth_less_work() {
        assert_eq!(WORK - spent(0), WORTH * LEAST);
        assert!(spent(16) > spent(64) && spent(64) > spent(200));
        // A usual plate gets all of it but for its length.
        assert_eq!(spent(250), PER_CHARACTER * 250);
    }

    #[test]
    fn the_work_is_bounded_however_much_is_hidden() {
        for piece in [
            "Ex d \u{fffd} ",
            "S/N \u{fffd} ",
            "T4 \u{fffd}",
            "[Ex ia\u{fffd} ",
        ] {
            for length in [64, 1_024, 16_384] {
                let text = piece.repeat(length / piece.len());
                let lines = [Line::certain("Ex db IIC T4 Gb"), Line::certain(&text)];
                let texts: Vec<String> = lines.iter().map(Line::text).collect();
                let best = weigh(grammar::parse(&texts), 1.0, Vec::new());
                let characters = texts.iter().map(|t| t.chars().count()).sum();
                let (mut work, base) = (spent(characters), signature(&best));
                for place in all(1, &lines[1]) {
                    completions(&texts, &place, &best, &base, &mut work);
                }
                // The last text may go over by what one text costs.
                let most = WORK.max(spent(characters)) + grammar::most_work(&texts);
                assert!(work <= most, "{piece:?}, {length}: {work}");
                // What the work does not suffice for counts as hiding anything.
                let reading = read(&lines);
                let empty = |c: &Covered| c.completions.is_empty();
                assert!(reading.covered.iter().any(empty), "{piece:?}, {length}");
            }
        }
    }
}
