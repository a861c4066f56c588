//! Division markings at a zone.

use super::{NorthAmerica, class_of, numeral};
use crate::marking::{Atmosphere, Level, Marking, ProtectionType};
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
                format!("Class {class} equipment does not speak of the atmosphere of the place"),
            ));
            return grounds;
        }
        let Some((need, why)) = needed(case.place, atmosphere) else {
            grounds.push(
                self.say(
                    case,
                    Outcome::Undecided,
                    "the zone of the place is not given".to_owned(),
                )
                .next("Give the zone of the place (zone)."),
            );
            return grounds;
        };
        let division = marking.american.division.as_ref().map_or(1, |d| d.value);
        let intrinsic = marking
            .protections
            .iter()
            .any(|p| p.kind.value == ProtectionType::IntrinsicSafety && !p.associated);
        let (outcome, detail) = match (atmosphere, need.level, division) {
            (_, _, 0 | 3..) => (
                Outcome::Undecided,
                format!("Division {division} does not exist"),
            ),
            (_, Level::A | Level::B, 2) => (
                Outcome::Unsuitable,
                format!("Division 2 equipment is not enough for {why}"),
            ),
            (Atmosphere::Gas, Level::A, _) if !intrinsic => (
                Outcome::Unsuitable,
                format!(
                    "Division 1 equipment may go to {why} only if intrinsically safe for Division 1"
                ),
            ),
            (Atmosphere::Gas, _, _) => (
                Outcome::Conditional,
                format!(
                    "Division {division} marking may serve {why} only under the NEC, not under IEC \
                     or ATEX rules"
                ),
            ),
            _ => (
                Outcome::Undecided,
                format!("whether a Class II marking may serve {why} is not known here"),
            ),
        };
        grounds.push(
            self.say(case, outcome, detail)
                .using("EPL needed", need)
                .next("Make sure that the place is judged under the NEC, or find an item marked for the zone."),
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
                    format!("{} covers {need}, by letter only", have.group),
                ),
                (Ok(have), Some(need)) => self.say(
                    case,
                    Outcome::Unsuitable,
                    format!("{} does not cover {need}", have.group),
                ),
                (Ok(_), None) => self.say(
                    case,
                    Outcome::Undecided,
                    "the dust group of the place is not given".to_owned(),
                ),
            });
        }
        grounds
    }
}
