//! Division markings at a zone.

use super::at_division::divided;
use super::{NorthAmerica, class_of, numeral};
use crate::marking::{Atmosphere, Level, Marking, ProtectionType};
use crate::message;
use crate::rules::Case;
use crate::rules::group::dust_group;
use crate::rules::level::needed;
use crate::verdict::{Ground, Outcome};

impl NorthAmerica {
    /// Division marking at an IEC zone.
    pub(super) fn division_at_zone(
        &self,
        case: &Case<'_>,
        marking: &Marking,
        atmosphere: Atmosphere,
    ) -> Vec<Ground> {
        let mut grounds = Vec::new();
        if marking
            .american
            .class
            .is_some_and(|c| c != class_of(atmosphere))
        {
            let class = numeral(marking.american.class.unwrap_or_default());
            grounds.push(self.say(
                case,
                Outcome::Unsuitable,
                message!("american-class-other-atmosphere", class = class),
            ));
            return grounds;
        }
        let Some((need, why)) = needed(case.place, atmosphere) else {
            grounds.push(
                self.say(case, Outcome::Undecided, message!("zone-not-given"))
                    .next(message!("next-give-zone")),
            );
            return grounds;
        };
        grounds.extend(self.special(case, marking));
        let division = divided(marking).unwrap_or(1);
        let intrinsic = marking.protections.iter().any(|p| {
            let intrinsic = [
                ProtectionType::IntrinsicSafety,
                ProtectionType::AmericanIntrinsicSafety,
            ];
            intrinsic.contains(&p.kind.value) && !p.associated
        });
        let (outcome, detail) = match (atmosphere, need.level, division) {
            (_, _, 0 | 3..) => (
                Outcome::Undecided,
                message!("american-no-such-division", division = division),
            ),
            (_, Level::A | Level::B, 2) => (
                Outcome::Unsuitable,
                message!("american-division-two-not-enough", place = &why),
            ),
            (Atmosphere::Gas, Level::A, _) if !intrinsic => (
                Outcome::Unsuitable,
                message!("american-division-one-only-i", place = &why),
            ),
            (Atmosphere::Gas, _, _) => (
                Outcome::Conditional,
                message!("american-only-under-nec", division = division, place = &why),
            ),
            _ => (
                Outcome::Undecided,
                message!("american-class-two-unknown", place = &why),
            ),
        };
        grounds.push(
            self.say(case, outcome, detail)
                .using("EPL needed", need)
                .next(message!("next-judged-under-nec")),
        );
        if atmosphere == Atmosphere::Gas {
            grounds.push(self.letters_for_iec_group(case, marking));
        } else {
            let need = case.place.dust_group.clone();
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
                (Ok(_), None) => {
                    self.say(case, Outcome::Undecided, message!("dust-group-not-given"))
                }
            });
        }
        grounds
    }
}
