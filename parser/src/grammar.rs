//! Text to plate: tolerant, total, and never silently repaired.
//!
//! [`parse`] walks once over the text of the plate. At the start of each word it asks the parsers
//! of the notations in turn; what none of them takes is kept as unread. The order matters only
//! where two notations begin alike, and says so there.

mod ambient;
mod american;
mod american_types;
mod assemble;
mod atex;
mod captions;
mod certificate;
mod class_words;
mod draft;
mod enclosure;
mod entity;
mod epl;
mod ex;
mod group;
mod rest;
mod temperature;
mod text;
mod types;
mod words;

use crate::Plate;
use crate::marking::{
    AmbientClass, AmericanPlace, AtexLine, Atmosphere, DustTemperature, Epl, Group, Protection,
    ProtectionType, TClass, Temperature,
};
use crate::read::Read;
use draft::Draft;
use text::{Text, Token};

pub(crate) use assemble::{atmospheres_of, settle_worth};

/// Parses the lines of one plate. Always answers; what it cannot place is in `unread`.
///
/// # Example
///
/// ```
/// let plate = vetplate_parser::parse(&["II 2 G Ex db eb IIC T4 Gb", "ABC 18 ATEX 1234 X"]);
/// assert_eq!(plate.markings[0].text, "Ex db eb IIC T4 Gb");
/// assert_eq!(plate.certificates[0].number.value, "ABC 18 ATEX 1234");
/// ```
pub fn parse<S: AsRef<str>>(lines: &[S]) -> Plate {
    parse_counted(lines).plate
}

/// A plate with what it took to read it.
pub(crate) struct Counted {
    pub(crate) plate: Plate,
    /// A measure of the work: the words that the notations were asked about, the pieces of strings, and what
    /// length and number of lines and markings cost beside them. A unit takes about a tenth of a microsecond,
    /// at most one and a half, whatever the text, so that a budget in units is one in time.
    pub(crate) work: usize,
    /// There was more text than can be a plate, and some of it was not looked at.
    pub(crate) cut: bool,
}

/// The same with a measure of the work.
pub(crate) fn parse_counted<S: AsRef<str>>(lines: &[S]) -> Counted {
    let text = Text::new(lines);
    let mut scan = Scan {
        text: &text,
        plate: Plate {
            lines: lines.iter().map(|l| l.as_ref().to_owned()).collect(),
            ..Plate::default()
        },
        found: Found::default(),
        unread_from: None,
        cut: false,
    };
    scan.run();
    let Scan {
        plate, found, cut, ..
    } = scan;
    text.worked(ITEM * found.items.len());
    let plate = assemble::assemble(&text, plate, found);
    let work = TEXT + text.work() + length_work(lines) + MARKING * plate.markings.len();
    Counted { plate, work, cut }
}

/// What a text costs however short it is.
const TEXT: usize = 24;
/// What a marking costs to be put together, checked and compared.
const MARKING: usize = 80;
/// What a piece costs to be put with what it belongs to.
const ITEM: usize = 10;
/// What a word costs that the notations are asked about, what it costs more where the first of them refuse
/// it, and what where none but the last may take it.
const ASKED: usize = 10;
const PARTLY: usize = 8;
const REFUSED: usize = 16;
/// What a class with its ambient costs.
const ROW: usize = 24;
/// What a class and division cost.
const AMERICAN: usize = 40;

/// What length and number of lines alone cost, whatever stands in them.
pub(crate) fn length_work<S: AsRef<str>>(lines: &[S]) -> usize {
    let length: usize = lines.iter().map(|line| line.as_ref().len()).sum();
    length / 2 + 2 * lines.len()
}

/// How many kinds of the pieces of a marking stand in a text as words of their own: types, group
/// with its letter, class or surface temperature, EPL.
pub(crate) fn kinds_of_pieces(text: &str) -> usize {
    let (mut types, mut groups, mut temperatures, mut levels) = (false, false, false, false);
    for (at, _) in text
        .char_indices()
        .filter(|(at, c)| !c.is_whitespace() && word_start(text, *at))
        .take(32)
    {
        let rest = &text[at..];
        types |= types::run(rest).is_ok();
        groups |= group::strict(rest)
            .is_ok_and(|(_, token)| !matches!(token.value, Group::I | Group::II | Group::III));
        temperatures |= temperature::class(rest).is_ok()
            || (rest.starts_with('T') && temperature::celsius(rest).is_ok());
        levels |= epl::strict(rest).is_ok();
    }
    [types, groups, temperatures, levels]
        .into_iter()
        .filter(|found| *found)
        .count()
}

/// The temperature classes that stand in a text as words of their own.
pub(crate) fn classes_in(text: &str) -> impl Iterator<Item = TClass> {
    text.match_indices('T')
        .filter(|(at, _)| word_start(text, *at))
        .filter_map(|(at, _)| temperature::class(&text[at..]).ok())
        .map(|(_, token)| token.value)
}

/// A North American division marking, or a zone marking without a type string.
#[derive(Debug, Clone)]
pub(crate) struct American {
    pub(crate) start: usize,
    pub(crate) end: usize,
    /// Types of a string `Ex …` right before it.
    pub(crate) string: Vec<Protection>,
    pub(crate) types: Vec<(american_types::Kind, Read<ProtectionType>)>,
    pub(crate) classes: Vec<u8>,
    pub(crate) place: AmericanPlace,
    pub(crate) letters: Option<Read<Vec<char>>>,
    pub(crate) group: Option<Read<Group>>,
    pub(crate) temperature: Option<Read<Temperature>>,
    pub(crate) unknown_class: Option<Read<String>>,
    pub(crate) unknown_group: Option<Read<String>>,
    /// Words that were repaired: first byte, one past the last, what was meant.
    pub(crate) repairs: Vec<(usize, usize, String)>,
}

/// What the walk finds, in print order, before it is put together.
#[derive(Debug, Clone)]
pub(crate) enum Item {
    Category(usize, AtexLine),
    String(Box<Draft>),
    American(Box<American>),
    /// A dust or surface temperature away from any string.
    Celsius(usize, usize, Read<DustTemperature>),
    /// A class away from any string.
    Class(usize, usize, Read<TClass>),
    /// Classes each with its ambient, away from any string.
    Table(usize, usize, Read<Vec<AmbientClass>>),
    /// An EPL away from any string.
    Level(usize, usize, Read<Epl>),
}

#[derive(Debug, Default)]
pub(crate) struct Found {
    pub(crate) items: Vec<Item>,
}

struct Scan<'a> {
    text: &'a Text,
    plate: Plate,
    found: Found,
    unread_from: Option<usize>,
    /// Some were not, for there were too many of them.
    cut: bool,
}

/// Pieces of markings that are looked at: several times what the fullest plate carries.
const MOST_ITEMS: usize = 24;
/// Work on the words of one text: many times what the fullest plate takes. It bounds the time.
const MOST_WORK: usize = 16_000;

/// The most that one text can cost: the word that reaches the limit may be a string with all its pieces, and
/// each piece is one of several markings.
#[cfg(test)]
pub(crate) fn most_work<S: AsRef<str>>(lines: &[S]) -> usize {
    TEXT + MOST_WORK + 1_000 + length_work(lines) + MOST_ITEMS * (ITEM + 3 * MARKING)
}

/// Signs that only keep pieces apart, so that nothing is lost where one of them stands alone.
const SEPARATORS: &str = ",;:./|-–—·•*()<>⟨⟩{}\"'_=+~";

/// A word may begin here: nothing before it, or something that is neither letter nor digit.
fn word_start(text: &str, at: usize) -> bool {
    text[..at]
        .chars()
        .next_back()
        .is_none_or(|c| !c.is_alphanumeric())
}

/// What a category line says to the string behind it.
fn before(line: &AtexLine) -> ex::Before {
    let dust = line.atmospheres.contains(&Atmosphere::Dust);
    ex::Before {
        dust_only: dust && line.atmospheres.len() == 1,
        gas_and_dust: dust && line.atmospheres.len() > 1,
        mining: line.mining,
    }
}

impl Scan<'_> {
    fn run(&mut self) {
        let whole = self.text.as_str();
        let mut at = 0;
        while at < whole.len() {
            let rest = &whole[at..];
            let ch = rest.chars().next().unwrap_or(' ');
            if ch.is_whitespace() {
                if ch == '\n' {
                    self.close_unread(at);
                }
                at += ch.len_utf8();
                continue;
            }
            // A plate has few pieces: what comes after so many is no plate and stays unread.
            let room = self.found.items.len() < MOST_ITEMS && self.text.work() < MOST_WORK;
            let start = word_start(whole, at);
            let asked = room && start;
            self.cut |= start && !room && ch.is_alphanumeric();
            let taken = asked.then(|| self.take(at)).flatten();
            self.text.worked(if asked { ASKED } else { 0 });
            match taken {
                Some(end) if end > at => {
                    self.close_unread(at);
                    self.understood(at, end);
                    at = end;
                }
                _ if ch.is_alphanumeric() => {
                    self.unread_from.get_or_insert(at);
                    // The rest of the word goes with it, up to a category line glued to its end.
                    let word = rest
                        .find(|c: char| !c.is_alphanumeric())
                        .unwrap_or(rest.len());
                    let glued = atex::glued(&rest[..word])
                        .filter(|_| room)
                        .map(|offset| at + offset);
                    at += word;
                    if let Some(start) = glued
                        && let Some(end) = self.marking(start)
                    {
                        self.close_unread(start);
                        self.understood(start, end);
                        at = end;
                    }
                }
                _ => {
                    let end = at + ch.len_utf8();
                    if self.unread_from.is_none() {
                        if SEPARATORS.contains(ch) {
                            self.understood(at, end);
                        } else {
                            self.unread_from = Some(at);
                        }
                    }
                    at = end;
                }
            }
        }
        self.close_unread(whole.len());
    }

    fn understood(&mut self, start: usize, end: usize) {
        for span in self.text.spans(start, end) {
            match self.plate.understood.last_mut() {
                Some(last) if last.line == span.line && last.end == span.start => {
                    last.end = span.end;
                }
                _ => self.plate.understood.push(span),
            }
        }
    }

    fn close_unread(&mut self, end: usize) {
        if let Some(start) = self.unread_from.take() {
            let tidy = self.text.as_str()[start..end].trim_end().len();
            self.plate
                .unread
                .extend(self.text.spans(start, start + tidy));
        }
    }

    fn end_of(&self, rest: &str) -> usize {
        self.text.as_str().len() - rest.len()
    }

    /// Tries every notation at a position; answers where it ends.
    fn take(&mut self, at: usize) -> Option<usize> {
        let first = self.text.as_str()[at..].chars().next();
        if first.is_some_and(|c| !c.is_alphanumeric()) {
            // No word starts with a sign.
            self.text.worked(REFUSED);
            return self
                .marking(at)
                .or_else(|| self.ambient(at))
                .or_else(|| self.enclosure(at))
                .or_else(|| self.entity(at))
                .or_else(|| (first == Some('|')).then(|| self.certificate(at)).flatten())
                .or_else(|| self.rating(at));
        }
        self.marking(at)
            .or_else(|| self.certificate(at))
            .or_else(|| self.ambient(at))
            .or_else(|| self.enclosure(at))
            .or_else(|| self.entity(at))
            .or_else(|| self.caption(at))
            .or_else(|| self.piece(at))
            .or_else(|| self.rating(at))
    }

    fn marking(&mut self, at: usize) -> Option<usize> {
        let rest = &self.text.as_str()[at..];
        let (at, rest, marked) = match atex::hexagon(rest) {
            Ok((after, ())) => (self.end_of(after), after, true),
            Err(_) => (at, rest, false),
        };
        let category = atex::line(rest).or_else(|e| {
            // Without its numeral a category stands behind a hexagon or alone in its line.
            let token = rest.starts_with(['1', '2', '3', '(', '[', '{', '-']);
            if marked || (token && self.alone(at)) {
                atex::headless(rest)
            } else {
                Err(e)
            }
        });
        if let Ok((after, line)) = category {
            let end = self.end_of(after);
            let line = self.category(at, end, line);
            let before = before(&line);
            self.found.items.push(Item::Category(at, line));
            let skipped = after.len() - after.trim_start_matches(' ').len();
            // The mark of a glued string is no word of its own: it is looked for here.
            let glued = || {
                (skipped == 0 && ex::opens(after))
                    .then(|| ex::string(self.text, end, before))
                    .flatten()
            };
            if let Some((string_end, draft)) =
                ex::behind_category(self.text, end + skipped, before).or_else(glued)
            {
                self.found.items.push(Item::String(Box::new(draft)));
                return Some(string_end);
            }
            return Some(end);
        }
        if let Some(end) = self.american(at) {
            return Some(end);
        }
        if !ex::opens(rest) {
            return None;
        }
        let before = match self.found.items.last() {
            Some(Item::Category(_, line)) => before(line),
            _ => ex::Before::default(),
        };
        let (end, draft) = ex::string(self.text, at, before)?;
        self.found.items.push(Item::String(Box::new(draft)));
        Some(end)
    }

    /// Nothing but a category can stand here: first in its line, and short.
    fn alone(&self, at: usize) -> bool {
        // Few signs can stand before it, so the search is bounded.
        const NEAR: usize = 32;
        let text = self.text.as_str();
        let mut before = text[..at].chars().rev().take(NEAR);
        let first = loop {
            match before.next() {
                None => break at < NEAR,
                Some('\n') => break true,
                Some(c) if c.is_alphanumeric() => break false,
                Some(_) => {}
            }
        };
        first && {
            let line: String = text[at..]
                .chars()
                .take_while(|c| *c != '\n')
                .take(NEAR)
                .collect();
            line.chars().count() < NEAR && line.trim().len() <= 6
        }
    }

    fn category(&self, at: usize, end: usize, line: atex::Line) -> AtexLine {
        let raw = self.text.as_str()[at..end].to_owned();
        let whole = Token {
            value: raw,
            repair: line.repair,
            rivals: Vec::new(),
        };
        AtexLine {
            mining: line.mining,
            categories: line
                .categories
                .into_iter()
                .map(|(from, to, token)| self.text.read(token, at + from, at + to))
                .collect(),
            atmospheres: line.atmospheres,
            raw: self.text.read(whole, at, end),
        }
    }
}
