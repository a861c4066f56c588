//! Equipment protection levels.

use std::fmt;
use std::str::FromStr;

/// What fills the air at a place, and so which family of markings counts there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Atmosphere {
    /// Gas, vapour or mist on the surface (group II).
    Gas,
    /// Combustible dust, fibres or flyings (group III).
    Dust,
    /// Mines susceptible to firedamp (group I).
    Mine,
}

/// Level of protection; `A` is the strongest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Level {
    /// Very high: safe with two faults or in rare malfunction.
    A,
    /// High: safe in expected malfunction.
    B,
    /// Enhanced: safe in normal operation.
    C,
}

impl Level {
    /// The letter as printed.
    pub fn letter(self) -> char {
        match self {
            Self::A => 'a',
            Self::B => 'b',
            Self::C => 'c',
        }
    }

    /// Reads the printed letter.
    pub fn from_letter(letter: char) -> Option<Self> {
        match letter {
            'a' => Some(Self::A),
            'b' => Some(Self::B),
            'c' => Some(Self::C),
            _ => None,
        }
    }

    /// The weaker of two levels.
    #[must_use]
    pub fn weaker(self, other: Self) -> Self {
        self.max(other)
    }
}

/// An equipment protection level, `Ga` to `Dc`, `Ma`, `Mb`.
///
/// **Source:** IEC 60079-0:2017 clause 3 (definitions of EPL).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Epl {
    /// Gas, dust or mine.
    pub atmosphere: Atmosphere,
    /// a, b or c.
    pub level: Level,
}

impl Epl {
    /// Builds one; `Mc` does not exist and is read as nothing by `FromStr`.
    pub const fn new(atmosphere: Atmosphere, level: Level) -> Self {
        Self { atmosphere, level }
    }

    /// True if equipment of this level may stand where `need` is asked for.
    /// G never replaces D, nor the reverse.
    pub fn covers(self, need: Epl) -> bool {
        self.atmosphere == need.atmosphere && self.level <= need.level
    }
}

impl fmt::Display for Epl {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let letter = match self.atmosphere {
            Atmosphere::Gas => 'G',
            Atmosphere::Dust => 'D',
            Atmosphere::Mine => 'M',
        };
        write!(f, "{letter}{}", self.level.letter())
    }
}

/// The text is no equipment protection level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NonLevel;

impl fmt::Display for NonLevel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("expected an equipment protection level: Ga, Gb, Gc, Da, Db, Dc, Ma or Mb")
    }
}

impl std::error::Error for NonLevel {}

impl FromStr for Epl {
    type Err = NonLevel;

    fn from_str(text: &str) -> Result<Self, NonLevel> {
        let mut letters = text.chars();
        let (Some(first), Some(second), None) = (letters.next(), letters.next(), letters.next())
        else {
            return Err(NonLevel);
        };
        let atmosphere = match first {
            'G' => Atmosphere::Gas,
            'D' => Atmosphere::Dust,
            'M' => Atmosphere::Mine,
            _ => return Err(NonLevel),
        };
        let level = Level::from_letter(second).ok_or(NonLevel)?;
        if atmosphere == Atmosphere::Mine && level == Level::C {
            return Err(NonLevel);
        }
        Ok(Self { atmosphere, level })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_back() {
        for text in ["Ga", "Gb", "Gc", "Da", "Db", "Dc", "Ma", "Mb"] {
            assert_eq!(text.parse::<Epl>().map(|e| e.to_string()), Ok(text.into()));
        }
        for text in ["Mc", "Gd", "G", "Gaa", "", "ga"] {
            assert_eq!(text.parse::<Epl>(), Err(NonLevel));
        }
    }

    #[test]
    fn gas_never_replaces_dust() {
        let ga: Epl = "Ga".parse().unwrap();
        assert!(ga.covers("Gc".parse().unwrap()));
        assert!(!ga.covers("Dc".parse().unwrap()));
        assert!(!"Gb".parse::<Epl>().unwrap().covers(ga));
    }
}
