//! Markings at a class and division.

use super::{NorthAmerica, letters, numeral, shown};
use crate::marking::{Atmosphere, Group, Level, Marking, ProtectionType, Scheme};
use crate::rules::Case;
use crate::rules::group::{dust_group, letter_group};
use crate::verdict::{Ground, Outcome};

impl NorthAmerica {
    /// Division marking at a division.
    pub(super) fn division_at_division(
        &self,
        case: &Case<'_>,
        marking: &Marking,
        (class, division): (u8, u8),
    ) -> Vec<Ground> {
        let mut grounds = Vec::new();
        let printed = marking.american.class;
        if printed.is_some_and(|c| c != class) {
            let have = numeral(printed.unwrap_or(class));
            grounds.push(self.say(
                case,
                Outcome::Unsuitable,
                format!("Class {have} equipment is not for Class {}", numeral(class)),
            ));
        }
        let ground = match marking.american.division.as_ref().map(|d| d.value) {
            None => (
                Outcome::Suitable,
                "no division printed: good for Divisions 1 and 2".to_owned(),
            ),
            Some(1) => (
                Outcome::Suitable,
                "Division 1 equipment is good for Divisions 1 and 2".to_owned(),
            ),
            Some(2) if division == 2 => (
                Outcome::Suitable,
                "Division 2 equipment in Division 2".to_owned(),
            ),
            Some(2) => (
                Outcome::Unsuitable,
                "Division 2 equipment is not for Division 1".to_owned(),
            ),
            Some(other) => (
                Outcome::Undecided,
                format!("Division {other} does not exist"),
            ),
        };
        grounds.push(self.say(case, ground.0, ground.1));
        if class == 3 {
            return grounds;
        }
        let group = if class == 1 {
            &case.place.gas_group
        } else {
            &case.place.dust_group
        };
        let needed = letters(group.as_ref()).or_else(|| Self::named_letters(case, class));
        let have = letters(marking.group.as_ref().map(|g| &g.value));
        let every: &[char] = if class == 1 {
            &['A', 'B', 'C', 'D']
        } else {
            &['E', 'F', 'G']
        };
        grounds.push(match (needed, have) {
            (_, None) => self
                .say(
                    case,
                    Outcome::Undecided,
                    "no group letters can be read".to_owned(),
                )
                .next("Take the group letters from the certificate."),
            (Some(need), Some(have)) => {
                let missing: Vec<char> =
                    need.iter().copied().filter(|l| !have.contains(l)).collect();
                if missing.is_empty() {
                    self.say(
                        case,
                        Outcome::Suitable,
                        format!(
                            "group {} is among the marked groups {}",
                            shown(&need),
                            shown(&have)
                        ),
                    )
                } else {
                    self.say(
                        case,
                        Outcome::Unsuitable,
                        format!(
                            "group {} is not among the marked groups {}",
                            shown(&missing),
                            shown(&have)
                        ),
                    )
                }
            }
            (None, Some(have)) if class == 2 && every.iter().all(|l| have.contains(l)) => self.say(
                case,
                Outcome::Suitable,
                format!("groups {} cover every dust of the class", shown(&have)),
            ),
            (None, Some(_)) => {
                self.say(
                    case,
                    Outcome::Undecided,
                    "the group letter of the place is not given".to_owned(),
                )
                .next("Give the group letter of the place (gas_group, or dust_group for Class II).")
            }
        });
        // The user's letter against the one a source names for the gas.
        if class == 1
            && let Some(given) = letters(case.place.gas_group.as_ref())
            && let Some(named) = Self::named_letters(case, class)
        {
            let have = letters(marking.group.as_ref().map(|g| &g.value)).unwrap_or_default();
            let missing: Vec<char> = named
                .iter()
                .copied()
                .filter(|l| !have.contains(l))
                .collect();
            if named != given && !missing.is_empty() {
                grounds.push(
                    self.say(
                        case,
                        Outcome::Conditional,
                        format!(
                            "only by group {} as given: in the table the gas is group {}",
                            shown(&given),
                            shown(&named)
                        ),
                    )
                    .next("Prove the group letter that was given."),
                );
            }
        }
        grounds
    }

    /// Letters that sources name for every named gas, or that follow from the dust groups.
    fn named_letters(case: &Case<'_>, class: u8) -> Option<Vec<char>> {
        if class != 1 || case.place.gases.is_empty() {
            return None;
        }
        let mut out = Vec::new();
        for gas in &case.place.gases {
            let letter = gas.gas()?.nec_group?;
            if !out.contains(&letter) {
                out.push(letter);
            }
        }
        Some(out)
    }

    /// Zone marking (`AEx`, Canadian or plain `Ex`) at a division.
    pub(super) fn zone_at_division(
        &self,
        case: &Case<'_>,
        marking: &Marking,
        atmosphere: Atmosphere,
        (class, division): (u8, u8),
    ) -> Vec<Ground> {
        let mut grounds = Vec::new();
        let sides = marking.weaker_sides(atmosphere);
        let level = sides.iter().map(|e| e.level).max();
        let american = marking.aex || matches!(marking.scheme, Scheme::NecZone | Scheme::Cec);
        let zone = |level: Level| match (atmosphere, level) {
            (Atmosphere::Gas, Level::A) => "zone 0",
            (Atmosphere::Gas, Level::B) => "zone 1",
            (Atmosphere::Gas, Level::C) => "zone 2",
            (_, Level::A) => "zone 20",
            (_, Level::B) => "zone 21",
            (_, Level::C) => "zone 22",
        };
        let intrinsic = marking.own_protections().next().is_some()
            && marking
                .own_protections()
                .all(|p| p.kind.value == ProtectionType::IntrinsicSafety && p.level == "a");
        let (outcome, detail) = match level {
            None => (
                Outcome::Undecided,
                "the level cannot be told from the plate".to_owned(),
            ),
            Some(_) if class == 3 => (
                Outcome::Undecided,
                "no rule is known here for zone equipment in Class III".to_owned(),
            ),
            Some(level @ (Level::B | Level::C)) if division == 1 => (
                Outcome::Unsuitable,
                format!("{} equipment is not accepted in Division 1", zone(level)),
            ),
            Some(Level::A) if division == 1 && class == 1 && intrinsic => (
                Outcome::Conditional,
                "zone 0 intrinsically safe equipment may be accepted in Division 1 for the same \
                 gas under the NEC"
                    .to_owned(),
            ),
            Some(level) if division == 1 => (
                Outcome::Undecided,
                format!(
                    "{} equipment in Division 1 is asked to be intrinsically safe (ia)",
                    zone(level)
                ),
            ),
            Some(level) if class == 1 => (
                Outcome::Conditional,
                format!(
                    "{} equipment may be used in Division 2 for the same gas under the NEC",
                    zone(level)
                ),
            ),
            Some(level) => (
                Outcome::Undecided,
                format!(
                    "no rule is known here for {} equipment in Class II",
                    zone(level)
                ),
            ),
        };
        grounds.push(self.say(case, outcome, detail).next(
            "Ask the authority having jurisdiction whether the item is approved for this place.",
        ));
        if !american {
            grounds.push(
                self.say(
                    case,
                    Outcome::Undecided,
                    "an IEC or ATEX marking is no approval under the North American codes"
                        .to_owned(),
                )
                .next("Find an item marked AEx or with class and division."),
            );
        }
        if atmosphere == Atmosphere::Gas {
            grounds.extend(self.iec_group_for_letters(case, marking));
        } else {
            let need = letters(case.place.dust_group.as_ref())
                .and_then(|l| l.into_iter().map(letter_group).max());
            grounds.push(match (dust_group(case, marking), need) {
                (Err(why), _) => self.say(case, Outcome::Undecided, why),
                (Ok(have), Some(need)) if have.group >= need => self.say(
                    case,
                    Outcome::Conditional,
                    format!("group {} covers {need}, by letter only", have.group),
                ),
                (Ok(have), Some(need)) => self.say(
                    case,
                    Outcome::Unsuitable,
                    format!("group {} does not cover {need}", have.group),
                ),
                (Ok(have), None) if have.group == Group::IIIC => self.say(
                    case,
                    Outcome::Suitable,
                    "group IIIC covers every dust".to_owned(),
                ),
                (Ok(_), None) => self.say(
                    case,
                    Outcome::Undecided,
                    "the group letter of the dust is not given".to_owned(),
                ),
            });
        }
        grounds
    }
}
