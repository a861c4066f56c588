//! Markings at a class and division.

use super::{NorthAmerica, letters, numeral, shown};
use crate::marking::{Atmosphere, Group, Level, Marking, ProtectionType, Scheme};
use crate::message;
use crate::rules::Case;
use crate::rules::group::{dust_group, letter_group};
use crate::verdict::{Ground, Outcome};

/// The division that the marking is good for: the printed one, or what its types of protection
/// bound it to where none is printed.
pub(super) fn divided(marking: &Marking) -> Option<u8> {
    let printed = marking.american.division.as_ref().map(|d| d.value);
    let bound = marking
        .own_protections()
        .any(|p| p.kind.value.is_division_two());
    printed.or(bound.then_some(2))
}

impl NorthAmerica {
    /// A type of protection that says nothing by itself.
    pub(super) fn special(&self, case: &Case<'_>, marking: &Marking) -> Option<Ground> {
        let special = marking
            .own_protections()
            .find(|p| p.kind.value == ProtectionType::AmericanSpecial)?;
        let detail = message!("american-special", kind = special.printed());
        Some(
            self.say(case, Outcome::Undecided, detail)
                .next(message!("next-certificate-level")),
        )
    }

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
                message!("american-class-differs", have = have, need = numeral(class)),
            ));
        }
        grounds.extend(self.special(case, marking));
        let ground = match divided(marking) {
            None => (Outcome::Suitable, message!("american-no-division")),
            Some(1) => (Outcome::Suitable, message!("american-division-one")),
            Some(2) if division == 2 => (Outcome::Suitable, message!("american-division-two")),
            Some(2) => (
                Outcome::Unsuitable,
                message!("american-division-two-in-one"),
            ),
            Some(other) => (
                Outcome::Undecided,
                message!("american-no-such-division", division = other),
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
                .say(case, Outcome::Undecided, message!("american-no-letters"))
                .next(message!("next-certificate-letters")),
            (Some(need), Some(have)) => {
                let missing: Vec<char> =
                    need.iter().copied().filter(|l| !have.contains(l)).collect();
                if missing.is_empty() {
                    self.say(
                        case,
                        Outcome::Suitable,
                        message!(
                            "american-letters-among",
                            need = shown(&need),
                            have = shown(&have)
                        ),
                    )
                } else {
                    self.say(
                        case,
                        Outcome::Unsuitable,
                        message!(
                            "american-letters-not-among",
                            need = shown(&missing),
                            have = shown(&have)
                        ),
                    )
                }
            }
            (None, Some(have)) if class == 2 && every.iter().all(|l| have.contains(l)) => self.say(
                case,
                Outcome::Suitable,
                message!("american-letters-every-dust", have = shown(&have)),
            ),
            (None, Some(_)) => self
                .say(
                    case,
                    Outcome::Undecided,
                    message!("american-letter-not-given"),
                )
                .next(message!("next-give-letter")),
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
                        message!(
                            "american-only-by-letter-given",
                            given = shown(&given),
                            table = shown(&named)
                        ),
                    )
                    .next(message!("next-prove-letter")),
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
            (Atmosphere::Gas, Level::A) => 0_u8,
            (Atmosphere::Gas, Level::B) => 1_u8,
            (Atmosphere::Gas, Level::C) => 2_u8,
            (_, Level::A) => 20_u8,
            (_, Level::B) => 21_u8,
            (_, Level::C) => 22_u8,
        };
        let intrinsic = marking.own_protections().next().is_some()
            && marking
                .own_protections()
                .all(|p| p.kind.value == ProtectionType::IntrinsicSafety && p.level == "a");
        let (outcome, detail) = match level {
            None => (Outcome::Undecided, message!("american-no-level")),
            Some(_) if class == 3 => (Outcome::Undecided, message!("american-zone-in-class-three")),
            Some(level @ (Level::B | Level::C)) if division == 1 => (
                Outcome::Unsuitable,
                message!("american-zone-not-in-one", zone = zone(level)),
            ),
            Some(Level::A) if division == 1 && class == 1 && intrinsic => {
                (Outcome::Conditional, message!("american-zone-0-in-one"))
            }
            Some(level) if division == 1 => (
                Outcome::Undecided,
                message!("american-zone-asked-ia", zone = zone(level)),
            ),
            Some(level) if class == 1 => (
                Outcome::Conditional,
                message!("american-zone-in-two", zone = zone(level)),
            ),
            Some(level) => (
                Outcome::Undecided,
                message!("american-zone-in-class-two", zone = zone(level)),
            ),
        };
        grounds.push(
            self.say(case, outcome, detail)
                .next(message!("next-ask-authority")),
        );
        if !american {
            grounds.push(
                self.say(case, Outcome::Undecided, message!("american-no-approval"))
                    .next(message!("next-find-american")),
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
                    message!("american-dust-by-letter", have = have.group, need = need),
                ),
                (Ok(have), Some(need)) => self.say(
                    case,
                    Outcome::Unsuitable,
                    message!("group-covers-not", have = have.group, need = need),
                ),
                (Ok(have), None) if have.group == Group::IIIC => self.say(
                    case,
                    Outcome::Suitable,
                    message!("american-iiic-every-dust"),
                ),
                (Ok(_), None) => self.say(
                    case,
                    Outcome::Undecided,
                    message!("american-dust-letter-not-given"),
                ),
            });
        }
        grounds
    }
}
