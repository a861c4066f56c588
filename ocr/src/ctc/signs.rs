//! Signs of the recogniser that stand for several letters on the plate.
//!
//! The recognisers were trained to see `℃` where `°C` stands and `Ⅱ` where `II`
//! stands. The ink is the same; lines hold the letters.

use crate::line::{Glyph, Missed};

/// The letters that `ch` stands for.
fn letters(ch: char) -> Vec<char> {
    let text = match ch {
        '℃' => "°C",
        'Ⅰ' => "I",
        'Ⅱ' => "II",
        'Ⅲ' => "III",
        'Ⅳ' => "IV",
        _ => return vec![ch],
    };
    text.chars().collect()
}

/// The same reading with every sign written out, in the characters, their alternatives
/// and what may have been overlooked.
///
/// An alternative is laid beside the letters: where it has the same letter, that letter
/// gains its probability; what it has less is "nothing", what it has more is overlooked.
pub(super) fn written_out(glyphs: Vec<Glyph>, missed: Vec<Missed>) -> (Vec<Glyph>, Vec<Missed>) {
    let mut out: Vec<Glyph> = Vec::with_capacity(glyphs.len());
    let mut overlooked = Vec::new();
    let mut missed = missed.into_iter().peekable();
    let centres: Vec<f32> = glyphs.iter().map(|g| g.x).collect();
    for (i, glyph) in glyphs.into_iter().enumerate() {
        while let Some(m) = missed.next_if(|m| m.before <= i) {
            push_missed(&mut overlooked, &m, out.len());
        }
        let mut own = letters(glyph.ch);
        // "°℃": the degree sign was seen twice.
        if own.len() > 1 && out.last().is_some_and(|last| last.ch == '°') && own[0] == '°' {
            own.remove(0);
        }
        let before = if i > 0 { centres[i - 1] } else { 0.0 };
        let after = centres.get(i + 1).copied().unwrap_or(1.0);
        let pitch = (after - before) / (2 * own.len()) as f32;
        let first = out.len();
        for (k, &ch) in own.iter().enumerate() {
            let off = k as f32 - (own.len() - 1) as f32 / 2.0;
            out.push(Glyph {
                ch,
                probability: glyph.probability,
                also: Vec::new(),
                x: (glyph.x + off * pitch).clamp(0.0, 1.0),
            });
        }
        for (other, p) in glyph.also {
            let other = other.map(letters).unwrap_or_default();
            // Where the alternative begins among the own letters, and the other way round.
            let shift = match (own.as_slice(), other.as_slice()) {
                (_, [c]) => own.iter().position(|o| o == c).unwrap_or(0) as isize,
                ([c], _) => -(other.iter().position(|o| o == c).unwrap_or(0) as isize),
                _ => 0,
            };
            for (k, glyph) in out[first..].iter_mut().enumerate() {
                match usize::try_from(k as isize - shift)
                    .ok()
                    .and_then(|at| other.get(at))
                {
                    Some(c) if *c == glyph.ch => glyph.probability += p,
                    seen => add(&mut glyph.also, seen.copied(), p),
                }
            }
            for (at, &ch) in other.iter().enumerate() {
                let k = at as isize + shift;
                if k < 0 || k >= own.len() as isize {
                    let before = if k < 0 { first } else { out.len() };
                    let x = glyph.x;
                    overlooked.push(Missed {
                        before,
                        ch,
                        probability: p,
                        x,
                    });
                }
            }
        }
    }
    for m in missed {
        push_missed(&mut overlooked, &m, out.len());
    }
    for glyph in &mut out {
        glyph.probability = glyph.probability.min(1.0);
        glyph.also.sort_by(|a, b| b.1.total_cmp(&a.1));
    }
    overlooked.sort_by_key(|m| m.before);
    (out, overlooked)
}

fn add(also: &mut Vec<(Option<char>, f32)>, ch: Option<char>, p: f32) {
    match also.iter_mut().find(|a| a.0 == ch) {
        Some(a) => a.1 += p,
        None => also.push((ch, p)),
    }
}

fn push_missed(overlooked: &mut Vec<Missed>, m: &Missed, before: usize) {
    let (probability, x) = (m.probability, m.x);
    overlooked.extend(letters(m.ch).into_iter().map(|ch| Missed {
        before,
        ch,
        probability,
        x,
    }));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn glyph(ch: char, probability: f32, also: &[(Option<char>, f32)], x: f32) -> Glyph {
        Glyph {
            ch,
            probability,
            also: also.to_vec(),
            x,
        }
    }

    fn text(glyphs: &[Glyph]) -> String {
        glyphs.iter().map(|g| g.ch).collect()
    }

    #[test]
    fn degrees_celsius_are_two_letters_and_the_degree_keeps_its_doubt() {
        let (glyphs, missed) = written_out(
            vec![
                glyph('5', 1.0, &[], 0.2),
                glyph('℃', 0.7, &[(Some('C'), 0.2), (None, 0.1)], 0.6),
            ],
            Vec::new(),
        );
        assert_eq!(text(&glyphs), "5°C");
        assert!((glyphs[1].probability - 0.7).abs() < 1e-6);
        assert_eq!(glyphs[1].also.len(), 1);
        assert!(glyphs[1].also[0].0.is_none() && (glyphs[1].also[0].1 - 0.3).abs() < 1e-6);
        assert!((glyphs[2].probability - 0.9).abs() < 1e-6);
        assert!(glyphs[0].x < glyphs[1].x && glyphs[1].x < glyphs[2].x);
        assert!(missed.is_empty());
    }

    #[test]
    fn a_sign_among_the_alternatives_tells_of_overlooked_letters() {
        let (glyphs, missed) =
            written_out(vec![glyph('C', 0.6, &[(Some('℃'), 0.4)], 0.5)], Vec::new());
        assert_eq!(text(&glyphs), "C");
        assert!((glyphs[0].probability - 1.0).abs() < 1e-6 && glyphs[0].also.is_empty());
        assert_eq!((missed[0].before, missed[0].ch), (0, '°'));
        let (glyphs, missed) =
            written_out(vec![glyph('Ⅱ', 0.6, &[(Some('Ⅲ'), 0.4)], 0.5)], Vec::new());
        assert_eq!(text(&glyphs), "II");
        assert_eq!((missed[0].before, missed[0].ch), (2, 'I'));
    }

    #[test]
    fn a_degree_sign_seen_twice_is_one() {
        let glyphs = vec![
            glyph('°', 0.8, &[], 0.4),
            glyph('℃', 0.9, &[], 0.6),
            glyph('X', 1.0, &[], 0.9),
        ];
        let missed = Missed {
            before: 2,
            ch: 'I',
            probability: 0.2,
            x: 0.7,
        };
        let (glyphs, missed) = written_out(glyphs, vec![missed]);
        assert_eq!(text(&glyphs), "°CX");
        assert_eq!(missed[0].before, 2);
    }
}
