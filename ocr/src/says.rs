//! A recogniser for tests that sees the same three characters in whatever it is shown.

use crate::alphabet::{Alphabet, Classes};
use crate::error::OcrError;
use crate::model::{Model, Output, Planes};
use crate::recognise::{LINE_HEIGHT, Recogniser, Scores, Sight};

struct Says {
    /// Classes, at a fifth, two fifths and three fifths of the line.
    shown: [usize; 3],
    /// Number of classes, the blank included.
    classes: usize,
    sure: f32,
}

impl Model for Says {
    fn run(&self, input: Planes) -> Result<Output, OcrError> {
        assert_eq!(input.height, LINE_HEIGHT as usize);
        let time = input.width / 4;
        let mut data = vec![0.0; time * self.classes];
        for (t, row) in data.chunks_exact_mut(self.classes).enumerate() {
            let shown = match 10 * t / time {
                2 => self.shown[0],
                4 => self.shown[1],
                6 => self.shown[2],
                _ => 0,
            };
            let sure = if shown == 0 { 1.0 } else { self.sure };
            row.fill((1.0 - sure) / (self.classes - 1) as f32);
            row[shown] = sure;
        }
        let shape = vec![1, time, self.classes];
        Ok(Output { shape, data })
    }
}

/// Sees `shown`, each with the probability `sure`.
pub(crate) fn recogniser(shown: [char; 3], sure: f32) -> Recogniser {
    let mut characters = shown.to_vec();
    characters.sort_unstable();
    characters.dedup();
    let alphabet = Alphabet::of([characters.as_slice()]);
    let class = |ch| 1 + characters.iter().position(|c| *c == ch).unwrap();
    Recogniser::new(
        Box::new(Says {
            shown: shown.map(class),
            classes: 1 + characters.len(),
            sure,
        }),
        Sight::Brightness,
        Scores::Probabilities,
        Classes::new(&characters, &alphabet),
        alphabet,
    )
}
