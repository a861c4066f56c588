//! Text that no notation took and that may yet hold what a verdict rests on.

use crate::{Glyph, Line, Plate, Span};

/// A character below this probability is doubtful where nothing else speaks for it.
const DOUBTFUL_BELOW: f32 = 0.995;

/// Text of an unread piece that is shown: a longer one is cut.
const SHOWN: usize = 60;
/// Signs before a piece that hang on it at most.
const HANGING: usize = 32;
/// Doubtful characters of one piece beyond which it may hide anything.
const TOO_DOUBTFUL: usize = 256;

/// A piece of text that no notation took, with the signs that hang on it without a blank.
pub(super) struct Unread<'a> {
    glyphs: &'a [Glyph],
    /// What stands before it.
    before: Option<char>,
    /// Which of its characters are doubtful.
    doubtful: Vec<usize>,
}

impl<'a> Unread<'a> {
    /// The piece of a span; `starts` are the first bytes of the characters of its line.
    pub(super) fn new(lines: &'a [Line], starts: &[usize], span: Span) -> Option<Self> {
        let all = lines.get(span.line)?.glyphs();
        let inside = starts.partition_point(|at| *at < span.start);
        let last = starts.partition_point(|at| *at < span.end);
        let hanging = all.get(..inside)?.iter().rev();
        let first = inside
            - hanging
                .take(HANGING)
                .take_while(|g| !g.ch.is_whitespace())
                .count();
        let glyphs = all.get(first..last)?;
        let doubtful = (0..glyphs.len())
            .filter(|at| glyphs[*at].probability < DOUBTFUL_BELOW)
            .collect();
        Some(Self {
            glyphs,
            before: first.checked_sub(1).map(|i| all[i].ch),
            doubtful,
        })
    }

    /// The text where it may hold what the plate lacks: nothing where it cannot.
    pub(super) fn may_matter(&self, plate: &Plate) -> Option<String> {
        if self.doubtful.is_empty() {
            return None;
        }
        let shown =
            self.doubtful.len() > TOO_DOUBTFUL || self.hard_to_read(plate) || self.may_hide(plate);
        shown.then(|| {
            let text = self.glyphs.iter().take(SHOWN).map(|g| g.ch);
            let cut = (self.glyphs.len() > SHOWN).then_some('…');
            text.chain(cut).collect()
        })
    }

    /// It holds figures, several characters of it are doubtful and it may hold what the plate lacks: a
    /// certificate or a range may hide in it that no exchange brings out.
    fn hard_to_read(&self, plate: &Plate) -> bool {
        let figures = self.glyphs.iter().any(|g| g.ch.is_ascii_digit());
        self.doubtful.len() >= 2 && figures && {
            let text: String = self.glyphs.iter().map(|g| g.ch).collect();
            may_matter(&text, plate)
        }
    }

    /// Its doubtful characters allow a word that opens a certificate, an ambient range, a marking: the
    /// rest of it may be misread beyond what exchanges bring out.
    fn may_hide(&self, plate: &Plate) -> bool {
        let ambient = AMBIENT.iter().filter(|_| plate.ambient.is_none());
        OPENS
            .iter()
            .chain(ambient)
            .any(|(word, behind)| self.spells(word, *behind))
    }

    /// True where the characters or their runner-ups spell the word as a word of its own, with doubt
    /// about one of them at least. The case is no difference.
    fn spells(&self, word: &str, behind: Behind) -> bool {
        let letters: Vec<char> = word.chars().collect();
        let glyphs = self.glyphs;
        let can = |glyph: &Glyph, letter: char| {
            let same = |c: char| c.to_ascii_uppercase() == letter || (c == '×' && letter == 'X');
            same(glyph.ch) || glyph.also.iter().any(|(c, _)| c.is_some_and(same))
        };
        let letter_beside = |c: Option<char>| c.is_some_and(char::is_alphabetic);
        let begins = |at: usize| {
            let end = at + letters.len();
            let first = match at.checked_sub(1) {
                None => self.before,
                Some(before) => Some(glyphs[before].ch),
            };
            end <= glyphs.len()
                && !letter_beside(first)
                && !letter_beside(glyphs.get(end).map(|g| g.ch))
                && glyphs[at..end]
                    .iter()
                    .zip(&letters)
                    .all(|(glyph, letter)| can(glyph, *letter))
                && self.followed(end, behind)
        };
        self.doubtful
            .iter()
            .flat_map(|at| (at + 1).saturating_sub(letters.len())..=*at)
            .any(begins)
    }

    /// True where what must stand behind a word may stand behind a position.
    fn followed(&self, end: usize, behind: Behind) -> bool {
        let blank = |g: &&Glyph| matches!(g.ch, ' ' | '-' | '.' | ':' | ',');
        match self.glyphs[end..].iter().find(|g| !blank(g)) {
            Some(next) => behind.allows(next),
            None => behind == Behind::Anything,
        }
    }
}

/// What must be able to stand behind a word, so that it opens anything: the hexagon is often read as
/// a lone `Ex`, and `Insulation class F` is no class of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Behind {
    Anything,
    /// A letter that a type of protection begins with, or a bracket.
    Type,
    /// A figure or a stroke.
    Figure,
}

impl Behind {
    fn allows(self, glyph: &Glyph) -> bool {
        const TYPES: &str = "dehimnopqstvlDEHIMNOPQSTV1|[(60";
        const FIGURES: &str = "0123456789IlO|!";
        let of = match self {
            Self::Anything => return true,
            Self::Type => TYPES,
            Self::Figure => FIGURES,
        };
        of.contains(glyph.ch)
            || glyph
                .also
                .iter()
                .any(|(c, _)| c.is_some_and(|c| of.contains(c)))
    }
}

/// Words that open a certificate or a marking.
const OPENS: [(&str, Behind); 9] = [
    ("ATEX", Behind::Anything),
    ("UKEX", Behind::Anything),
    ("IECEX", Behind::Anything),
    ("EX", Behind::Type),
    ("AEX", Behind::Type),
    ("EEX", Behind::Type),
    ("ZONE", Behind::Figure),
    ("CLASS", Behind::Figure),
    ("DIV", Behind::Figure),
];
/// Words of an ambient range.
const AMBIENT: [(&str, Behind); 2] = [("TAMB", Behind::Anything), ("°C", Behind::Anything)];

/// True for text that may hold what a verdict rests on and the plate lacks so far: an ambient
/// range, an IP code, a certificate with its X or U. A rating or a serial number decides nothing.
fn may_matter(text: &str, plate: &Plate) -> bool {
    let upper = text.to_uppercase();
    let ambient =
        text.contains(['°', '≤', '+', '−']) || upper.contains("AMB") || upper.starts_with("TA");
    let scheme = ["ATEX", "UKEX", "IECE", "ECEX"]
        .iter()
        .any(|name| upper.contains(name));
    scheme || (ambient && plate.ambient.is_none()) || (upper.contains("IP") && plate.ip.is_none())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(text: &str, doubts: &[(usize, char)]) -> Line {
        let mut glyphs = Line::certain(text).glyphs().to_vec();
        for (at, also) in doubts {
            glyphs[*at].probability = 0.6;
            glyphs[*at].also = vec![(Some(*also), 0.4)];
        }
        Line::new(glyphs)
    }

    fn all(text: &str) -> Span {
        Span {
            line: 0,
            start: 0,
            end: text.len(),
        }
    }

    fn hides(line: &Line) -> bool {
        let lines = [line.clone()];
        let piece = Unread::new(&lines, &line.starts(), all(&line.text())).unwrap();
        piece.may_hide(&Plate::default())
    }

    #[test]
    fn runner_ups_spell_a_word() {
        let text = "IEOEz XYZ 14.8403X";
        assert!(hides(&line(text, &[(2, 'C'), (4, 'x')])));
        assert!(!hides(&line(text, &[(2, 'G'), (4, 'x')])));
        // What is certain hides nothing, and a part of a word is no word.
        assert!(!hides(&Line::certain("Ex-Schutz")));
        assert!(!hides(&line("INDEX", &[(3, 'F')])));
        // A mark with nothing behind it is the hexagon; a letter behind a class is no class.
        assert!(!hides(&line("EX", &[(0, 'C')])));
        assert!(!hides(&line("Ex Corrieburn", &[(0, 'C')])));
        assert!(hides(&line("Cx dh Tc", &[(0, 'E')])));
        assert!(!hides(&line("Insulation class F", &[(13, 'o')])));
        assert!(hides(&line("class l Dlv", &[(0, 'o')])));
    }

    #[test]
    fn what_is_full_of_doubt_may_hide_anything() {
        let text = "abcdefgh ".repeat(64);
        let doubts: Vec<(usize, char)> = (0..text.len()).map(|at| (at, '?')).collect();
        let lines = [line(&text, &doubts)];
        let starts: Vec<usize> = (0..=text.len()).collect();
        let piece = Unread::new(&lines, &starts, all(&text)).unwrap();
        let shown = piece.may_matter(&Plate::default()).unwrap();
        assert_eq!(shown.chars().count(), SHOWN + 1);
    }
}
