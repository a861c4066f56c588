//! The walk over North American markings: class, division, groups and code, or zone words before a
//! type string.

use super::text::Token;
use super::{American, Item, Scan, american, ex, group, temperature};
use crate::marking::AmericanPlace;

impl Scan<'_> {
    /// Class and division, or zone words before a type string.
    pub(super) fn american(&mut self, at: usize) -> Option<usize> {
        let rest = &self.text.as_str()[at..];
        if !rest.starts_with(['C', 'c', 'Z', 'z']) {
            return None;
        }
        let (after, words) = american::words(rest).ok()?;
        let figure = |found: Option<(usize, usize, Token<u8>)>| {
            found.map(|(from, to, token)| self.text.read(token, at + from, at + to))
        };
        let place = AmericanPlace {
            class: words.classes.first().copied(),
            division: figure(words.division),
            zone: figure(words.zone),
        };
        let words_end = self.end_of(after);
        if place.zone.is_some() {
            let skipped = after.len() - after.trim_start_matches([' ', ',', ';', ':', '\n']).len();
            let string_at = words_end + skipped;
            let before = ex::Before::default();
            if ex::opens(&self.text.as_str()[string_at..])
                && let Some((end, mut draft)) = ex::string(self.text, string_at, before)
            {
                draft.zone_words(at, place);
                for (from, to, text) in &words.repairs {
                    draft.replace(at + from, at + to, text);
                }
                self.found.items.push(Item::String(Box::new(draft)));
                return Some(end);
            }
            // A bare zone number without class words and without a string says nothing.
            place.class?;
        }
        let mut american = American {
            start: at,
            end: words_end,
            classes: words.classes,
            place,
            letters: None,
            group: None,
            class: None,
            unknown_class: None,
            unknown_group: None,
            repairs: words
                .repairs
                .into_iter()
                .map(|(from, to, text)| (at + from, at + to, text))
                .collect(),
        };
        let mut tail = after;
        let divided = american.place.division.is_some();
        let letters = american::groups(tail).or_else(|e| {
            if divided {
                american::bare_groups(tail)
            } else {
                Err(e)
            }
        });
        if let Ok((after, letters)) = letters {
            let end = self.end_of(after);
            american.letters = Some(self.text.read(Token::strict(letters), american.end, end));
            american.end = end;
            tail = after;
        } else if american.place.zone.is_some()
            && let Ok((named, ())) = american::group_word(tail)
            && let Ok((after, token)) = group::strict(named)
        {
            let (start, end) = (self.end_of(named), self.end_of(after));
            american.group = Some(self.text.read(token, start, end));
            american.end = end;
            tail = after;
        } else if american.place.zone.is_none()
            && let Ok((after, raw)) = american::garbled_groups(tail)
        {
            let (raw, end) = (raw.to_owned(), self.end_of(after));
            let start = end - raw.len();
            american.unknown_group = Some(self.text.read(Token::strict(raw), start, end));
            american.end = end;
            tail = after;
        }
        if let Ok((start, ())) = american::code_words(tail) {
            let from = self.end_of(start);
            if let Ok((after, token)) = temperature::class(start) {
                american.end = self.end_of(after);
                american.class = Some(self.text.read(token, from, american.end));
            } else if let Ok((after, raw)) = temperature::unknown(start) {
                let raw = raw.to_owned();
                american.end = self.end_of(after);
                american.unknown_class =
                    Some(self.text.read(Token::strict(raw), from, american.end));
            }
        }
        let end = american.end;
        self.found.items.push(Item::American(Box::new(american)));
        Some(end)
    }
}
