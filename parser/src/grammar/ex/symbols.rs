//! The types of protection in a string, glued or apart, with their level letters.

use super::{Reader, strict};
use crate::grammar::group;
use crate::grammar::text::Token;
use crate::grammar::types::{self, Symbol};
use crate::grammar::words::{gap, word_end};
use crate::marking::Protection;

impl Reader<'_> {
    pub(super) fn types(&mut self) -> bool {
        if self.joins_level() {
            return true;
        }
        let rest = self.rest();
        if let Ok((after, symbols)) = types::run(rest) {
            let end = self.position(after);
            self.push_symbols(symbols.into_iter().map(strict).collect(), false);
            self.at = end;
            return true;
        }
        if let Ok((after, tokens)) = types::capitals(rest) {
            let end = self.position(after);
            // A word in capitals is a type only where the mark was in capitals too, or where a
            // group follows.
            let group_follows = gap(after).is_ok_and(|(next, _)| {
                group::strict(next).is_ok() || types::capitals(next).is_ok()
            });
            if self.capitals
                || (group_follows && !self.draft.protections.is_empty())
                || (group_follows && tokens.len() <= 2)
            {
                self.push_symbols(tokens, false);
                self.at = end;
                return true;
            }
        }
        if let Ok((after, token)) = types::repaired(rest) {
            let end = self.position(after);
            self.push_symbols(vec![token], false);
            self.at = end;
            return true;
        }
        false
    }

    /// `d b IIC`: the level letter stands apart from its type. Nothing else at that place is a
    /// lone a, b or c; the printed EPL has to confirm it.
    fn joins_level(&mut self) -> bool {
        let rest = self.rest();
        let Some(letter @ ('a' | 'b' | 'c')) = rest.chars().next() else {
            return false;
        };
        if word_end(&rest[1..]).is_err() {
            return false;
        }
        let Some(last) = self.draft.protections.last_mut() else {
            return false;
        };
        if last.associated || !last.level.is_empty() || !types::takes_level(last.kind.value) {
            return false;
        }
        last.level = letter.to_string();
        let to = format!("{}{letter}", last.kind.value.symbol());
        let start = self.at - last.kind.raw.len() - 1;
        self.draft.joined = Some(self.draft.protections.len() - 1);
        self.draft.replace(start, self.at + 1, &to);
        self.at += 1;
        true
    }

    pub(super) fn push_symbols(&mut self, symbols: Vec<(usize, Token<Symbol>)>, associated: bool) {
        let mut start = self.at;
        for (length, token) in symbols {
            let end = start + length;
            let level = token.value.level.clone();
            let kind = Token {
                value: token.value.kind,
                repair: token.repair,
                rivals: token.rivals.iter().map(|s| s.kind).collect(),
            };
            let read = self.text.read(kind, start, end);
            self.draft.piece_repaired(start, end, &read.repairs);
            self.draft.protections.push(Protection {
                kind: read,
                level,
                epl: None,
                associated,
                circuit_group: None,
                circuit_epl: None,
            });
            start = end;
        }
    }
}
