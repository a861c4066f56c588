//! Spots of ink that are no text: heads of screws, rivets, corners of emblems, cells of a pattern.

use crate::geometry::{length, thickness};
use crate::line::{ILLEGIBLE, TextLine};
use crate::median::median;

/// A spot is lower than this share of the usual line of its photo.
const LOW: f32 = 0.5;
/// A spot is at most so many times as wide as it is high: room for one letter, hardly for two.
const WIDE: f32 = 1.7;
/// Lines of at least this many characters say how high lines are.
const LETTERS: usize = 3;
/// So many of them are needed to tell.
const LINES: usize = 3;

/// Takes spots out of the lines and answers how many there were. A marking is not printed in one or
/// two letters of half the height of everything else; a spot as high as a line, or wider, stays.
pub(crate) fn take_out(lines: &mut Vec<TextLine>) -> usize {
    let mut heights: Vec<f32> = lines
        .iter()
        .filter(|line| line.glyphs.iter().filter(|g| is_read(g.ch)).count() >= LETTERS)
        .map(|line| thickness(&line.quad))
        .collect();
    let Some(usual) = median(&mut heights).filter(|_| heights.len() >= LINES) else {
        return 0;
    };
    let before = lines.len();
    lines.retain(|line| {
        line.glyphs.iter().any(|g| is_read(g.ch))
            || line.glyphs.is_empty()
            || thickness(&line.quad) >= LOW * usual
            || length(&line.quad) > WIDE * thickness(&line.quad)
    });
    before - lines.len()
}

fn is_read(ch: char) -> bool {
    ch != ILLEGIBLE && !ch.is_whitespace()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::line::Glyph;

    fn line(text: &str, width: f32, height: f32) -> TextLine {
        let glyph = |ch| Glyph {
            ch,
            probability: 0.9,
            also: Vec::new(),
            x: 0.5,
        };
        TextLine {
            glyphs: text.chars().map(glyph).collect(),
            quad: [[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]],
            ..TextLine::default()
        }
    }

    fn plate(with: TextLine) -> Vec<TextLine> {
        let text = ["II 2 G", "Ex db IIC T4 Gb", "Ta 40"];
        let usual = text.iter().map(|text| line(text, 300.0, 30.0));
        usual.chain([with]).collect()
    }

    #[test]
    fn a_low_spot_is_no_line() {
        let mut lines = plate(line("\u{fffd}", 14.0, 12.0));
        assert_eq!((take_out(&mut lines), lines.len()), (1, 3));
    }

    #[test]
    fn what_may_be_text_stays() {
        let kept = [
            line("\u{fffd}", 30.0, 28.0),
            line("\u{fffd}", 40.0, 12.0),
            line("X", 12.0, 12.0),
            line("", 12.0, 12.0),
        ];
        for one in kept {
            let mut lines = plate(one);
            assert_eq!((take_out(&mut lines), lines.len()), (0, 4));
        }
    }

    #[test]
    fn without_lines_nobody_knows_how_high_they_are() {
        let mut lines = vec![line("II 2 G", 300.0, 30.0), line("\u{fffd}", 12.0, 12.0)];
        assert_eq!(take_out(&mut lines), 0);
    }
}
