//! Does a Class II or III item keep the temperature that its dust or fibres permit?

use super::limit::{Limit, limit};
use super::{Case, Rule};
use crate::marking::{Atmosphere, Group, Scheme};
use crate::message;
use crate::place::NamedSubstance;
use crate::verdict::{Ground, Outcome};

/// Class II: below the lower of cloud and layer ignition temperature, and for organic dust
/// that may dehydrate or carbonise at most 165 °C; not known whether organic counts as
/// organic. Class III: 165 °C, or 120 °C where the item may be overloaded.
pub(super) struct DustClass;

const ORGANIC_C: f64 = 165.0;
const OVERLOAD_C: f64 = 120.0;

impl Rule for DustClass {
    fn id(&self) -> &'static str {
        "dust-class-temperature"
    }
    fn question(&self) -> &'static str {
        "Does a Class II or III item keep the temperature that its dust permits?"
    }
    fn source(&self) -> &'static str {
        "NEC 500.8(D) (checked)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let (Some(marking), Some(Atmosphere::Dust)) = (case.marking(), case.atmosphere) else {
            return Vec::new();
        };
        let class = match case.place.division() {
            Some((class @ (2 | 3), _)) => class,
            _ if marking.scheme == Scheme::NecDivision => 2,
            _ => return Vec::new(),
        };
        let (surface, words) = match &marking.dust_temperature {
            Some(t) => (
                t.value.celsius,
                message!("surface-at-most", celsius = t.value.celsius),
            ),
            None => match limit(case, marking) {
                Limit::Fixed(s) => (s.celsius, s.words),
                Limit::Between { worst, .. } => (worst.celsius, worst.words),
                Limit::Unknown(why) => {
                    return vec![case.ground(self, Outcome::Undecided, why)];
                }
            },
        };
        let place = case.place;
        let mut grounds = Vec::new();
        if class == 3 {
            let outcome = if surface > ORGANIC_C {
                Outcome::Unsuitable
            } else if surface > OVERLOAD_C {
                Outcome::Conditional
            } else {
                Outcome::Suitable
            };
            let detail = message!("dust-class-three", surface = words);
            let ground = case.ground(self, outcome, detail);
            grounds.push(if outcome == Outcome::Conditional {
                ground.next(message!("next-no-overload"))
            } else {
                ground
            });
        } else {
            let metal = matches!(&place.dust_group, Some(Group::American(l)) if l.iter().all(|l| *l == 'E'));
            let named = place
                .dusts
                .iter()
                .map(NamedSubstance::dust)
                .collect::<Vec<_>>();
            let organic = if named.is_empty() {
                !metal
            } else {
                named.iter().any(|d| d.is_none_or(|d| d.organic))
            };
            if organic {
                let passes = surface <= ORGANIC_C;
                let (outcome, detail) = if passes {
                    let detail = message!("dust-class-organic-within", surface = &words);
                    (Outcome::Suitable, detail)
                } else {
                    let detail = message!("dust-class-organic-above", surface = &words);
                    (Outcome::Unsuitable, detail)
                };
                grounds.push(case.ground(self, outcome, detail));
            }
            let table = |pick: fn(&crate::substance::Dust) -> Option<f64>| {
                if named.iter().any(Option::is_none) {
                    return None;
                }
                named
                    .iter()
                    .flatten()
                    .filter_map(|d| pick(d))
                    .min_by(f64::total_cmp)
            };
            let measured = [place.cloud_ignition_c, place.layer_ignition_c]
                .into_iter()
                .flatten()
                .min_by(f64::total_cmp);
            for (name, field, given, from_table) in [
                (
                    message!("dust-cloud"),
                    "cloud_ignition_c",
                    place.cloud_ignition_c,
                    table(|d| Some(d.cloud.low_c)),
                ),
                (
                    message!("dust-layer"),
                    "layer_ignition_c",
                    place.layer_ignition_c,
                    table(|d| d.layer.map(|l| l.low_c)),
                ),
            ] {
                let (value, rests_on_table) = match (given, from_table) {
                    (Some(value), _) => (value, false),
                    // The lower of the two decides: a table value above one that was
                    // measured is no more than a word beside it.
                    (None, Some(value)) => (value, measured.is_none_or(|m| value < m)),
                    (None, None) => {
                        if place.max_surface_c.is_none() {
                            grounds.push(
                                case.ground(
                                    self,
                                    Outcome::Undecided,
                                    message!("dust-ignition-not-given", what = &name),
                                )
                                .next(message!(
                                    "next-give-dust-ignition",
                                    what = name,
                                    field = field
                                )),
                            );
                        }
                        continue;
                    }
                };
                let outcome = match (surface < value, rests_on_table) {
                    (false, _) => Outcome::Unsuitable,
                    (true, true) => Outcome::Conditional,
                    (true, false) => Outcome::Suitable,
                };
                let detail = if given.is_some() {
                    message!(
                        "dust-class-given",
                        surface = &words,
                        what = name,
                        celsius = value
                    )
                } else {
                    message!(
                        "dust-class-table",
                        surface = &words,
                        what = name,
                        celsius = value
                    )
                };
                let ground = case.ground(self, outcome, detail);
                grounds.push(if rests_on_table {
                    ground.next(message!("next-measure-dust", field = field))
                } else {
                    ground
                });
            }
        }
        let spans: Vec<_> = marking
            .temperature
            .iter()
            .map(|t| t.span)
            .chain(marking.dust_temperature.iter().map(|t| t.span))
            .collect();
        grounds
            .into_iter()
            .map(|g| {
                g.at(spans.clone())
                    .using("temperature of the plate", format!("{surface} °C"))
            })
            .collect()
    }
}
