//! Lines between others that the detector passed over.
//!
//! It looks for the cores of lines, and close lines of large letters part badly: now and then one is
//! left out although everybody can read it. What such a line says would be missing from the plate
//! without a trace. So where there is room for a line between two others, the recogniser looks whether
//! one stands there.

use crate::error::OcrError;
use crate::geometry::{Lie, Quad, along, length, thickness};
use crate::line::TextLine;
use crate::looks::{self, Eyes};
use crate::recognise::Reading;
use crate::rooms::rooms;
use crate::sample::Pyramid;

/// Characters that a line has at least: a rule or a scratch reads as one or two.
const LEAST: usize = 3;
/// Mean probability that they have at least; the surface of a plate reads as something, too.
const SURE: f32 = 0.6;
/// The same at the first look, which takes in more than the line.
const SEEN: f32 = 0.35;
/// A line goes on beyond the middle of its first and last letter by this many heights.
const BEYOND: f32 = 1.0;

/// Puts lines that stand between others into `lines`, which lie as `lie` says; `taken` are places of
/// codes.
pub(crate) fn put_in(
    eyes: Eyes<'_>,
    pyramid: &Pyramid,
    lines: &mut Vec<TextLine>,
    lie: Lie,
    taken: &[Quad],
) -> Result<(), OcrError> {
    let rooms = rooms(lines, lie, taken);
    let extents = eyes.crew.each(&rooms, |room| {
        let seen = eyes.plate.read(&looks::picture(pyramid, &room.quad))?;
        Ok(extent(&seen, &room.quad))
    })?;
    let found: Vec<(usize, usize, Quad)> = rooms
        .iter()
        .zip(extents)
        .filter_map(|(room, quad)| Some((room.before, lines[room.neighbours[0]].plate, quad?)))
        .collect();
    let quads: Vec<Quad> = found.iter().map(|f| f.2).collect();
    let readings = eyes.read_all(pyramid, &quads, || {})?;
    for (shift, ((before, plate, quad), reading)) in found
        .into_iter()
        .zip(readings)
        .filter(|(_, reading)| is_text(reading, SURE))
        .enumerate()
    {
        let found = reading.at(quad);
        lines.insert(before + shift, TextLine { plate, ..found });
    }
    Ok(())
}

fn is_text(reading: &Reading, sure: f32) -> bool {
    let letters = reading.glyphs.iter().filter(|g| g.ch.is_alphanumeric());
    letters.count() >= LEAST && reading.sureness() >= sure.ln()
}

/// The part of a place that what was seen there takes up; none where that is no text.
fn extent(seen: &Reading, place: &Quad) -> Option<Quad> {
    if !is_text(seen, SEEN) {
        return None;
    }
    let letters: Vec<f32> = seen.characters().map(|g| g.x).collect();
    let beyond = BEYOND * thickness(place) / length(place).max(1.0);
    let (from, to) = (letters.first()? - beyond, letters.last()? + beyond);
    Some(along(place, from, to))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::abreast::Crew;
    use crate::says::recogniser;
    use image::RgbImage;

    /// Lines of 300 × 30 pixels at these heights.
    fn lines(tops: &[f32]) -> Vec<TextLine> {
        let line = |&y: &f32| TextLine {
            quad: [[50.0, y], [350.0, y], [350.0, y + 30.0], [50.0, y + 30.0]],
            ..TextLine::default()
        };
        tops.iter().map(line).collect()
    }

    fn with_put_in(sure: f32, tops: &[f32]) -> Vec<TextLine> {
        let picture = RgbImage::from_fn(400, 400, |x, y| image::Rgb([(x * y % 200) as u8; 3]));
        let pyramid = Pyramid::new(&picture);
        let plate = recogniser(['A', 'B', 'A'], sure);
        let mut lines = lines(tops);
        let crew = Crew::default();
        let eyes = Eyes {
            plate: &plate,
            general: &plate,
            crew: &crew.begin(),
        };
        put_in(eyes, &pyramid, &mut lines, Lie::default(), &[]).unwrap();
        lines
    }

    #[test]
    fn a_line_that_was_passed_over_is_put_in_its_place() {
        let found = with_put_in(0.95, &[20.0, 60.0, 140.0, 180.0, 220.0]);
        assert_eq!(found.len(), 6);
        assert_eq!(found[2].text(), "ABA");
        let [[x0, y0], [x1, _], [_, y1], _] = found[2].quad;
        assert!((y0 - 100.0).abs() < 3.0 && (y1 - 130.0).abs() < 3.0);
        // As long as what stands there, not as its neighbours.
        assert!(x0 > 60.0 && x1 < 300.0, "{:?}", found[2].quad);
    }

    #[test]
    fn without_room_or_text_nothing_is_put_in() {
        assert_eq!(with_put_in(0.95, &[20.0, 60.0, 100.0, 140.0]).len(), 4);
        assert_eq!(
            with_put_in(0.35, &[20.0, 60.0, 140.0, 180.0, 220.0]).len(),
            5
        );
    }
}
