//! The EPL of a string, and the X or U behind it.

use super::{Reader, worth_b};
use crate::grammar::epl;
use crate::grammar::text::Token;

impl Reader<'_> {
    pub(super) fn level(&mut self, crossed: bool) -> bool {
        if self.draft.protections.is_empty() || (crossed && self.draft.has_level()) {
            return false;
        }
        let around = epl::Around {
            atmosphere: self.draft.clean_atmosphere(),
            type_b: self.draft.clean_type_b(),
            at_most_b: self
                .draft
                .protections
                .iter()
                .any(|p| !p.associated && worth_b(p)),
        };
        let ready = self.draft.has_group() || self.draft.has_temperature();
        let rest = self.rest();
        let found = if ready {
            epl::epl(rest, around)
        } else {
            epl::strict(rest)
        };
        let Ok((after, token)) = found else {
            if ready
                && !self.draft.has_level()
                && let Ok((after, raw)) = epl::illegible(rest)
            {
                let raw = raw.to_owned();
                let end = self.position(after);
                self.draft
                    .illegible
                    .push(self.text.read(Token::strict(raw), self.at, end));
                self.draft.piece(self.at, end);
                self.at = end;
                return true;
            }
            return false;
        };
        if self.draft.epl.len() > 1 {
            return false;
        }
        let end = self.position(after);
        let read = self.text.read(token, self.at, end);
        self.draft.level(read, self.at, end);
        self.at = end;
        if let Ok((after, _)) = epl::slash(self.rest())
            && let Ok((after, token)) = epl::epl(after, around)
        {
            let second_end = self.position(after);
            let second_start = second_end - 2;
            let read = self.text.read(token, second_start, second_end);
            self.draft.boundary = true;
            self.draft.level(read, second_start, second_end);
            self.at = second_end;
        }
        true
    }

    /// `X` or `U` alone behind the string.
    pub(super) fn suffix(&mut self) -> bool {
        if !(self.draft.has_group() || self.draft.has_level()) {
            return false;
        }
        let rest = self.rest();
        let (letter, tail) = match rest.chars().next() {
            Some(letter @ ('X' | 'U')) => (letter, &rest[1..]),
            _ => return false,
        };
        // `U = 24 V` is a rating.
        let next = tail.trim_start_matches(' ').chars().next();
        if tail.starts_with(char::is_alphanumeric) || matches!(next, Some('=' | ':' | '≤' | '<'))
        {
            return false;
        }
        if letter == 'U' && next.is_some_and(|c| c.is_ascii_digit()) {
            return false;
        }
        if letter == 'X' {
            self.draft.x = true;
        } else {
            self.draft.u = true;
        }
        self.draft.piece(self.at, self.at + 1);
        self.at += 1;
        true
    }
}
