//! Brackets: associated apparatus, and circuits inside protected equipment.

use super::{Mark, Reader, TURN, mark, strict, worth_b};
use crate::grammar::words::gap;
use crate::grammar::{epl, group, types};
use crate::marking::{Atmosphere, Group};

impl Reader<'_> {
    /// `[ia Ga]`, `[Ex ia IIC Ga]`, with any pair of brackets where the pair is complete.
    pub(super) fn bracket(&mut self, opening: bool) -> bool {
        let begin = self.at;
        let saved = self.draft.clone();
        let open = self.rest().chars().next().unwrap_or('[');
        self.at += open.len_utf8();
        self.skip();
        let first = self.draft.protections.len();
        if let Ok((rest, (inner, repaired))) = mark(self.rest()) {
            // A bracket with its own mark behind a finished string is a string of its own.
            if !opening && self.draft.has_group() {
                self.at = begin;
                return false;
            }
            let end = self.position(rest);
            self.draft.opening(
                self.at,
                end,
                repaired.then_some(match inner {
                    Mark::Ex => "Ex",
                    Mark::Eex => "EEx",
                    Mark::Aex => "AEx",
                }),
            );
            if opening {
                self.draft.mark = inner;
            }
            self.at = end;
        }
        let mut circuit_group: Option<Group> = None;
        let mut circuit_epl = None;
        let mut closed = None;
        for _ in 0..12 {
            self.text.worked(TURN);
            self.skip();
            let rest = self.rest();
            match rest.chars().next() {
                Some(sign @ (']' | ')' | '}')) => {
                    closed = Some(sign);
                    self.at += 1;
                    break;
                }
                Some('/' | '+' | ',') if self.draft.protections.len() > first => {
                    self.at += 1;
                    continue;
                }
                _ => {}
            }
            if circuit_group.is_none()
                && self.draft.protections.len() > first
                && let Ok((after, token)) = group::strict(rest)
            {
                let end = self.position(after);
                circuit_group = Some(token.value);
                self.draft.piece(self.at, end);
                self.at = end;
                continue;
            }
            let around = epl::Around {
                atmosphere: group_behind_bracket(rest),
                type_b: self.draft.protections[first..].iter().all(worth_b),
                at_most_b: false,
            };
            if let Ok((after, token)) = epl::epl(rest, around)
                && self.draft.protections.len() > first
            {
                let end = self.position(after);
                let read = self.text.read(token, self.at, end);
                circuit_epl = circuit_epl.or(Some(read.value));
                self.draft.piece_repaired(self.at, end, &read.repairs);
                self.at = end;
                continue;
            }
            let found = types::run(rest)
                .map(|(after, s)| (self.position(after), s.into_iter().map(strict).collect()))
                .or_else(|_| types::capitals(rest).map(|(after, t)| (self.position(after), t)))
                .or_else(|_| {
                    types::repaired(rest).map(|(after, t)| (self.position(after), vec![t]))
                });
            match found {
                Ok((end, tokens)) => {
                    self.push_symbols(tokens, true);
                    self.at = end;
                }
                Err(_) => break,
            }
        }
        if self.draft.protections.len() == first || (closed.is_none() && open != '[') {
            self.draft = saved;
            self.at = begin;
            return false;
        }
        for protection in &mut self.draft.protections[first..] {
            // Where the bracket was lost nobody can tell which side of it the group stood on.
            protection.circuit_group = circuit_group.clone().filter(|_| closed.is_some());
            protection.circuit_epl = circuit_epl;
        }
        if closed.is_none() {
            self.draft.unbalanced = true;
            if let Some(group) = circuit_group {
                self.draft
                    .lost_bracket_group(group, self.text, begin, self.at);
            }
        } else if open != '[' || closed != Some(']') {
            self.draft.replace(begin, begin + open.len_utf8(), "[");
            self.draft.replace(self.at - 1, self.at, "]");
        }
        self.draft.piece(begin, self.at);
        true
    }
}

/// The atmosphere of the group that stands behind the bracket which the text is in.
fn group_behind_bracket(text: &str) -> Option<Atmosphere> {
    const NEAR: usize = 8;
    let end = text
        .char_indices()
        .take(NEAR)
        .find(|(_, c)| matches!(c, ']' | ')' | '}'))?
        .0;
    let (rest, _) = gap(&text[end + 1..]).ok()?;
    let (_, token) = group::strict(rest).ok()?;
    Some(token.value.atmosphere())
}
