//! The words for a zone, as people write them.

use super::Zone;
use crate::{Message, message};
use std::fmt;
use std::str::FromStr;

/// The text is no zone, mine, division or non-hazardous place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UnknownZone;

impl fmt::Display for UnknownZone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(
            "write 0, 1, 2, 20, 21, 22, mine-M1, mine-M2, non-hazardous or \
             'Class I, Division 1'",
        )
    }
}

impl std::error::Error for UnknownZone {}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Zone0 => "0",
            Self::Zone1 => "1",
            Self::Zone2 => "2",
            Self::Zone20 => "20",
            Self::Zone21 => "21",
            Self::Zone22 => "22",
            Self::MineM1 => "mine-M1",
            Self::MineM2 => "mine-M2",
            Self::NonHazardous => "non-hazardous",
            Self::Division { class, division } => {
                let class = match class {
                    1 => "I",
                    2 => "II",
                    _ => "III",
                };
                return write!(f, "Class {class}, Division {division}");
            }
        })
    }
}

impl Zone {
    /// The zone in a sentence: `zone 1`, `a mine (M2)`, `Class I, Division 1`.
    pub fn words(self) -> Message {
        match self {
            Self::MineM1 => message!("place-mine-m1"),
            Self::MineM2 => message!("place-mine-m2"),
            Self::NonHazardous => message!("place-non-hazardous"),
            Self::Division { .. } => Message::verbatim(self),
            _ => message!("place-zone", zone = self.to_string()),
        }
    }
}

fn roman(word: &str) -> Option<u8> {
    match word {
        "i" | "1" => Some(1),
        "ii" | "2" => Some(2),
        "iii" | "3" => Some(3),
        _ => None,
    }
}

fn division(words: &[&str]) -> Option<Zone> {
    let [class_word, class, division_word, division] = words else {
        return None;
    };
    if !matches!(*class_word, "class" | "cl") || !matches!(*division_word, "division" | "div") {
        return None;
    }
    let division = match *division {
        "1" | "i" => 1,
        "2" | "ii" => 2,
        _ => return None,
    };
    Some(Zone::Division {
        class: roman(class)?,
        division,
    })
}

impl FromStr for Zone {
    type Err = UnknownZone;

    /// Reads `1`, `Zone 1`, `zone-1`, `Class I, Division 1`, `CL I DIV 2`, `mine-M1`,
    /// `non-hazardous`; case and punctuation do not count.
    fn from_str(text: &str) -> Result<Self, UnknownZone> {
        let spaced: String = text
            .to_lowercase()
            .chars()
            .map(|c| if "-_,.:;".contains(c) { ' ' } else { c })
            .collect();
        let words: Vec<&str> = spaced.split_whitespace().collect();
        let words = match words.as_slice() {
            ["zone", rest @ ..] if !rest.is_empty() => rest,
            all => all,
        };
        Ok(match words {
            ["0" | "zone0"] => Self::Zone0,
            ["1" | "zone1"] => Self::Zone1,
            ["2" | "zone2"] => Self::Zone2,
            ["20" | "zone20"] => Self::Zone20,
            ["21" | "zone21"] => Self::Zone21,
            ["22" | "zone22"] => Self::Zone22,
            ["mine", "m1"] => Self::MineM1,
            ["mine", "m2"] => Self::MineM2,
            ["non", "hazardous"] | ["nonhazardous"] => Self::NonHazardous,
            _ => return division(words).ok_or(UnknownZone),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_ways_to_write_a_zone() {
        let div = |class, division| Zone::Division { class, division };
        for (text, zone) in [
            ("1", Zone::Zone1),
            ("Zone 1", Zone::Zone1),
            ("zone-1", Zone::Zone1),
            ("zone22", Zone::Zone22),
            ("mine-M1", Zone::MineM1),
            ("MINE M2", Zone::MineM2),
            ("non-hazardous", Zone::NonHazardous),
            ("Class I, Division 1", div(1, 1)),
            ("Class I Div 1", div(1, 1)),
            ("CL I DIV 2", div(1, 2)),
            ("Class II, Div. 2", div(2, 2)),
            ("Class III, Division 1", div(3, 1)),
        ] {
            assert_eq!(text.parse(), Ok(zone), "{text}");
        }
        for text in [
            "7",
            "3",
            "",
            "zone",
            "Class I",
            "Class IV, Division 1",
            "Class I, Division 3",
            "1 2",
            "01",
        ] {
            assert_eq!(text.parse::<Zone>(), Err(UnknownZone), "{text}");
        }
    }

    #[test]
    fn text_and_back() {
        let mut all = vec![
            Zone::Zone0,
            Zone::Zone1,
            Zone::Zone2,
            Zone::Zone20,
            Zone::Zone21,
            Zone::Zone22,
            Zone::MineM1,
            Zone::MineM2,
            Zone::NonHazardous,
        ];
        all.extend(
            (1..=3)
                .flat_map(|class| (1..=2).map(move |division| Zone::Division { class, division })),
        );
        for zone in all {
            assert_eq!(zone.to_string().parse(), Ok(zone));
        }
    }
}
