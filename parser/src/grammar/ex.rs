//! The type-of-protection string: `Ex db [ia Ga] IIC T4 Gb` in all its generations.

use super::draft::Draft;
use super::text::{Text, Token};
use super::types::{self, Symbol};
use super::words::{Parsed, gap, no, word_end};
use super::{epl, group, temperature};
use crate::marking::{Atmosphere, DustTemperature, Group, Protection, ProtectionType, Temperature};
use nom::Parser;
use nom::bytes::complete::tag;
use nom::character::complete::one_of;

/// Which mark opens a string.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    Ex,
    Eex,
    Aex,
}

/// What stands before the string and changes how it is read.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Before {
    /// A category line for dust alone stands right before it.
    pub(crate) dust_only: bool,
    /// A category line for gas and dust stands right before it.
    pub(crate) gas_and_dust: bool,
}

/// The opening mark, strictly or in the shapes in which it is misread.
fn mark(input: &str) -> Parsed<'_, (Mark, bool)> {
    const FORMS: &[(&str, Mark, bool)] = &[
        ("EEx", Mark::Eex, false),
        ("E Ex", Mark::Eex, true),
        ("EEX", Mark::Eex, true),
        ("EE×", Mark::Eex, true),
        ("EFx", Mark::Eex, true),
        ("FEx", Mark::Eex, true),
        ("AEx", Mark::Aex, false),
        ("A Ex", Mark::Aex, true),
        ("AEX", Mark::Aex, true),
        ("AFx", Mark::Aex, true),
        ("Ex", Mark::Ex, false),
        ("EX", Mark::Ex, true),
        ("E×", Mark::Ex, true),
        ("Fx", Mark::Ex, true),
        ("£x", Mark::Ex, true),
        ("€x", Mark::Ex, true),
        ("Ɛx", Mark::Ex, true),
        ("εx", Mark::Ex, true),
        ("ξx", Mark::Ex, true),
        ("eex", Mark::Eex, true),
        ("aex", Mark::Aex, true),
        ("ex", Mark::Ex, true),
    ];
    for &(text, mark, repaired) in FORMS {
        if let Some(rest) = input.strip_prefix(text) {
            return Ok((rest, (mark, repaired)));
        }
    }
    no(input)
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
    reader.finish(false)
}

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
            let start = self.at;
            let skipped = gap(self.rest()).map_or(0, |(_, s)| s.len());
            let crossed = self.text.as_str()[self.at..self.at + skipped].contains('\n');
            self.at += skipped;
            if self.rest().is_empty() || !(self.piece(crossed) || self.separated(crossed)) {
                self.at = start;
                break;
            }
        }
    }

    /// A piece behind a separator; the separator alone is left where it is.
    fn separated(&mut self, crossed: bool) -> bool {
        let start = self.at;
        let Ok((rest, sign)) =
            one_of::<_, _, nom::error::Error<&str>>("/+,;-&|").parse(self.rest())
        else {
            return self.illegible(crossed);
        };
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
            && (!crossed || self.draft.protections.is_empty())
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

    /// A surface temperature in brackets behind the class.
    fn class_celsius(&mut self) {
        if let Ok((after, celsius)) = temperature::bracketed(self.rest()) {
            let end = self.position(after);
            self.draft.class_celsius = Some(celsius);
            self.draft.piece(self.at, end);
            self.at = end;
        }
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

    fn dust_context(&self) -> bool {
        self.draft.is_dust() || (self.before.dust_only && !self.draft.has_gas_group())
    }

    fn temperature(&mut self, crossed: bool) -> bool {
        if self.draft.protections.is_empty() {
            return false;
        }
        let rest = self.rest();
        if crossed && !rest.starts_with(['T', 't']) {
            return false;
        }
        let here = self.at;
        if self.draft.temperature.is_none() {
            if let Ok((after, classes)) = temperature::by_ambient(rest) {
                let end = self.position(after);
                let read =
                    self.text
                        .read(Token::strict(Temperature::ByAmbient(classes)), here, end);
                self.draft.temperature(read, here, end);
                self.at = end;
                return true;
            }
            if let Ok((after, (first, second))) = temperature::range(rest) {
                let end = self.position(after);
                let repair = first.repair.or(second.repair);
                let token = Token {
                    value: Temperature::Range(first.value, second.value),
                    repair: repair
                        .map(|(name, _)| (name, format!("{}...{}", first.value, second.value))),
                    rivals: Vec::new(),
                };
                let read = self.text.read(token, here, end);
                self.draft.temperature(read, here, end);
                self.at = end;
                return true;
            }
            if let Ok((after, token)) = temperature::class(rest) {
                let end = self.position(after);
                let read = self.text.read(token, here, end).map(Temperature::Class);
                self.draft.temperature(read, here, end);
                self.at = end;
                self.class_celsius();
                return true;
            }
        }
        if self.dust_context() || self.draft.takes_dust_temperature() {
            if self.draft.dust_temperature.is_none()
                && let Ok((after, token)) = temperature::dust(rest)
            {
                let end = self.position(after);
                self.draft
                    .dust_temperature(self.text.read(token, here, end), here, end);
                self.at = end;
                return true;
            }
        } else if let Ok((after, (token, class))) = temperature::celsius(rest) {
            let end = self.position(after);
            if self.draft.temperature.is_none() && self.draft.has_group() {
                let read = self
                    .text
                    .read(token, here, end)
                    .map(|celsius| Temperature::MaxSurface { celsius, class });
                self.draft.temperature(read, here, end);
                self.at = end;
                return true;
            }
            // Old strings for gas under a GD line carry the temperature for dust behind the class.
            if self.before.gas_and_dust
                && self.draft.dust_temperature.is_none()
                && self.draft.temperature.is_some()
                && rest.starts_with('T')
                && !crossed
            {
                let token = Token {
                    value: DustTemperature {
                        celsius: token.value,
                        layer_mm: None,
                    },
                    repair: token.repair,
                    rivals: Vec::new(),
                };
                self.draft
                    .dust_temperature(self.text.read(token, here, end), here, end);
                self.at = end;
                return true;
            }
            // A second temperature in one gas string: kept for the comparison with the class,
            // but only where `T` says that it is a surface.
            if self.draft.class_celsius.is_none()
                && self.draft.temperature.is_some()
                && rest.starts_with('T')
                && !crossed
            {
                self.draft.class_celsius = Some(token.value);
                self.draft.piece(here, end);
                self.at = end;
                return true;
            }
            return false;
        }
        if self.draft.temperature.is_none() && self.draft.unknown_class.is_none() {
            let found = temperature::unknown(rest)
                .or_else(|_| temperature::dashed(rest))
                .map(|(after, raw)| (self.position(after), raw.to_owned()));
            if let Ok((end, raw)) = found {
                self.draft.unknown_class = Some(self.text.read(Token::strict(raw), here, end));
                self.draft.piece(here, end);
                self.at = end;
                return true;
            }
        }
        false
    }

    fn level(&mut self, crossed: bool) -> bool {
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
    fn suffix(&mut self) -> bool {
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

    fn types(&mut self) -> bool {
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

    fn push_symbols(&mut self, symbols: Vec<(usize, Token<Symbol>)>, associated: bool) {
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

    /// `[ia Ga]`, `[Ex ia IIC Ga]`, with any pair of brackets where the pair is complete.
    fn bracket(&mut self, opening: bool) -> bool {
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
            || self.draft.unknown_group.is_some();
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
        self.draft.settle();
        self.draft.end = self.at;
        Some((self.at, self.draft))
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

/// True for types whose old single letter is worth the level b.
pub(crate) fn worth_b(protection: &Protection) -> bool {
    protection.kind.repairs.is_empty()
        && (protection.level == "b"
            || (protection.level.is_empty()
                && matches!(
                    protection.kind.value,
                    ProtectionType::Flameproof
                        | ProtectionType::IncreasedSafety
                        | ProtectionType::PowderFilling
                        | ProtectionType::LiquidImmersion
                        | ProtectionType::PressurizedX
                        | ProtectionType::PressurizedY
                        | ProtectionType::Pressurization
                        | ProtectionType::Encapsulation
                )))
}

/// The atmosphere of a clean fact: a class or an EPL.
pub(crate) fn fact(draft: &Draft) -> Option<Atmosphere> {
    if let Some(epl) = draft.epl.iter().find(|e| e.repairs.is_empty()) {
        return Some(epl.value.atmosphere);
    }
    if draft.temperature.as_ref().is_some_and(|t| {
        t.repairs.is_empty() && matches!(t.value, Temperature::Class(_) | Temperature::Range(..))
    }) {
        return Some(Atmosphere::Gas);
    }
    if draft
        .dust_temperature
        .as_ref()
        .is_some_and(|t| t.repairs.is_empty())
    {
        return Some(Atmosphere::Dust);
    }
    None
}
