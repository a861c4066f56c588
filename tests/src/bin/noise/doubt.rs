//! The model of a doubtful glyph, and plates with doubt in them.

use super::generate::Dice;
use vetplate_parser::{Glyph, Line};

/// Characters that are taken for one another. Practice of reading plates, no source.
const CONFUSED: &[(char, &str)] = &[
    ('I', "l1|"),
    ('A', "B4"),
    ('B', "8AC"),
    ('C', "GOB"),
    ('D', "OGB"),
    ('G', "C6D"),
    ('H', "N"),
    ('M', "N"),
    ('P', "R"),
    ('T', "I7"),
    ('X', "×x"),
    ('U', "V"),
    ('O', "0D"),
    ('Z', "2"),
    ('a', "bce"),
    ('b', "ha6"),
    ('c', "abe"),
    ('d', "eb"),
    ('e', "dc"),
    ('i', "lt1"),
    ('m', "n"),
    ('n', "m"),
    ('o', "q0"),
    ('p', "q"),
    ('q', "og"),
    ('t', "il"),
    ('x', "z×"),
    ('y', "vx"),
    ('z', "x2"),
    ('h', "bn"),
    ('0', "O68"),
    ('1', "lI7"),
    ('2', "Z37"),
    ('3', "82"),
    ('4', "A1"),
    ('5', "S6"),
    ('6', "58G"),
    ('7', "12"),
    ('8', "3B6"),
    ('9', "08"),
    ('+', "-"),
    ('-', "—+"),
    ('[', "(|"),
    (']', ")|"),
    ('(', "["),
    (')', "]"),
    ('/', "|1"),
    ('.', ","),
    ('°', "o*"),
];

/// Least share of a candidate.
const FLOOR: f64 = 0.01;

/// The characters that one is taken for.
pub(crate) fn confused(with: char) -> Option<&'static str> {
    CONFUSED
        .iter()
        .find(|(c, _)| *c == with)
        .map(|(_, others)| *others)
}

/// Draws the shares of the candidates, the true one among them; answers the glyph.
fn glyph(dice: &mut Dice, truth: char, others: &str) -> Glyph {
    let mut candidates: Vec<char> = others.chars().collect();
    while candidates.len() > 1 && dice.chance(0.4) {
        candidates.remove(dice.below(candidates.len()));
    }
    let number = candidates.len() + 1;
    let mut shares: Vec<f64> = (0..number).map(|_| dice.share().powi(3)).collect();
    let total: f64 = shares.iter().sum();
    let free = 1.0 - FLOOR * number as f64;
    for share in &mut shares {
        *share = FLOOR + free * *share / total.max(1e-9);
    }
    let mut rest = dice.share();
    let at = shares
        .iter()
        .position(|share| {
            rest -= share;
            rest < 0.0
        })
        .unwrap_or(number - 1);
    candidates.insert(at, truth);
    let mut ranked: Vec<(char, f64)> = candidates.into_iter().zip(shares).collect();
    ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
    Glyph {
        ch: ranked[0].0,
        probability: ranked[0].1 as f32,
        also: ranked[1..]
            .iter()
            .map(|(c, p)| (Some(*c), *p as f32))
            .collect(),
    }
}

/// The lines with doubt at a rate, and whether any character came out wrong.
pub(crate) fn damaged(dice: &mut Dice, lines: &[String], rate: f64) -> (Vec<Line>, bool) {
    let mut wrong = false;
    let damaged = lines
        .iter()
        .map(|line| {
            let glyphs = line.chars().map(|truth| match confused(truth) {
                Some(others) if dice.chance(rate) => {
                    let glyph = glyph(dice, truth, others);
                    wrong |= glyph.ch != truth;
                    glyph
                }
                _ => Glyph {
                    ch: truth,
                    probability: 1.0,
                    also: Vec::new(),
                },
            });
            Line::new(glyphs.collect())
        })
        .collect();
    (damaged, wrong)
}
