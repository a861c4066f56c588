//! Text that no notation took and that may yet hold what a verdict rests on.

use crate::{Glyph, Line, Plate, Span};

/// A character below this probability is doubtful where nothing else speaks for it.
const DOUBTFUL_BELOW: f32 = 0.995;

/// Text that no notation took, where it holds figures, several characters of it are doubtful and it
/// may hold what the plate lacks: a certificate or a range may hide in it that no exchange brings
/// out.
pub(super) fn hard_to_read(lines: &[Line], span: Span, plate: &Plate) -> Option<String> {
    let (glyphs, _) = around(lines, span)?;
    let text: String = glyphs.iter().map(|g| g.ch).collect();
    let doubtful = glyphs
        .iter()
        .filter(|g| g.probability < DOUBTFUL_BELOW)
        .count();
    let figures = text.chars().filter(char::is_ascii_digit).count();
    (doubtful >= 2 && figures >= 1 && may_matter(&text, plate)).then_some(text)
}

/// Text that no notation took and whose doubtful characters allow a word that opens a certificate,
/// an ambient range, a marking: the rest of it may be misread beyond what exchanges bring out.
pub(super) fn may_hide(lines: &[Line], span: Span, plate: &Plate) -> Option<String> {
    let (glyphs, before) = around(lines, span)?;
    let ambient = AMBIENT.iter().filter(|_| plate.ambient.is_none());
    let allowed = OPENS
        .iter()
        .chain(ambient)
        .any(|word| spells(glyphs, before, word));
    allowed.then(|| glyphs.iter().map(|g| g.ch).collect())
}

/// Words that open a certificate or a marking.
const OPENS: [&str; 9] = [
    "ATEX", "UKEX", "IECEX", "EX", "AEX", "EEX", "ZONE", "CLASS", "DIV",
];
/// Words of an ambient range.
const AMBIENT: [&str; 2] = ["TAMB", "°C"];

/// True where the characters or their runner-ups spell the word as a word of its own, with doubt
/// about one of them at least. The case is no difference.
fn spells(glyphs: &[Glyph], before: Option<char>, word: &str) -> bool {
    let letters: Vec<char> = word.chars().collect();
    let can = |glyph: &Glyph, letter: char| {
        let same = |c: char| c.to_ascii_uppercase() == letter || (c == '×' && letter == 'X');
        same(glyph.ch) || glyph.also.iter().any(|(c, _)| c.is_some_and(same))
    };
    let letter_beside = |c: Option<char>| c.is_some_and(char::is_alphabetic);
    (0..(glyphs.len() + 1).saturating_sub(letters.len())).any(|at| {
        let end = at + letters.len();
        let first = if at == 0 {
            before
        } else {
            Some(glyphs[at - 1].ch)
        };
        !letter_beside(first)
            && !letter_beside(glyphs.get(end).map(|g| g.ch))
            && glyphs[at..end]
                .iter()
                .any(|g| g.probability < DOUBTFUL_BELOW)
            && glyphs[at..end]
                .iter()
                .zip(&letters)
                .all(|(glyph, letter)| can(glyph, *letter))
    })
}

/// The characters of a span with the signs that hang on it without a blank, and what stands before.
fn around(lines: &[Line], span: Span) -> Option<(&[Glyph], Option<char>)> {
    let glyphs = lines.get(span.line)?.glyphs();
    let (mut at, mut first, mut last) = (0, 0, 0);
    for (index, glyph) in glyphs.iter().enumerate() {
        if at < span.end {
            if at < span.start && glyph.ch.is_whitespace() {
                first = index + 1;
            }
            last = index + 1;
        }
        at += glyph.ch.len_utf8();
    }
    let before = first.checked_sub(1).map(|i| glyphs[i].ch);
    Some((glyphs.get(first..last)?, before))
}

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

    #[test]
    fn runner_ups_spell_a_word() {
        let text = "IEOEz XYZ 14.8403X";
        let plate = Plate::default();
        let doubtful = line(text, &[(2, 'C'), (4, 'x')]);
        assert!(may_hide(&[doubtful], all(text), &plate).is_some());
        let other = line(text, &[(2, 'G'), (4, 'x')]);
        assert!(may_hide(&[other], all(text), &plate).is_none());
        // What is certain hides nothing, and a part of a word is no word.
        assert!(may_hide(&[Line::certain("Ex-Schutz")], all("Ex-Schutz"), &plate).is_none());
        let inside = line("INDEX", &[(3, 'F')]);
        assert!(may_hide(&[inside], all("INDEX"), &plate).is_none());
    }
}
