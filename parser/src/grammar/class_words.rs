//! The walk over North American markings: class, division, groups and code, or zone words before a
//! type string.

use super::draft::Draft;
use super::text::Token;
use super::{AMERICAN, American, Item, Scan, american, american_types, ex, group, temperature};
use crate::marking::AmericanPlace;
use american_types::Types;

/// Class, division and zone words at the start of a text, alone, behind types of protection, or in
/// a list parted by strokes: the rest, the types, from where the words are counted, the words.
fn opening(rest: &str) -> Option<(&str, Types, usize, american::Words)> {
    if rest.starts_with(['C', 'c', 'Z', 'z']) {
        let (after, words) = american::words(rest).ok()?;
        return Some((after, Types::new(), 0, words));
    }
    if !american_types::opens(rest) {
        return None;
    }
    if let Ok((behind, types)) = american_types::types(rest) {
        if let Ok((class, ())) = american_types::before_class(rest, behind, &types) {
            let (after, words) = american::words(class).ok()?;
            return Some((after, types, rest.len() - class.len(), words));
        }
        if let Ok((after, words)) = american_types::list(rest, behind) {
            return Some((after, types, 0, words));
        }
    }
    let (after, words) = american_types::zone_list(rest).ok()?;
    Some((after, Types::new(), 0, words))
}

impl Scan<'_> {
    /// Class and division, or zone words before a type string.
    pub(super) fn american(&mut self, at: usize) -> Option<usize> {
        let (after, types, from, words) = opening(&self.text.as_str()[at..])?;
        self.text.worked(AMERICAN);
        // Where the words are counted from.
        let base = at + from;
        let figure = |found: Option<(usize, usize, Token<u8>)>| {
            found.map(|(from, to, token)| self.text.read(token, base + from, base + to))
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
                    draft.replace(base + from, base + to, text);
                }
                self.found.items.push(Item::String(Box::new(draft)));
                return Some(end);
            }
            // A bare zone number without class words and without a string says nothing.
            place.class?;
        }
        let mut repairs: Vec<_> = words
            .repairs
            .into_iter()
            .map(|(from, to, text)| (base + from, base + to, text))
            .collect();
        let types: Vec<_> = types
            .into_iter()
            .map(|(from, to, token)| {
                let (from, to) = (at + from, at + to);
                repairs.extend(token.repair.clone().map(|(_, text)| (from, to, text)));
                let kind = token.value;
                let alone = Token {
                    value: kind.0,
                    repair: token.repair,
                    rivals: Vec::new(),
                };
                (kind, self.text.read(alone, from, to))
            })
            .collect();
        let string = self.types_before(at, place.division.is_some());
        repairs.extend(
            string
                .iter()
                .flat_map(|draft| draft.replaced().iter().cloned()),
        );
        repairs.sort_unstable();
        let mut american = American {
            start: string.as_ref().map_or(at, |draft| draft.start),
            end: words_end,
            string: string.map(|draft| draft.protections).unwrap_or_default(),
            types,
            classes: words.classes,
            place,
            letters: None,
            group: None,
            temperature: None,
            unknown_class: None,
            unknown_group: None,
            repairs,
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
            if let Ok((after, token)) = temperature::classes(start) {
                american.end = self.end_of(after);
                american.temperature = Some(self.text.read(token, from, american.end));
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

    /// A string of nothing but types right before a class and division: `Ex ia CL I DIV 1 GP ABCD`. It
    /// is no marking of its own.
    fn types_before(&mut self, at: usize, divided: bool) -> Option<Draft> {
        let Some(Item::String(draft)) = self.found.items.last() else {
            return None;
        };
        let between = self.text.as_str().get(draft.end..at)?;
        let belongs = divided
            && draft.mark == ex::Mark::Ex
            && draft.is_bare()
            && between
                .chars()
                .all(|c| matches!(c, ' ' | '\n' | ',' | ';' | ':' | '-' | '/'));
        if !belongs {
            return None;
        }
        match self.found.items.pop() {
            Some(Item::String(draft)) => Some(*draft),
            _ => None,
        }
    }
}
