//! What stands on a plate beside its markings, and pieces of markings away from their string.

use super::captions::{self, Caption};
use super::text::Token;
use super::{
    Item, PARTLY, REFUSED, ROW, Scan, ambient, certificate, enclosure, entity, epl, ex, temperature,
};
use crate::marking::{AmbientClass, BodyMark, Certificate, Entity};

impl Scan<'_> {
    pub(super) fn certificate(&mut self, at: usize) -> Option<usize> {
        let rest = &self.text.as_str()[at..];
        let (after, found) = certificate::certificate(rest).ok()?;
        let end = self.end_of(after);
        let token = if found.repaired {
            Token::repaired(found.number.clone(), "certificate number", found.number)
        } else {
            Token::strict(found.number)
        };
        self.plate.certificates.push(Certificate {
            number: self.text.read(token, at, end),
            spans: self.text.spans(at, end),
            scheme: found.scheme,
            suffix: found.suffix,
            year: found.year,
            issue: found.issue,
        });
        Some(end)
    }

    pub(super) fn ambient(&mut self, at: usize) -> Option<usize> {
        if let Some(end) = self.practice(at) {
            return Some(end);
        }
        let rest = &self.text.as_str()[at..];
        let rest = rest.strip_prefix('(').unwrap_or(rest);
        let (after, token) = ambient::ambient(rest).ok()?;
        self.text.worked(PARTLY);
        if let Ok((after, classes)) = temperature::table(rest) {
            return Some(self.table(at, after, classes));
        }
        let end = self.end_of(after);
        let read = self.text.read(token, at, end);
        match &mut self.plate.ambient {
            None => self.plate.ambient = Some(read),
            Some(first) if first.value != read.value && !first.rivals.contains(&read.value) => {
                first.rivals.push(read.value);
            }
            Some(_) => {}
        }
        Some(end)
    }

    pub(super) fn enclosure(&mut self, at: usize) -> Option<usize> {
        let rest = &self.text.as_str()[at..];
        if let Ok((after, token)) = enclosure::ip(rest) {
            let end = self.end_of(after);
            let read = self.text.read(token, at, end);
            match &mut self.plate.ip {
                None => self.plate.ip = Some(read),
                // A second IP code elsewhere on the plate: each stands alone, both are kept.
                Some(first) => {
                    if first.value.text != read.value.text {
                        first.value.text.push('/');
                        first
                            .value
                            .text
                            .push_str(read.value.text.trim_start_matches("IP"));
                        first.value.first.extend(read.value.first);
                        first.value.second.extend(read.value.second);
                    }
                }
            }
            return Some(end);
        }
        if let Ok((after, raw)) = enclosure::other(rest) {
            let end = self.end_of(after);
            let tidy = raw.replace('×', "X");
            let token = if tidy == raw {
                Token::strict(tidy)
            } else {
                Token::repaired(tidy.clone(), "letter X", tidy)
            };
            self.plate.enclosure.push(self.text.read(token, at, end));
            return Some(end);
        }
        let (after, (ukca, body)) = enclosure::mark(rest).ok()?;
        let end = self.end_of(after);
        let body = body.map(|(start, token)| self.text.read(token, at + start, end));
        self.plate.marks.push(BodyMark { ukca, body });
        Some(end)
    }

    pub(super) fn entity(&mut self, at: usize) -> Option<usize> {
        let rest = &self.text.as_str()[at..];
        let (after, (quantity, token)) = entity::entity(rest).ok()?;
        let end = self.end_of(after);
        let value = self.text.read(token, at, end);
        self.plate.entity.push(Entity { quantity, value });
        Some(end)
    }

    pub(super) fn caption(&mut self, at: usize) -> Option<usize> {
        self.text.worked(PARTLY);
        let rest = &self.text.as_str()[at..];
        if let Ok((after, raw)) = captions::warning(rest) {
            let end = self.end_of(after);
            let token = Token::strict(raw.trim_end().to_owned());
            self.plate.warnings.push(self.text.read(token, at, end));
            return Some(end);
        }
        if let Ok((after, _)) = certificate::caption(rest) {
            return Some(self.end_of(after));
        }
        if let Ok((after, raw)) = captions::other_range(&self.text.as_str()[..at], rest) {
            let end = self.end_of(after);
            let token = Token::strict(raw.replace('\n', " "));
            self.plate.ratings.push(self.text.read(token, at, end));
            return Some(end);
        }
        // What follows such a word is read as ratings of their own.
        if let Ok((after, _)) = captions::before_rating(rest) {
            return Some(self.end_of(after));
        }
        let (after, (kind, value)) = captions::captioned(rest).ok()?;
        let mut end = self.end_of(after);
        let mut value = value;
        let mut start = end - value.len();
        if value.is_empty() {
            // In a ruled box the value stands under its caption.
            let ahead = captions::start(&self.text.as_str()[end..], captions::LONGEST_VALUE);
            let line_end = ahead.find('\n')? + end + 1;
            let below = captions::start(&self.text.as_str()[line_end..], captions::LONGEST_VALUE);
            let stop = below.find('\n').unwrap_or(below.len());
            let candidate = below[..stop].trim_end();
            let fits = match kind {
                Caption::Year => captions::year(candidate).is_some(),
                _ => {
                    candidate.chars().any(|c| c.is_ascii_digit())
                        && !candidate.contains(' ')
                        && !ex::opens(candidate)
                }
            };
            if !fits {
                return Some(end);
            }
            value = candidate;
            start = line_end;
            end = line_end + value.len();
        }
        if value.is_empty() {
            return Some(end);
        }
        let read = self.text.read(Token::strict(value.to_owned()), start, end);
        let slot = match kind {
            Caption::Serial => &mut self.plate.serial,
            Caption::Kind => &mut self.plate.kind,
            Caption::Maker => &mut self.plate.maker,
            Caption::Year => {
                if let Some(year) = captions::year(value) {
                    self.plate.year.get_or_insert(read.map(|_| year));
                }
                return Some(end);
            }
        };
        match slot {
            None => *slot = Some(read),
            // The first one counts; another one is kept beside it.
            Some(first) if first.value != read.value && !first.rivals.contains(&read.value) => {
                first.rivals.push(read.value);
            }
            Some(_) => {}
        }
        Some(end)
    }

    /// `TA 170 °C`, `TA,T6` behind the IP code of an old dust type: no ambient.
    fn practice(&mut self, at: usize) -> Option<usize> {
        let rest = &self.text.as_str()[at..];
        let letters = rest.strip_prefix('T')?;
        let old = match self.found.items.last() {
            Some(Item::String(draft)) => draft.is_old_dust() && draft.dust_temperature.is_none(),
            _ => false,
        };
        if !old || !letters.trim_start_matches('_').starts_with(['A', 'B']) {
            return None;
        }
        let (after, token) = temperature::by_practice(rest)
            .or_else(|_| temperature::class_by_practice(rest))
            .ok()?;
        let end = self.end_of(after);
        let read = self.text.read(token, at, end);
        self.found.items.push(Item::Celsius(at, end, read));
        Some(end)
    }

    /// An ambient stands before it on the line: the class belongs to that one, not to the next.
    fn behind_temperature(&self, at: usize) -> bool {
        // Few signs can stand between, so the search is bounded.
        const NEAR: usize = 8;
        let before = self.text.as_str()[..at].chars().rev().take(NEAR);
        let mut before = before.skip_while(|c| " ,;:=/|-([".contains(*c));
        before
            .next()
            .is_some_and(|c| matches!(c, 'C' | 'c' | 'F' | '°') || c.is_ascii_digit())
    }

    fn table(&mut self, at: usize, after: &str, classes: Vec<AmbientClass>) -> usize {
        self.text.worked(ROW * classes.len());
        let end = self.end_of(after);
        let read = self.text.read(Token::strict(classes), at, end);
        self.found.items.push(Item::Table(at, end, read));
        end
    }

    /// Pieces of a marking away from its string: a temperature behind the IP code, a class after
    /// several division markings, an EPL behind the ambient range.
    pub(super) fn piece(&mut self, at: usize) -> Option<usize> {
        // It is asked last, so whatever else could refuse the word has done so.
        self.text.worked(REFUSED - PARTLY);
        let rest = &self.text.as_str()[at..];
        if rest.starts_with(['T', 't'])
            && let Ok((after, token)) = temperature::dust(rest)
        {
            let end = self.end_of(after);
            let read = self.text.read(token, at, end);
            self.found.items.push(Item::Celsius(at, end, read));
            return Some(end);
        }
        if rest.starts_with('T')
            && !self.behind_temperature(at)
            && let Ok((after, classes)) = temperature::table(rest)
        {
            return Some(self.table(at, after, classes));
        }
        if rest.starts_with('T')
            && let Ok((after, token)) = temperature::class(rest)
        {
            let end = self.end_of(after);
            let read = self.text.read(token, at, end);
            self.found.items.push(Item::Class(at, end, read));
            return Some(end);
        }
        let (after, token) = epl::strict(rest).ok()?;
        let end = self.end_of(after);
        let read = self.text.read(token, at, end);
        self.found.items.push(Item::Level(at, end, read));
        Some(end)
    }

    pub(super) fn rating(&mut self, at: usize) -> Option<usize> {
        let rest = &self.text.as_str()[at..];
        let (after, raw) = captions::rating(rest).ok()?;
        let end = self.end_of(after);
        let token = Token::strict(raw.to_owned());
        self.plate.ratings.push(self.text.read(token, at, end));
        Some(end)
    }
}
