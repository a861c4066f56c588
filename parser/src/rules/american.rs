//! North American markings and places: class, division, letters, and the doors between
//! divisions and zones.

mod at_division;
mod at_zone;
mod letters;

use super::level::needed;
use super::{Case, Rule};
use crate::marking::{Atmosphere, Epl, Group, Level, Scheme};
use crate::tables::ZoneRow;
use crate::verdict::{Ground, Outcome};
use crate::{Message, message};

/// Divisions and zones meet only under the North American codes; under IEC and ATEX rules a
/// division plate is no evidence, so every crossing is conditional at best.
pub(super) struct NorthAmerica;

const fn class_of(atmosphere: Atmosphere) -> u8 {
    match atmosphere {
        Atmosphere::Gas => 1,
        _ => 2,
    }
}

const fn numeral(class: u8) -> &'static str {
    match class {
        1 => "I",
        2 => "II",
        _ => "III",
    }
}

fn letters(group: Option<&Group>) -> Option<Vec<char>> {
    match group {
        Some(Group::American(letters)) => Some(letters.clone()),
        _ => None,
    }
}

fn shown(letters: &[char]) -> String {
    let all: Vec<String> = letters.iter().map(char::to_string).collect();
    all.join(", ")
}

impl NorthAmerica {
    fn say(&self, case: &Case<'_>, outcome: Outcome, detail: Message) -> Ground {
        let spans = case.marking().into_iter().flat_map(|m| {
            m.group
                .iter()
                .map(|g| g.span)
                .chain(m.spans.iter().copied())
        });
        case.ground(self, outcome, detail).at(spans)
    }
}

impl Rule for NorthAmerica {
    fn id(&self) -> &'static str {
        "north-america"
    }
    fn question(&self) -> &'static str {
        "Do class, division and letters fit, and is the marking approved for this kind of place?"
    }
    fn source(&self) -> &'static str {
        "NEC 500.6, 500.8, 501.5, 505.20; CEC Section 18 (checked in part)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let (Some(marking), Some(atmosphere)) = (case.marking(), case.atmosphere) else {
            return Vec::new();
        };
        let division_marking = marking.scheme == Scheme::NecDivision;
        match (case.place.division(), division_marking) {
            (Some(place), true) => self.division_at_division(case, marking, place),
            (Some(place), false) => self.zone_at_division(case, marking, atmosphere, place),
            (None, true) => self.division_at_zone(case, marking, atmosphere),
            (None, false) => {
                let american =
                    marking.aex || matches!(marking.scheme, Scheme::NecZone | Scheme::Cec);
                if !american {
                    return Vec::new();
                }
                let mut grounds = vec![
                    self.say(
                        case,
                        Outcome::Conditional,
                        message!("american-approval-not-shown"),
                    )
                    .next(message!("next-which-code")),
                ];
                // The printed zone is what the item is listed for, even if its EPL is stronger.
                if let Some(zone) = &marking.american.zone
                    && let Some((need, why)) = needed(case.place, atmosphere)
                {
                    let level = ZoneRow::printed(zone.value).map_or(Level::C, |row| row.level);
                    if !Epl::new(need.atmosphere, level).covers(need) {
                        grounds.push(
                            self.say(
                                case,
                                Outcome::Undecided,
                                message!("american-printed-zone", zone = zone.value, place = why),
                            )
                            .at([zone.span]),
                        );
                    }
                }
                grounds
            }
        }
    }
}
