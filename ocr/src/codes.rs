//! QR and Data Matrix codes on and beside the plate.
//!
//! Nothing is looked for on the whole photo at full size. A small view of the plate shows where a
//! code may be ([`suspects`]); only those places are cut out, straightened, and given to the
//! decoder, a fixed number of times each. So the work is bounded by counting, not by a clock, and
//! the same photo always gives the same codes.
//!
//! What a code says comes from outside. It is kept as it is and never followed.

mod decode;
mod mark;
mod suspects;

use image::GrayImage;
use serde::Serialize;

use crate::geometry::{Frame, Lie, Quad, bounds, centre, contains, distance, length, thickness};
use crate::line::{ILLEGIBLE, TextLine};
use crate::sample::Pyramid;
use decode::Seen;

/// Longest side in pixels of the view in which places that may be codes are looked for.
const VIEW: f32 = 960.0;
/// The plate goes on beyond its lines by this share of their extent: a code may stand beside them.
const BEYOND: f32 = 0.3;
/// Places that are looked into on one photo, the likeliest first.
const PLACES: usize = 3;
/// Longest side in pixels of the picture that is given to the decoder. The largest codes that are
/// put on plates have about 60 modules a side, which leaves more than four pixels for each.
const PICTURE: f32 = 400.0;
/// Share of a place's longer side that is cut out with it on each side: the quiet zone, and the
/// frame of an identification link.
const AROUND: f32 = 0.35;
/// Lines surer than this (mean probability) are text and no code.
const TEXT: f32 = 0.8;

/// A kind of code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CodeKind {
    /// QR code, ISO/IEC 18004.
    Qr,
    /// Data Matrix, ISO/IEC 16022.
    DataMatrix,
}

/// A code that was read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Code {
    /// What kind it is.
    pub kind: CodeKind,
    /// What it says, unchanged. It may be anything: it comes from whoever printed it.
    pub text: String,
    /// Corners in pixels of the upright photo, clockwise.
    pub quad: [[f32; 2]; 4],
    /// True where the frame with one filled corner surrounds it that marks an identification link.
    pub marked: bool,
    /// Number of the plate that it stands on, as [`TextLine::plate`].
    pub plate: usize,
}

/// What was found on a photo.
#[derive(Default)]
pub(crate) struct Found {
    pub(crate) codes: Vec<Code>,
    /// Corners in pixels of the upright photo, clockwise, of codes that could not be read.
    pub(crate) unread: Vec<Quad>,
}

impl Found {
    /// Places of all codes, read or not.
    pub(crate) fn places(&self) -> Vec<Quad> {
        let read = self.codes.iter().map(|code| code.quad);
        read.chain(self.unread.iter().copied()).collect()
    }
}

/// The codes on and around the plate whose `lines` lie as `lie` says.
pub(crate) fn find(pyramid: &Pyramid, lines: &[TextLine], lie: Lie) -> Found {
    let (view_frame, width, height) = view(pyramid, lines, lie);
    let view = grey(&pyramid.view(view_frame, width, height));
    let onto_view = |q: &Quad| q.map(|p| view_frame.onto_frame(p));
    let text: Vec<Quad> = lines
        .iter()
        .filter(|l| is_text(l))
        .map(|l| onto_view(&l.quad))
        .collect();
    let mut found = Found::default();
    let mut places = suspects::suspects(&view, &text);
    // A code that fills much of the view has modules larger than what is looked at for edges.
    let half = image::imageops::thumbnail(&view, width.div_ceil(2), height.div_ceil(2));
    let halved: Vec<Quad> = text.iter().map(|q| q.map(|p| p.map(|v| v / 2.0))).collect();
    let coarse = suspects::suspects(&half, &halved);
    places.truncate(PLACES);
    places.extend(coarse.into_iter().take(1).map(|b| b.map(|v| 2.0 * v)));
    for place in places {
        match look(pyramid, view_frame, lie, place) {
            Some(Looked::Read(code)) if !is_known(&found.codes, |c| c.quad, &code.quad) => {
                found.codes.push(code);
            }
            Some(Looked::Unread(quad)) if !is_known(&found.unread, |q| *q, &quad) => {
                found.unread.push(quad);
            }
            _ => {}
        }
    }
    // Two places may show the same code, one of them too little of it.
    let codes = &found.codes;
    found
        .unread
        .retain(|quad| !is_known(codes, |c| c.quad, quad));
    for code in &mut found.codes {
        code.plate = nearest_plate(lines, &code.quad);
    }
    found
}

fn is_known<T>(known: &[T], place: impl Fn(&T) -> Quad, quad: &Quad) -> bool {
    let same = |other: &T| distance(centre(&place(other)), centre(quad)) < length(quad);
    known.iter().any(same)
}

/// True where `line` lies on the code at `place`: what was read there is the code's own pattern.
pub(crate) fn covers(place: &Quad, line: &TextLine) -> bool {
    contains(place, centre(&line.quad))
}

/// Surely read. The pattern of a code is surely illegible.
fn is_text(line: &TextLine) -> bool {
    let illegible = line.glyphs.iter().filter(|g| g.ch == ILLEGIBLE).count();
    line.mean_probability() > TEXT && 2 * illegible < line.glyphs.len()
}

/// A frame around the plate and what is beside it, and its size in pixels; without lines the whole
/// photo.
fn view(pyramid: &Pyramid, lines: &[TextLine], lie: Lie) -> (Frame, u32, u32) {
    let (right, bottom) = pyramid.full().dimensions();
    let corners = [
        [0.0, 0.0],
        [right as f32, 0.0],
        [right as f32, bottom as f32],
        [0.0, bottom as f32],
    ];
    let full = Frame::new([0.0, 0.0], lie, 1.0);
    let photo = bounds(&corners.map(|p| full.onto_frame(p)));
    let mut place = photo;
    if !lines.is_empty() {
        let standing: Vec<[f32; 2]> = lines
            .iter()
            .flat_map(|l| l.quad.map(|p| full.onto_frame(p)))
            .collect();
        let [x0, y0, x1, y1] = bounds(&standing);
        let more = BEYOND * (x1 - x0).max(y1 - y0);
        place = [
            (x0 - more).max(photo[0]),
            (y0 - more).max(photo[1]),
            (x1 + more).min(photo[2]),
            (y1 + more).min(photo[3]),
        ];
    }
    let [x0, y0, x1, y1] = place;
    let (width, height) = ((x1 - x0).max(1.0), (y1 - y0).max(1.0));
    let step = (width.max(height) / VIEW).max(1.0);
    let frame = Frame::new(full.to_picture([x0, y0]), lie, step);
    let side = |pixels: f32| (pixels / step).ceil().max(1.0) as u32;
    (frame, side(width), side(height))
}

enum Looked {
    Read(Code),
    Unread(Quad),
}

/// The code in a place of the view.
fn look(pyramid: &Pyramid, view: Frame, lie: Lie, place: [f32; 4]) -> Option<Looked> {
    let [x0, y0, x1, y1] = place;
    let more = AROUND * (x1 - x0).max(y1 - y0);
    let (width, height) = (x1 - x0 + 2.0 * more, y1 - y0 + 2.0 * more);
    // Small codes are enlarged: the decoder binarises in blocks of eight pixels.
    let step = (width.max(height) * view.step() / PICTURE).max(0.4);
    let frame = Frame::new(view.to_picture([x0 - more, y0 - more]), lie, step);
    let side = |pixels: f32| (pixels * view.step() / step).ceil().max(1.0) as u32;
    let picture = grey(&pyramid.view(frame, side(width), side(height)));
    let on_photo = |corners: Quad| corners.map(|p| frame.to_picture(p));
    Some(match decode::decode(&picture)? {
        Seen::Read {
            kind,
            text,
            corners,
            inverted,
        } => Looked::Read(Code {
            kind,
            text,
            quad: on_photo(corners),
            marked: mark::is_marked(&picture, &corners, inverted),
            plate: 0,
        }),
        Seen::Unread { corners } => Looked::Unread(on_photo(corners)),
    })
}

fn nearest_plate(lines: &[TextLine], quad: &Quad) -> usize {
    let far = |l: &TextLine| {
        let apart = distance(centre(&l.quad), centre(quad));
        apart - 0.5 * length(&l.quad).max(thickness(&l.quad))
    };
    let nearest = lines.iter().min_by(|a, b| far(a).total_cmp(&far(b)));
    nearest.map_or(0, |l| l.plate)
}

fn grey(picture: &image::RgbImage) -> GrayImage {
    image::imageops::grayscale(picture)
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{Rgb, RgbImage};

    /// The modules of a code that says `text`: true is dark, rows from the top.
    fn modules(kind: CodeKind, text: &str) -> Vec<Vec<bool>> {
        decode::tests::modules(kind, text)
    }

    /// A grey photo of 1,200 by 900 with a code whose modules are `module` pixels, turned by
    /// `turn` radians around its middle, and, where `marked`, with the frame and its corner.
    fn photo(modules: &[Vec<bool>], module: f32, turn: f32, marked: bool) -> RgbImage {
        let count = modules.len() as f32;
        let (sin, cos) = turn.sin_cos();
        RgbImage::from_fn(1200, 900, |x, y| {
            let (dx, dy) = (x as f32 - 600.0, y as f32 - 450.0);
            let u = (dx * cos + dy * sin) / module + count / 2.0;
            let v = (dy * cos - dx * sin) / module + count / 2.0;
            let dark = if u >= 0.0 && v >= 0.0 && u < count && v < count {
                modules[v as usize][u as usize]
            } else {
                let far = (-u).max(-v).max(u - count).max(v - count);
                let corner = u + v > 2.0 * count + 5.0 && far < 6.0;
                marked && ((5.0..6.0).contains(&far) || corner)
            };
            Rgb(if dark { [40; 3] } else { [205; 3] })
        })
    }

    const LINK: &str = "https://id.corrieburn.example/?sn=CB-4711";

    fn found(picture: &RgbImage) -> Vec<Code> {
        find(&Pyramid::new(picture), &[], Lie::default()).codes
    }

    #[test]
    fn both_kinds_are_read_at_any_turn() {
        for kind in [CodeKind::Qr, CodeKind::DataMatrix] {
            let modules = modules(kind, LINK);
            for turn in [0.0, 0.3, 0.785, 1.571, 2.5, -1.2] {
                let codes = found(&photo(&modules, 6.0, turn, false));
                assert_eq!(codes.len(), 1, "{kind:?} at {turn}");
                assert_eq!((codes[0].kind, codes[0].text.as_str()), (kind, LINK));
                let [x, y] = centre(&codes[0].quad);
                assert!(
                    (x - 600.0).abs() < 12.0 && (y - 450.0).abs() < 12.0,
                    "{x} {y}"
                );
                assert!(!codes[0].marked);
            }
        }
    }

    #[test]
    fn the_marked_frame_is_told_from_a_plain_one_and_from_none() {
        for kind in [CodeKind::Qr, CodeKind::DataMatrix] {
            let modules = modules(kind, LINK);
            for turn in [0.0, 1.571, 0.2] {
                let codes = found(&photo(&modules, 6.0, turn, true));
                assert!(
                    codes.iter().any(|c| c.marked),
                    "{kind:?} at {turn}: {codes:?}"
                );
            }
        }
    }

    #[test]
    fn light_on_dark_blurred_and_small_codes_are_read() {
        let modules = modules(CodeKind::DataMatrix, LINK);
        let mut inverted = photo(&modules, 6.0, 0.1, false);
        image::imageops::invert(&mut inverted);
        assert_eq!(found(&inverted).len(), 1);
        let blurred = image::imageops::blur(&photo(&modules, 6.0, 0.1, false), 2.0);
        assert_eq!(found(&blurred).len(), 1);
        assert_eq!(found(&photo(&modules, 3.0, 0.1, false)).len(), 1);
    }

    #[test]
    fn a_little_damage_is_mended_and_much_gives_nothing() {
        let modules = modules(CodeKind::Qr, LINK);
        let damaged = |radius: u32| {
            let mut picture = photo(&modules, 6.0, 0.0, false);
            for (x, y) in (0..2 * radius).flat_map(|y| (0..2 * radius).map(move |x| (x, y))) {
                picture.put_pixel(600 + x - radius, 450 + y - radius, Rgb([140; 3]));
            }
            find(&Pyramid::new(&picture), &[], Lie::default())
        };
        assert_eq!(damaged(12).codes.len(), 1);
        let found = damaged(40);
        assert!(found.codes.is_empty());
        // The place is known all the same.
        assert_eq!(found.unread.len(), 1);
        let [x, y] = centre(&found.unread[0]);
        assert!(
            (x - 600.0).abs() < 12.0 && (y - 450.0).abs() < 12.0,
            "{x} {y}"
        );
        assert!(damaged(120).places().is_empty());
    }

    #[test]
    fn a_surface_without_a_code_gives_none() {
        let plain = RgbImage::from_pixel(800, 600, Rgb([180; 3]));
        assert!(found(&plain).is_empty());
        // Noise looks busy everywhere.
        let mut state = 1_u32;
        let noise = RgbImage::from_fn(800, 600, |_, _| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            Rgb([(state >> 24) as u8; 3])
        });
        assert!(found(&noise).is_empty());
        assert!(found(&RgbImage::from_pixel(1, 1, Rgb([0; 3]))).is_empty());
    }
}
