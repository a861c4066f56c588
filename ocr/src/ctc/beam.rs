//! The most probable texts of one look.

use std::collections::BTreeMap;

use super::Look;

/// Prefixes kept after each frame.
const WIDTH: usize = 8;
/// Classes less probable in a frame are not followed.
const LEAST: f32 = 0.002;

/// Probability of a prefix whose last frame was blank, and of one whose was not.
#[derive(Clone, Copy, Default)]
struct Ends {
    blank: f32,
    character: f32,
}

impl Ends {
    fn sum(self) -> f32 {
        self.blank + self.character
    }
}

/// Up to `count` texts, most probable first: prefix beam search (Hannun
/// and others, 2014) without a language model.
pub(super) fn proposals(look: &Look, count: usize) -> Vec<Vec<usize>> {
    let mut beam: Vec<(Vec<usize>, Ends)> = vec![(
        Vec::new(),
        Ends {
            blank: 1.0,
            character: 0.0,
        },
    )];
    for t in 0..look.time() {
        let frame = look.characters(t).iter().copied();
        let characters: Vec<(usize, f32)> = frame.filter(|c| c.1 >= LEAST).collect();
        if characters.is_empty() {
            // Between characters, which is most frames: the prefixes stay.
            for (prefix, ends) in &mut beam {
                let last = prefix.last().map_or(0.0, |&last| look.probability(t, last));
                *ends = Ends {
                    blank: ends.sum() * look.blank(t),
                    character: ends.character * last,
                };
            }
        } else {
            beam = longer(&beam, look, t, &characters);
        }
        beam.sort_by(|a, b| b.1.sum().total_cmp(&a.1.sum()));
        beam.truncate(WIDTH);
        // Only proportions matter; without this, long lines would underflow.
        let scale = 1.0
            / beam
                .first()
                .map_or(1.0, |b| b.1.sum())
                .max(f32::MIN_POSITIVE);
        for (_, ends) in &mut beam {
            ends.blank *= scale;
            ends.character *= scale;
        }
    }
    beam.truncate(count);
    beam.into_iter().map(|(text, _)| text).collect()
}

/// The prefixes of `beam`, and those with one of `characters` more, after frame `t`.
fn longer(
    beam: &[(Vec<usize>, Ends)],
    look: &Look,
    t: usize,
    characters: &[(usize, f32)],
) -> Vec<(Vec<usize>, Ends)> {
    let mut next: BTreeMap<Vec<usize>, Ends> = BTreeMap::new();
    for (prefix, ends) in beam {
        let stay = next.entry(prefix.clone()).or_default();
        stay.blank += ends.sum() * look.blank(t);
        if let Some(&last) = prefix.last() {
            stay.character += ends.character * look.probability(t, last);
        }
        for &(class, p) in characters {
            let from = if prefix.last() == Some(&class) {
                ends.blank
            } else {
                ends.sum()
            };
            if from > 0.0 {
                let mut longer = prefix.clone();
                longer.push(class);
                next.entry(longer).or_default().character += from * p;
            }
        }
    }
    next.into_iter().collect()
}
