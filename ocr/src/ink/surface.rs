//! The surface of a line: where it is the plate's own, and where something lies over it.

use super::strip::{self, Stretch, Strip, UNIT, brightness};
use crate::hexagon::HEXAGON;
use crate::line::{Cover, Hidden, TextLine};
use crate::median::median;
use crate::sample::Pyramid;

/// Steps of 255 by which a surface must differ from that of the letters beside it. Grime, grain and
/// the camera's noise stay below it on nearly all rendered plates.
pub(super) const OTHER_COLOUR: f32 = 26.0;
/// The same in times of the line's own unevenness.
const OTHER_THAN_NOISE: f32 = 4.0;
/// A stretch is white where at least this share of its pixels is as bright as can be.
const WHITE: f32 = 0.6;
/// The hexagon of the explosion-protection mark is a filled sign as high as its line; from its centre
/// to where a letter at its end would have its own are this many heights.
const HEXAGON_HALF: f32 = 0.45;
/// Least length of a covered place in letters.
const LEAST: f32 = 0.7;
/// A cover that hides the end of a line begins within this many heights of the line behind the last
/// letter: a blank and the width of a letter.
const NEAR_END: f32 = 0.75;
/// Heights of the line above and below at which a cover must have ended. What is taller is the edge
/// of the plate, a frame or another surface.
const TALLEST: [f32; 3] = [1.0, 2.0, 3.2];

/// A gap counts from this many letters on…
const LEAST_GAP: f32 = 2.5;
/// … and where it is this many times as wide as every other one of its line.
const WIDER: f32 = 2.2;
/// A line is cut by the frame where the photo ends within this many heights of its last letter.
const NEAR_FRAME: f32 = 0.35;
/// Characters that may lie beyond the frame: as many as the longest piece of a marking has.
const BEYOND_FRAME: usize = 8;

/// Channels that differ by this many steps of 255 more than others make another colour.
const TINTED: f32 = 14.0;
/// A cover has an edge: of its difference in brightness at least this share lies between stretches
/// that touch. Light and shade change more slowly.
const EDGE: f32 = 0.55;

/// A line and its surface.
pub(super) struct Surface<'a> {
    pyramid: &'a Pyramid<'a>,
    strip: Strip,
    /// Index of the glyph and its place along the line, for every letter.
    pub(super) letters: Vec<(usize, f32)>,
    /// Glyphs that are the hexagon of the explosion-protection mark.
    hexagons: Vec<usize>,
    /// Distance between neighbouring letters as a share of the line.
    pitch: f32,
    /// Whether a letter stands on a stretch.
    text: Vec<bool>,
    /// Steps of 255 from which on a colour is another.
    other: f32,
}

impl<'a> Surface<'a> {
    /// None for a line without letters.
    pub(super) fn new(pyramid: &'a Pyramid<'a>, line: &TextLine) -> Option<Self> {
        let letters: Vec<(usize, f32)> = line
            .glyphs
            .iter()
            .enumerate()
            .filter(|(_, g)| g.ch != ' ')
            .map(|(i, g)| (i, g.x))
            .collect();
        if letters.len() < 2 {
            return None;
        }
        let strip = Strip::new(pyramid, &line.quad);
        let hexagons = letters
            .iter()
            .map(|(index, _)| *index)
            .filter(|index| line.glyphs[*index].ch == HEXAGON)
            .collect();
        let mut steps: Vec<f32> = letters
            .windows(2)
            .filter(|pair| pair[1].0 == pair[0].0 + 1)
            .map(|pair| pair[1].1 - pair[0].1)
            .filter(|step| *step > 0.0)
            .collect();
        let usual = 0.4 * UNIT / strip.pixels(1.0);
        let pitch = median(&mut steps).unwrap_or(usual).max(usual / 2.0);
        let text: Vec<bool> = (0..strip.stretches.len())
            .map(|k| {
                let at = strip.place(k);
                letters.iter().any(|(_, x)| (x - at).abs() < 0.55 * pitch)
            })
            .collect();
        let other = OTHER_COLOUR.max(OTHER_THAN_NOISE * unevenness(&strip.stretches, &text));
        Some(Self {
            pyramid,
            strip,
            letters,
            hexagons,
            pitch,
            text,
            other,
        })
    }

    /// The colours of the surface under the letters, as a whole and at their rims.
    pub(super) fn ground(&self) -> Vec<[f32; 3]> {
        let letters: Vec<usize> = (0..self.text.len()).filter(|&k| self.text[k]).collect();
        // From several parts of the line, since light falls off along it.
        letters
            .chunks(letters.len().div_ceil(3).max(1))
            .filter_map(|part| self.letter_colours(part.iter().copied()))
            .flatten()
            .collect()
    }

    /// Steps of 255 from which on a colour is another than the surface's.
    pub(super) fn other(&self) -> f32 {
        self.other
    }

    /// Distance between neighbouring letters in heights of the line.
    pub(super) fn pitch_in_heights(&self) -> f32 {
        self.pitch * self.strip.pixels(1.0) / UNIT
    }

    /// How far a stretch's colour lies outside those of the letters on both its sides.
    fn strangeness(&self, k: usize) -> f32 {
        let left = self.letter_colours((0..k).rev());
        let right = self.letter_colours(k + 1..self.text.len());
        let known: Vec<[f32; 3]> = left.into_iter().chain(right).flatten().collect();
        if known.is_empty() {
            return 0.0;
        }
        outside(&known, self.strip.stretches[k].colour)
    }

    /// Median colours of the first few stretches with letters, as a whole and at their rims.
    fn letter_colours(&self, order: impl Iterator<Item = usize>) -> Option<[[f32; 3]; 2]> {
        let near: Vec<&Stretch> = order
            .filter(|&k| self.text[k])
            .take(5)
            .map(|k| &self.strip.stretches[k])
            .collect();
        let usual = |of: fn(&Stretch) -> [f32; 3]| {
            let of_plane = |c: usize| {
                let mut values: Vec<f32> = near.iter().map(|s| of(s)[c]).collect();
                median(&mut values)
            };
            Some([of_plane(0)?, of_plane(1)?, of_plane(2)?])
        };
        Some([usual(|s| s.colour)?, usual(|s| s.rim)?])
    }

    /// How much further a sign reaches than a letter, as a share of the line.
    fn reach(&self, index: usize) -> f32 {
        if self.hexagons.contains(&index) {
            HEXAGON_HALF * UNIT / self.strip.pixels(1.0)
        } else {
            0.0
        }
    }

    fn covers(&self, k: usize) -> Option<Cover> {
        let stretch = &self.strip.stretches[k];
        let strange = self.strangeness(k);
        if stretch.white > WHITE && strange > self.other / 2.0 {
            Some(Cover::Glare)
        } else if strange > self.other {
            Some(Cover::Patch)
        } else {
            None
        }
    }

    pub(super) fn between(&self, left: (usize, f32), right: (usize, f32)) -> Option<Hidden> {
        let left = (left.0, left.1 + self.reach(left.0));
        let right_edge = right.1 - self.reach(right.0);
        let room = right_edge - left.1 - self.pitch;
        if room < 0.5 * self.pitch {
            return None;
        }
        let inside = |k: &usize| {
            let at = self.strip.place(*k);
            left.1 + 0.5 * self.pitch < at && at < right_edge - 0.5 * self.pitch
        };
        let run: Vec<(usize, Cover)> = (0..self.text.len())
            .filter(inside)
            .filter_map(|k| Some((k, self.covers(k)?)))
            .collect();
        self.found(right.0, &run, room)
    }

    /// The room between neighbouring letters beyond what their own widths take.
    pub(super) fn rooms(&self) -> Vec<f32> {
        let pairs = self.letters.windows(2);
        pairs.map(|p| p[1].1 - p[0].1 - self.pitch).collect()
    }

    /// A gap much wider than all others of the line.
    pub(super) fn gap(
        &self,
        left: (usize, f32),
        right: (usize, f32),
        room: f32,
        rooms: &[f32],
    ) -> Option<Hidden> {
        let widest = rooms.iter().filter(|r| **r < room).copied();
        let others = widest.fold(0.5 * self.pitch, f32::max);
        if room < LEAST_GAP * self.pitch || room < WIDER * others {
            return None;
        }
        let half = 0.5 * self.pitch;
        Some(Hidden {
            before: right.0,
            fits: (room / self.pitch).round() as usize,
            why: Cover::Gap,
            quad: self.strip.quad(left.1 + half, right.1 - half),
        })
    }

    /// The end of the photo beside an end of the line.
    fn frame(&self, before: usize, order: &[usize]) -> Option<Hidden> {
        let near = (NEAR_FRAME * UNIT / strip::STEP as f32) as usize;
        let &first = order.first()?;
        let &edge = order
            .iter()
            .take(near)
            .find(|&&k| !self.strip.stretches[k].inside)?;
        let (a, b) = (self.strip.place(first), self.strip.place(edge));
        Some(Hidden {
            before,
            fits: BEYOND_FRAME,
            why: Cover::Frame,
            quad: self.strip.quad(a.min(b), a.max(b)),
        })
    }

    pub(super) fn start(&self, flush: bool) -> Option<Hidden> {
        let (index, x) = *self.letters.first()?;
        let x = x - self.reach(index);
        let before: Vec<usize> = (0..self.text.len())
            .rev()
            .filter(|&k| self.strip.place(k) < x - 0.6 * self.pitch)
            .collect();
        let run = if flush {
            Vec::new()
        } else {
            self.beyond(&before)
        };
        let room = 3.0 * UNIT / self.strip.pixels(1.0);
        self.found(index, &run, room)
            .or_else(|| self.frame(index, &before))
    }

    pub(super) fn end(&self, glyphs: usize) -> Option<Hidden> {
        let (index, x) = *self.letters.last()?;
        let x = x + self.reach(index);
        let after: Vec<usize> = (0..self.text.len())
            .filter(|&k| self.strip.place(k) > x + 0.6 * self.pitch)
            .collect();
        let run = self.beyond(&after);
        let room = 3.0 * UNIT / self.strip.pixels(1.0);
        self.found(glyphs, &run, room)
            .or_else(|| self.frame(glyphs, &after))
    }

    /// The covered stretches beyond an end of the line, nearest first in `order`.
    fn beyond(&self, order: &[usize]) -> Vec<(usize, Cover)> {
        let near = (NEAR_END * UNIT / strip::STEP as f32) as usize;
        let Some(first) = order
            .iter()
            .take(near)
            .position(|&k| self.strip.stretches[k].inside && self.covers(k).is_some())
        else {
            return Vec::new();
        };
        let run: Vec<(usize, Cover)> = order[first..]
            .iter()
            .map_while(|&k| Some((k, self.covers(k)?)))
            .filter(|(k, _)| self.strip.stretches[*k].inside)
            .collect();
        let Some(&(middle, _)) = run.get(run.len().min(4) / 2) else {
            return Vec::new();
        };
        if self.is_tall(middle) {
            Vec::new()
        } else {
            run
        }
    }

    /// True where what covers a stretch goes on far above and below it.
    fn is_tall(&self, k: usize) -> bool {
        let reference: Vec<[f32; 3]> = [
            self.letter_colours((0..k).rev()),
            self.letter_colours(k + 1..self.text.len()),
        ]
        .into_iter()
        .flatten()
        .flatten()
        .collect();
        let own = |sign: f32| {
            TALLEST.iter().all(|h| {
                let place = self.strip.moved(k, sign * h);
                strip::surface(self.pyramid, &place).is_none_or(|colour| {
                    reference
                        .iter()
                        .all(|r| (0..3).any(|c| (r[c] - colour[c]).abs() > self.other))
                })
            })
        };
        own(-1.0) || own(1.0)
    }

    /// True where a run is only brighter or darker than the letters' surface and has no edge.
    fn is_shade(&self, run: &[(usize, Cover)]) -> bool {
        let strangest = run
            .iter()
            .map(|(k, _)| *k)
            .max_by(|a, b| self.strangeness(*a).total_cmp(&self.strangeness(*b)));
        let (Some(k), Some((first, _)), Some((last, _))) = (
            strangest,
            run.iter().min_by_key(|r| r.0),
            run.iter().max_by_key(|r| r.0),
        ) else {
            return false;
        };
        if run.iter().any(|(_, cover)| *cover == Cover::Glare) {
            return false;
        }
        let near = self
            .letter_colours((0..k).rev())
            .or_else(|| self.letter_colours(k + 1..self.text.len()));
        let Some([surface, _]) = near else {
            return false;
        };
        let own = self.strip.stretches[k].colour;
        let differences = [0, 1, 2].map(|c| own[c] - surface[c]);
        let highest = differences.iter().copied().fold(f32::MIN, f32::max);
        let lowest = differences.iter().copied().fold(f32::MAX, f32::min);
        let bright = |k: usize| brightness(self.strip.stretches[k].colour);
        let steepest = (first.saturating_sub(3)..(last + 2).min(self.text.len() - 2))
            .map(|k| (bright(k + 2) - bright(k)).abs())
            .fold(0.0, f32::max);
        highest - lowest < TINTED && steepest < EDGE * self.strangeness(k)
    }

    fn found(&self, before: usize, run: &[(usize, Cover)], room: f32) -> Option<Hidden> {
        let places: Vec<f32> = run.iter().map(|(k, _)| self.strip.place(*k)).collect();
        let from = places.iter().copied().fold(f32::INFINITY, f32::min);
        let to = places.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        let step = strip::STEP as f32 / self.strip.pixels(1.0);
        let long = to - from + step;
        if run.is_empty() || long < LEAST * self.pitch || self.is_shade(run) {
            return None;
        }
        let glare = run.iter().filter(|(_, c)| *c == Cover::Glare).count();
        let why = if 2 * glare > run.len() {
            Cover::Glare
        } else {
            Cover::Patch
        };
        Some(Hidden {
            before,
            fits: ((room.min(long + self.pitch) / self.pitch).round() as usize).max(1),
            why,
            quad: self.strip.quad(from - step / 2.0, to + step / 2.0),
        })
    }
}

/// How far a colour lies outside those that are `known`, in steps of 255.
pub(super) fn outside(known: &[[f32; 3]], colour: [f32; 3]) -> f32 {
    (0..3)
        .map(|c| {
            let low = known.iter().map(|k| k[c]).fold(f32::INFINITY, f32::min);
            let high = known.iter().map(|k| k[c]).fold(f32::NEG_INFINITY, f32::max);
            (low - colour[c]).max(colour[c] - high).max(0.0)
        })
        .fold(0.0, f32::max)
}

/// Median difference between neighbouring stretches with letters, in steps of 255.
fn unevenness(stretches: &[Stretch], text: &[bool]) -> f32 {
    let mut steps: Vec<f32> = (2..stretches.len())
        .filter(|&k| text[k] && text[k - 2])
        .map(|k| {
            let (a, b) = (stretches[k].colour, stretches[k - 2].colour);
            (0..3).map(|c| (a[c] - b[c]).abs()).fold(0.0, f32::max)
        })
        .collect();
    median(&mut steps).unwrap_or(0.0)
}
