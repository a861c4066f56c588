//! Facts that an expert of the trade checks row by row, made from `parser/data/*.csv`.
//!
//! What stands here is the shape of a row and how it is asked; the rows are generated, one file a
//! table, by `parser/tests/tables.rs`. Standard, edition, clause and how a row is known stay in the
//! CSV, where people read them.

mod classes;
mod groups;
mod ip;
mod letters;
pub(crate) mod look_alikes;
mod types;
pub(crate) mod years;
mod zones;

use crate::marking::{Atmosphere, Category, Group, Level, ProtectionType, TClass};
use crate::place::Zone;
pub(crate) use classes::CLASSES;
pub(crate) use groups::GROUPS;
pub(crate) use ip::{IP_BY_TYPE, IP_FOR_DUST};
pub(crate) use letters::NEC_LETTERS;
pub(crate) use types::TYPES;
pub(crate) use zones::ZONES;

/// A type of protection with one level, and the EPL that it is worth in each atmosphere.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TypeRow {
    pub(crate) kind: ProtectionType,
    /// Level as printed behind the type; empty for a type printed without one.
    pub(crate) level: &'static str,
    pub(crate) gas: Option<Level>,
    pub(crate) dust: Option<Level>,
    pub(crate) mine: Option<Level>,
    pub(crate) group_letter: GroupLetter,
    pub(crate) standard: &'static str,
}

/// What a type asks of a bare `II`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum GroupLetter {
    /// `II` is complete.
    Complete,
    /// `II` is complete on plates of the generation `EEx` alone.
    Old,
    /// The letter belongs there; without it nobody can tell.
    Asked,
    /// The letter belongs there, and its lack is to be asked about.
    Review,
    /// Nothing is settled for it: no finding, and no answer.
    Unsettled,
}

impl TypeRow {
    /// The row of a type with a level; none where no standard knows it.
    pub(crate) fn of(kind: ProtectionType, level: &str) -> Option<&'static Self> {
        TYPES
            .iter()
            .find(|row| row.kind == kind && row.level == level)
    }

    /// What the type is worth in one atmosphere; none where it is not defined there.
    pub(crate) fn level_in(&self, atmosphere: Atmosphere) -> Option<Level> {
        match atmosphere {
            Atmosphere::Gas => self.gas,
            Atmosphere::Dust => self.dust,
            Atmosphere::Mine => self.mine,
        }
    }
}

/// A temperature class.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ClassRow {
    pub(crate) class: TClass,
    /// Highest surface temperature in °C.
    pub(crate) max_surface_c: f64,
    /// The class that it divides; none for the classes that every code has.
    pub(crate) divides: Option<TClass>,
}

/// An equipment group; within an atmosphere a higher rank covers a lower one, 0 covers none.
#[derive(Debug)]
pub(crate) struct GroupRow {
    pub(crate) group: Group,
    pub(crate) atmosphere: Atmosphere,
    pub(crate) rank: u8,
}

/// A North American group letter.
#[derive(Debug)]
pub(crate) struct LetterRow {
    pub(crate) letter: char,
    /// 1 gas, 2 dust.
    pub(crate) class: u8,
    /// IEC group that its substances usually have.
    pub(crate) usual: Group,
    /// IEC group that covers every substance of the letter.
    pub(crate) every: Group,
}

/// A zone with the least EPL and the category for it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ZoneRow {
    pub(crate) zone: Zone,
    /// Number as printed; none for mines.
    pub(crate) printed: Option<u8>,
    pub(crate) atmosphere: Atmosphere,
    pub(crate) level: Level,
    pub(crate) category: Category,
}

impl ZoneRow {
    /// The row of a printed number.
    pub(crate) fn printed(number: u8) -> Option<&'static Self> {
        ZONES.iter().find(|row| row.printed == Some(number))
    }
}

/// The least IP figures of a type; the first row that fits holds.
#[derive(Debug)]
pub(crate) struct IpRow {
    pub(crate) kind: ProtectionType,
    /// Levels; empty for any.
    pub(crate) levels: &'static [&'static str],
    /// Groups; empty for any.
    pub(crate) groups: &'static [Group],
    pub(crate) solids: u8,
    pub(crate) water: u8,
}

impl IpRow {
    /// The first row that fits a type with a level and a group.
    pub(crate) fn of(
        rows: &'static [Self],
        kind: ProtectionType,
        level: &str,
        group: &Group,
    ) -> Option<&'static Self> {
        rows.iter().find(|row| {
            row.kind == kind
                && (row.levels.is_empty() || row.levels.contains(&level))
                && (row.groups.is_empty() || row.groups.contains(group))
        })
    }
}

/// What a text is taken for, and what it may be besides.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LookAlike {
    pub(crate) read: &'static str,
    pub(crate) meant: &'static str,
    /// Other things that the shape allows.
    pub(crate) rivals: &'static [&'static str],
    /// Name of the repair.
    pub(crate) repair: &'static str,
}

impl LookAlike {
    /// The row of one character.
    pub(crate) fn of(rows: &'static [Self], read: char) -> Option<&'static Self> {
        rows.iter().find(|row| {
            let mut chars = row.read.chars();
            chars.next() == Some(read) && chars.next().is_none()
        })
    }

    /// The row whose text the input begins with, and the rest.
    pub(crate) fn prefix<'a>(
        rows: &'static [Self],
        input: &'a str,
    ) -> Option<(&'a str, &'static Self)> {
        rows.iter()
            .find_map(|row| Some((input.strip_prefix(row.read)?, row)))
    }

    /// The character that is meant by one that was read.
    pub(crate) fn meant(rows: &'static [Self], read: char) -> Option<char> {
        Self::of(rows, read).and_then(|row| row.meant.chars().next())
    }

    /// The text with every character that was read put right.
    pub(crate) fn tidy(rows: &'static [Self], text: &str) -> String {
        text.chars()
            .map(|c| Self::meant(rows, c).unwrap_or(c))
            .collect()
    }
}
