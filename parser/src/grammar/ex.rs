//! The type-of-protection string: `Ex db [ia Ga] IIC T4 Gb` in all its generations.

mod bracket;
mod facts;
mod level;
mod opening;
mod surface;
mod symbols;

use super::draft::Draft;
use super::text::{Text, Token};
use super::types::{self, Symbol};
use super::words::{gap, word_end};
use super::{ambient, american, epl, group, temperature};
use crate::marking::{Group, Temperature};
use nom::Parser;
use nom::bytes::complete::tag;
use nom::character::complete::one_of;
use opening::mark;

pub(crate) use facts::{fact, worth_b};
pub(crate) use opening::Mark;

/// What stands before the string and changes how it is read.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Before {
    /// A category line for dust alone stands right before it.
    pub(crate) dust_only: bool,
    /// A category line for gas and dust stands right before it.
    pub(crate) gas_and_dust: bool,
    /// A category line for mines stands right before it.
    pub(crate) mining: bool,
}

/// True if the string could open here: cheap, so that the search over a long text stays linear.
pub(crate) fn opens(input: &str) -> bool {
    input.starts_with([
        'E', 'e', 'A', 'a', 'F', '£', '€', 'Ɛ', 'ε', 'ξ', '[', '(', '{', '|',
    ]) || input.starts_with("DIP")
}

/// Reads one string at `at`. Answers where it ends and what it says, or nothing if it is none.
pub(crate) fn string(text: &Text, at: usize, before: Before) -> Option<(usize, Draft)> {
    let input = &text.as_str()[at..];
    let mut reader = Reader {
        text,
        at,
        draft: Draft::new(at),
        before,
        capitals: false,
    };
    if input.starts_with("DIP") {
        let (rest, symbols) = types::run(input).ok()?;
        let after = text.as_str().len() - rest.len();
        // `DIP CL II DIV 1`: the American word for the same, which is no string.
        if american::words(rest.trim_start_matches([' ', ','])).is_ok() {
            return None;
        }
        reader.push_symbols(symbols.into_iter().map(strict).collect(), false);
        reader.at = after;
        reader.body();
        return reader.finish(true);
    }
    let bracketed = input.starts_with(['[', '(', '{', '|']);
    if bracketed {
        // Associated apparatus: the mark stands inside the bracket.
        let (rest, _) = one_of::<_, _, nom::error::Error<&str>>("[({|")
            .parse(input)
            .ok()?;
        let (rest, _) = gap(rest).ok()?;
        mark(rest).ok()?;
        if !reader.bracket(true) {
            return None;
        }
        reader.body();
        return reader.finish(true);
    }
    let (rest, (opening, repaired)) = mark(input).ok()?;
    let after = text.as_str().len() - rest.len();
    reader.draft.mark = opening;
    reader.draft.opening(
        at,
        after,
        repaired.then_some(match opening {
            Mark::Ex => "Ex",
            Mark::Eex => "EEx",
            Mark::Aex => "AEx",
        }),
    );
    reader.capitals = repaired;
    reader.at = after;
    let spaced = rest.starts_with([' ', '\n', '[']);
    reader.body();
    reader.finish(spaced && !repaired)
}

fn strict((length, symbol): (usize, Symbol)) -> (usize, Token<Symbol>) {
    (length, Token::strict(symbol))
}

/// Reads the letters of EN 13463 that stand behind a category line, with group and class.
pub(crate) fn behind_category(text: &Text, at: usize, before: Before) -> Option<(usize, Draft)> {
    let (rest, symbols) = types::non_electrical(&text.as_str()[at..]).ok()?;
    let mut reader = Reader {
        text,
        at,
        draft: Draft::new(at),
        before,
        capitals: false,
    };
    let mut symbols: Vec<_> = symbols.into_iter().map(strict).collect();
    reader.push_symbols(std::mem::take(&mut symbols), false);
    reader.at = text.as_str().len() - rest.len();
    // `c b`: more letters apart from the first.
    while let Ok((tail, more)) =
        gap(reader.rest()).and_then(|(tail, _)| types::non_electrical(tail))
    {
        let end = reader.position(tail);
        let width: usize = more.iter().map(|(l, _)| l).sum();
        reader.at = end - width;
        reader.push_symbols(more.into_iter().map(strict).collect(), false);
        reader.at = end;
    }
    reader.body();
    // `I M2 c`: mines have neither group letter nor class.
    reader.finish(before.mining)
}

/// What it costs to look for the next piece of a string or of a bracket.
const TURN: usize = 8;

struct Reader<'a> {
    text: &'a Text,
    at: usize,
    draft: Draft,
    before: Before,
    /// The mark was printed in capitals, so the rest may be too.
    capitals: bool,
}

impl Reader<'_> {
    fn rest(&self) -> &str {
        &self.text.as_str()[self.at..]
    }

    /// Position of a tail of the text.
    fn position(&self, rest: &str) -> usize {
        self.text.as_str().len() - rest.len()
    }

    /// Pieces one after another, as long as each is one that can still be missing.
    fn body(&mut self) {
        // Each turn consumes at least one byte, and the fullest string has not half as many pieces.
        for _ in 0..24 {
            self.text.worked(TURN);
            let start = self.at;
            let skipped = gap(self.rest()).map_or(0, |(_, s)| s.len());
            let crossed = self.text.as_str()[self.at..self.at + skipped].contains('\n');
            self.at += skipped;
            // `Ex ia Class I, Division 1`: the class is no illegible piece.
            let class = self.rest().starts_with(['C', 'c']) && american::words(self.rest()).is_ok();
            if self.rest().is_empty() || class || !(self.piece(crossed) || self.separated(crossed))
            {
                self.at = start;
                break;
            }
        }
    }

    /// A piece behind a separator; the separator alone is left where it is.
    fn separated(&mut self, crossed: bool) -> bool {
        let start = self.at;
        // The types of old plates stand in quotes: `EEx "de" IIC`.
        let Ok((rest, sign)) =
            one_of::<_, _, nom::error::Error<&str>>("/+,;-&|\"“”„").parse(self.rest())
        else {
            return self.illegible(crossed);
        };
        // The dash before an ambient range is its minus.
        if sign == '-' && ambient::ambient(self.rest()).is_ok() {
            return false;
        }
        let Ok((rest, skipped)) = gap(rest) else {
            return false;
        };
        let line_break = crossed || skipped.contains('\n');
        self.at = self.position(rest);
        let types_before = self.draft.protections.len();
        if self.piece(line_break) {
            if sign == '+' && self.draft.protections.len() > types_before {
                self.draft.combined = true;
            }
            return true;
        }
        self.at = start;
        false
    }

    /// One piece. After a line break only what is still missing is taken.
    fn piece(&mut self, crossed: bool) -> bool {
        let rest = self.rest();
        // `I P 66` is no group, and no type i.
        if super::enclosure::ip(rest).is_ok() {
            return false;
        }
        let complete = self.draft.has_group() && self.draft.has_temperature();
        match rest.chars().next() {
            Some('[') => return !(crossed && complete) && self.bracket(false),
            Some('(' | '{')
                if !(self.draft.protections.is_empty() || crossed && complete)
                    && self.bracket(false) =>
            {
                return true;
            }
            Some(']') => {
                self.draft.unbalanced = true;
                self.at += 1;
                return true;
            }
            _ => {}
        }
        if self.group(crossed) || self.temperature(crossed) || self.level(crossed) {
            return true;
        }
        // Behind the temperature no type stands: `I P 66` is no type i.
        if !(self.draft.has_group() || self.draft.has_temperature())
            && (!crossed || self.draft.protections.is_empty() || self.types_with_group())
            && self.types()
        {
            return true;
        }
        if !crossed && self.suffix() {
            return true;
        }
        if !self.draft.has_group()
            && let Ok((rest, token)) = group::repaired(self.rest())
        {
            // Strokes stand for a group only where types stand before them.
            if !self.draft.protections.is_empty() {
                let end = self.position(rest);
                self.draft
                    .group(self.text.read(token, self.at, end), self.at, end);
                self.at = end;
                return true;
            }
        }
        if self.draft.temperature.is_none()
            && !self.draft.is_dust()
            && self.draft.has_group()
            && let Ok((rest, token)) = temperature::repaired(self.rest())
        {
            let end = self.position(rest);
            let read = self.text.read(token, self.at, end).map(Temperature::Class);
            self.draft.temperature(read, self.at, end);
            self.at = end;
            self.class_celsius();
            return true;
        }
        false
    }

    /// `Ex eb` and on the next line `mb IIC T4 Gb`: types with their group right behind them, which
    /// belong to nothing else.
    fn types_with_group(&self) -> bool {
        types::run(self.rest())
            .and_then(|(after, _)| gap(after))
            .and_then(|(after, _)| group::strict(after))
            .is_ok_and(|(_, token)| !matches!(token.value, Group::I | Group::II | Group::III))
    }

    fn group(&mut self, crossed: bool) -> bool {
        let rest = self.rest();
        if let Ok((after, token)) = group::strict(rest) {
            // The numeral of a category line belongs to that line, and `I P 66` is no group.
            if super::atex::line(rest).is_ok()
                || self.draft.protections.is_empty()
                || super::enclosure::ip(rest).is_ok()
            {
                return false;
            }
            let end = self.position(after);
            if self.draft.has_group() && !self.draft.takes_second_group(&token.value) {
                return false;
            }
            if crossed && self.draft.has_group() && self.draft.has_level() {
                return false;
            }
            let read = self.text.read(token, self.at, end);
            self.draft.group(read, self.at, end);
            self.at = end;
            if let Ok((after, name)) = group::only_gas(self.rest()) {
                let name = name.to_owned();
                let end = self.position(after);
                self.draft.only_gas = Some(self.text.read(Token::strict(name), self.at, end));
                self.draft.piece(self.at, end);
                self.at = end;
            }
            return true;
        }
        if !self.draft.has_group()
            && !self.draft.protections.is_empty()
            && let Ok((after, token)) = group::unknown(rest)
        {
            let token = Token::strict(token.to_owned());
            let end = self.position(after);
            self.draft.unknown_group = Some(self.text.read(token, self.at, end));
            self.draft.piece(self.at, end);
            self.at = end;
            return true;
        }
        false
    }

    fn skip(&mut self) {
        let skipped = gap(self.rest()).map_or(0, |(_, s)| s.len());
        self.at += skipped;
    }

    /// A short token that is nothing known, with something that is still missing right behind it:
    /// a piece of the marking that nobody could read.
    fn illegible(&mut self, crossed: bool) -> bool {
        let complete = self.draft.has_group() && self.draft.has_temperature();
        if crossed || complete || self.draft.illegible.len() >= 3 {
            return false;
        }
        let rest = self.rest();
        // A longer word is refused below: the look at it is bounded.
        let end = rest
            .char_indices()
            .take(8)
            .take_while(|(_, c)| !matches!(c, ' ' | '\n'))
            .last()
            .map_or(0, |(i, c)| i + c.len_utf8());
        let word = &rest[..end];
        // What another notation can read is no illegible piece of this one.
        if word.chars().count() > 5
            || mark(word).is_ok()
            || super::enclosure::ip(rest).is_ok()
            || super::enclosure::mark(rest).is_ok()
        {
            return false;
        }
        let after = rest[end..].trim_start_matches(' ');
        let group_next = !self.draft.has_group()
            && group::strict(after).is_ok()
            && super::atex::line(after).is_err();
        let class_next = !self.draft.has_temperature()
            && (temperature::class(after).is_ok()
                || tag::<_, _, nom::error::Error<&str>>("T")
                    .parse(after)
                    .is_ok()
                    && temperature::celsius(after).is_ok());
        let level_next =
            !self.draft.has_level() && epl::strict(after).is_ok() && word_end(word).is_err();
        if !(group_next || class_next || level_next) {
            return false;
        }
        let token = Token::strict(word.to_owned());
        let stop = self.at + end;
        self.draft
            .illegible
            .push(self.text.read(token, self.at, stop));
        self.draft.piece(self.at, stop);
        self.at = stop;
        true
    }

    fn finish(mut self, standing: bool) -> Option<(usize, Draft)> {
        let substance = self.draft.has_group()
            || self.draft.has_temperature()
            || self.draft.has_level()
            || self.draft.unknown_group.is_some()
            || self.draft.is_old_dust();
        // A mark glued to letters must be followed by more than types: `Exit` has none of it.
        if self.draft.protections.is_empty() || !(standing || substance) {
            return None;
        }
        if !substance && self.draft.mark == Mark::Ex {
            // `Ex d` alone is a marking; `Ex i` in running text is not worth a finding, but a plate
            // that stops there must not look complete: it is kept, and the checks ask for the rest.
            let known = self
                .draft
                .protections
                .iter()
                .any(|p| p.kind.repairs.is_empty());
            if !known {
                return None;
            }
        }
        self.draft.settle(self.text);
        self.draft.end = self.at;
        Some((self.at, self.draft))
    }
}
