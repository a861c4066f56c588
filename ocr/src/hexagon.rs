//! The mark of explosion protection before a line, which seems to lie over letters.
//!
//! It is a filled sign, and the detector ends a line before it now and then. Then another surface than
//! the plate's begins right before the first letter, as it does where paint hides letters. So such a place
//! is looked at once more together with its line, and is nothing hidden where the mark is surely seen.

use crate::error::OcrError;
use crate::geometry::{Quad, along, centre, distance, length, middle, thickness};
use crate::line::{Hidden, TextLine};
use crate::looks::Eyes;
use crate::recognise::Reading;
use crate::sample::Pyramid;

/// The mark as one character.
pub(crate) const HEXAGON: char = '⬢';
/// Probability from which on it is seen.
const SURE: f32 = 0.9;
/// Heights of the line that are looked at before what lies there: what is ruled may stand near.
const ROOM: f32 = 0.35;
/// Heights of the mark that a line has at most that it was taken for.
const LONG: f32 = 1.8;

/// Puts marks into the lines before which they stand; lines that a mark was taken for go.
pub(crate) fn put_in(
    eyes: Eyes<'_>,
    pyramid: &Pyramid,
    lines: &mut Vec<TextLine>,
) -> Result<(), OcrError> {
    let starts: Vec<usize> = (0..lines.len())
        .filter(|&i| lines[i].hidden.first().is_some_and(|h| h.before == 0))
        .filter(|&i| !lines[i].glyphs.is_empty())
        .collect();
    let places: Vec<Quad> = starts.iter().map(|&i| with_room(&lines[i])).collect();
    let readings = eyes.read_all(pyramid, &places, || {})?;
    let mut marks: Vec<Quad> = Vec::new();
    for ((index, place), reading) in starts.into_iter().zip(places).zip(readings) {
        let line = &mut lines[index];
        if !shows_mark(&reading, line) {
            continue;
        }
        let more = reading.glyphs.len() - line.glyphs.len();
        let hidden = line.hidden.drain(1..).map(|hidden| Hidden {
            before: hidden.before + more,
            ..hidden
        });
        *line = TextLine {
            hidden: hidden.collect(),
            plate: line.plate,
            ..reading.at(place)
        };
        marks.extend(line.part(0, 1));
    }
    let begins = |line: &TextLine| line.glyphs.first().is_some_and(|g| g.ch == HEXAGON);
    let is_mark = |line: &TextLine| {
        marks.iter().any(|mark| {
            length(&line.quad) < LONG * thickness(mark)
                && distance(centre(&line.quad), centre(mark)) < 0.5 * thickness(mark)
        })
    };
    lines.retain(|line| begins(line) || !is_mark(line));
    Ok(())
}

/// The place of a line with what lies right before it.
fn with_room(line: &TextLine) -> Quad {
    let [left, right] = [(0, 3), (1, 2)].map(|(a, b)| middle(line.quad[a], line.quad[b]));
    let long = distance(left, right).max(1.0);
    let cover = line
        .hidden
        .first()
        .map_or(left, |h| middle(h.quad[0], h.quad[3]));
    // Along the line, so that a cover that reaches into it counts as little as it reaches out of it.
    let [dx, dy] = [0, 1].map(|i| (right[i] - left[i]) / long);
    let before = ((cover[0] - left[0]) * dx + (cover[1] - left[1]) * dy).min(0.0);
    along(
        &line.quad,
        (before - ROOM * thickness(&line.quad)) / long,
        1.0,
    )
}

/// Whether a reading says the same as the line and the mark before it.
fn shows_mark(reading: &Reading, line: &TextLine) -> bool {
    let mut characters = reading.characters();
    let mark = characters.next();
    mark.is_some_and(|g| g.ch == HEXAGON && g.probability >= SURE)
        && reading.glyphs.len() > line.glyphs.len()
        && characters
            .map(|g| g.ch)
            .eq(line.glyphs.iter().map(|g| g.ch).filter(|c| *c != ' '))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::abreast::Crew;
    use crate::line::{Cover, Glyph};
    use crate::says::recogniser;
    use image::RgbImage;

    /// `text` with a patch before it, and a short line where the mark would stand.
    fn lines(text: &str) -> Vec<TextLine> {
        let glyph = |(i, ch)| Glyph {
            ch,
            probability: 0.99,
            also: Vec::new(),
            x: 0.1 + 0.2 * i as f32,
        };
        let at = |x0: f32, x1: f32| [[x0, 50.0], [x1, 50.0], [x1, 80.0], [x0, 80.0]];
        let line = TextLine {
            glyphs: text.chars().enumerate().map(glyph).collect(),
            hidden: [0, 1]
                .map(|before| Hidden {
                    before,
                    fits: 2,
                    why: Cover::Patch,
                    quad: at(80.0, 100.0),
                })
                .to_vec(),
            quad: at(100.0, 220.0),
            ..TextLine::default()
        };
        let short = TextLine {
            glyphs: vec![glyph((0, 'E'))],
            quad: at(88.0, 118.0),
            ..TextLine::default()
        };
        vec![line, short]
    }

    fn looked_at(text: &str, sure: f32) -> Vec<TextLine> {
        let picture = RgbImage::from_fn(400, 200, |x, y| image::Rgb([(x * y % 200) as u8; 3]));
        let plate = recogniser([HEXAGON, 'A', 'B'], sure);
        let crew = Crew::default();
        let eyes = Eyes {
            plate: &plate,
            general: &plate,
            crew: &crew.begin(),
        };
        let mut lines = lines(text);
        put_in(eyes, &Pyramid::new(&picture), &mut lines).unwrap();
        lines
    }

    #[test]
    fn a_mark_before_a_line_hides_nothing() {
        let found = looked_at("AB", 0.95);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].text().replace(' ', ""), "⬢AB");
        let before: Vec<usize> = found[0].hidden.iter().map(|h| h.before).collect();
        assert_eq!(before, [found[0].glyphs.len() - 1]);
    }

    #[test]
    fn where_the_mark_is_not_sure_or_the_line_says_something_else_it_stays_hidden() {
        for (text, sure) in [("AB", 0.8), ("BB", 0.95)] {
            assert_eq!(looked_at(text, sure), lines(text), "{text} {sure}");
        }
    }
}
