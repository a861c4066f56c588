//! Do all surfaces stay below what a dust cloud and a dust layer endure?

use super::{Case, Rule};
use crate::marking::{Atmosphere, Marking, Protection, ProtectionType, Scheme};
use crate::place::Place;
use crate::substance::Dust;
use crate::verdict::{Ground, Outcome};
use crate::{Message, message};

/// Cloud: at most two thirds of its ignition temperature in °C. Layer of up to 5 mm: at most
/// its ignition temperature less 75 K. Deeper layers are left to the certificate, since the
/// reduction curves are not reproduced here.
pub(super) struct DustTemperatureRule;

/// Margin below the ignition temperature of a 5 mm layer, K.
const LAYER_MARGIN: f64 = 75.0;
/// Margin of practice B below the ignition temperature of a 12.5 mm layer, K.
const PRACTICE_B_MARGIN: f64 = 25.0;
/// Depth up to which the ordinary layer rule holds, mm.
const ORDINARY_DEPTH: f64 = 5.0;

/// An ignition temperature and where it comes from.
struct Ignition {
    celsius: f64,
    words: Message,
    /// True if it rests on the table alone.
    table: bool,
}

fn dusts(place: &Place) -> impl Iterator<Item = &'static Dust> + '_ {
    place
        .dusts
        .iter()
        .filter_map(crate::place::NamedSubstance::dust)
}

fn cloud(place: &Place) -> Option<Ignition> {
    if let Some(celsius) = place.cloud_ignition_c {
        return Some(Ignition {
            celsius,
            words: message!("dust-cloud-given", celsius = celsius),
            table: false,
        });
    }
    if place.dusts.iter().any(|d| d.row.is_none()) {
        return None;
    }
    dusts(place)
        .min_by(|a, b| a.cloud.low_c.total_cmp(&b.cloud.low_c))
        .map(|d| Ignition {
            celsius: d.cloud.low_c,
            words: message!(
                "dust-cloud-table",
                dust = d.said(),
                low = d.cloud.low_c,
                high = d.cloud.high_c,
                known = d.cloud.known.said()
            ),
            table: true,
        })
}

fn layer(place: &Place) -> Option<Ignition> {
    if let Some(celsius) = place.layer_ignition_c {
        return Some(Ignition {
            celsius,
            words: message!("dust-layer-given", celsius = celsius),
            table: false,
        });
    }
    if place.dusts.iter().any(|d| d.row.is_none()) || dusts(place).any(|d| d.layer.is_none()) {
        return None;
    }
    dusts(place)
        .filter_map(|d| d.layer.map(|range| (d, range)))
        .min_by(|a, b| a.1.low_c.total_cmp(&b.1.low_c))
        .map(|(d, range)| Ignition {
            celsius: range.low_c,
            words: if range.open {
                message!(
                    "dust-layer-table-open",
                    dust = d.said(),
                    low = range.low_c,
                    high = range.high_c,
                    known = range.known.said()
                )
            } else {
                message!(
                    "dust-layer-table",
                    dust = d.said(),
                    low = range.low_c,
                    high = range.high_c,
                    known = range.known.said()
                )
            },
            table: true,
        })
}

fn practice_b(marking: &Marking) -> bool {
    marking.own_protections().any(|p: &Protection| {
        matches!(
            p.kind.value,
            ProtectionType::OldDustEnclosure | ProtectionType::DustIgnitionProof
        ) && p.level.starts_with('B')
    })
}

impl DustTemperatureRule {
    fn cloud(&self, case: &Case<'_>, surface: f64) -> Option<Ground> {
        let Some(ignition) = cloud(case.place) else {
            if case.place.max_surface_c.is_some() {
                return None;
            }
            return Some(
                case.ground(
                    self,
                    Outcome::Undecided,
                    message!("dust-ignition-not-given", what = message!("dust-cloud")),
                )
                .next(message!(
                    "next-give-dust-ignition",
                    what = message!("dust-cloud"),
                    field = "cloud_ignition_c"
                )),
            );
        };
        // Three times the surface against twice the ignition temperature: no thirds in binary.
        let most = (ignition.celsius * 2.0 / 3.0).floor();
        let passes = surface * 3.0 <= ignition.celsius * 2.0;
        let detail = if passes {
            message!(
                "dust-cloud-within",
                surface = surface,
                most = most,
                ignition = ignition.words
            )
        } else {
            message!(
                "dust-cloud-above",
                surface = surface,
                most = most,
                ignition = ignition.words
            )
        };
        Some(self.measured(case, passes, detail, ignition.table, "cloud_ignition_c"))
    }

    /// A pass that rests on the table alone is conditional.
    fn measured(
        &self,
        case: &Case<'_>,
        passes: bool,
        detail: Message,
        table: bool,
        field: &str,
    ) -> Ground {
        let outcome = match (passes, table) {
            (false, _) => Outcome::Unsuitable,
            (true, true) => Outcome::Conditional,
            (true, false) => Outcome::Suitable,
        };
        let ground = case.ground(self, outcome, detail);
        if table {
            ground.next(message!("next-measure-dust", field = field))
        } else {
            ground
        }
    }

    fn layer(&self, case: &Case<'_>, marking: &Marking, surface: f64) -> Vec<Ground> {
        let place = case.place;
        let permitted = place.max_surface_c.is_some();
        if practice_b(marking) {
            // A 12.5 mm layer ignites no later than a 5 mm layer, so this much is certain.
            if let Some(ignition) = layer(place).filter(|i| surface > i.celsius - PRACTICE_B_MARGIN)
            {
                let most = ignition.celsius - PRACTICE_B_MARGIN;
                let detail = message!(
                    "dust-practice-b-above",
                    surface = surface,
                    most = most,
                    ignition = ignition.words
                );
                return vec![case.ground(self, Outcome::Unsuitable, detail)];
            }
            let detail = message!("dust-practice-b");
            return vec![
                case.ground(self, Outcome::Undecided, detail)
                    .next(message!("next-find-thick-layer")),
            ];
        }
        if place.layer_melts {
            let detail = message!("dust-melts");
            return vec![
                case.ground(self, Outcome::Conditional, detail)
                    .next(message!("next-prove-melts")),
            ];
        }
        let mut grounds = Vec::new();
        let ordinary = layer(place);
        match &ordinary {
            Some(ignition) => {
                let most = ignition.celsius - LAYER_MARGIN;
                let passes = surface <= most;
                let deep = place.layer_mm.is_some_and(|d| d > ORDINARY_DEPTH);
                let words = &ignition.words;
                let detail = match (passes, deep) {
                    (true, _) => message!(
                        "dust-layer-within",
                        surface = surface,
                        most = most,
                        ignition = words
                    ),
                    (false, true) => message!(
                        "dust-layer-already-above",
                        surface = surface,
                        most = most,
                        ignition = words
                    ),
                    (false, false) => message!(
                        "dust-layer-above",
                        surface = surface,
                        most = most,
                        ignition = words
                    ),
                };
                grounds.push(self.measured(
                    case,
                    passes,
                    detail,
                    ignition.table,
                    "layer_ignition_c",
                ));
            }
            None if permitted => {}
            None => grounds.push(
                case.ground(
                    self,
                    Outcome::Undecided,
                    message!("dust-ignition-not-given", what = message!("dust-layer")),
                )
                .next(message!("next-give-layer-ignition")),
            ),
        }
        let marked = marking
            .dust_temperature
            .as_ref()
            .and_then(|t| t.value.layer_mm);
        let deep = match (place.layer_mm, marked) {
            _ if permitted => None,
            (None, _) => Some((
                message!("dust-depth-not-given"),
                message!("next-give-depth"),
            )),
            (Some(depth), _) if depth <= ORDINARY_DEPTH => None,
            (Some(depth), Some(marked)) if depth > marked => Some((
                message!("dust-deeper-than-marked", depth = depth, marked = marked),
                message!("next-keep-layer-low"),
            )),
            (Some(depth), Some(marked)) => Some((
                message!("dust-marked-depth", depth = depth, marked = marked),
                message!("next-measure-marked-depth", marked = marked),
            )),
            (Some(depth), None) => Some((
                message!("dust-thick-layer", depth = depth),
                message!("next-give-permitted-surface"),
            )),
        };
        grounds.extend(
            deep.map(|(detail, next)| case.ground(self, Outcome::Undecided, detail).next(next)),
        );
        grounds
    }
}

impl Rule for DustTemperatureRule {
    fn id(&self) -> &'static str {
        "dust-temperature"
    }
    fn question(&self) -> &'static str {
        "Do all surfaces stay below what a dust cloud and a dust layer endure?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-14:2013 5.6.3, IEC 61241-14 on practice B (checked in part)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let (Some(marking), Some(Atmosphere::Dust)) = (case.marking(), case.atmosphere) else {
            return Vec::new();
        };
        if marking.scheme == Scheme::NecDivision || case.place.division().is_some() {
            return Vec::new();
        }
        let Some(read) = &marking.dust_temperature else {
            return vec![
                case.ground(self, Outcome::Undecided, message!("dust-no-surface"))
                    .next(message!("next-certificate-dust-surface")),
            ];
        };
        let surface = read.value.celsius;
        let mut grounds: Vec<Ground> = self.cloud(case, surface).into_iter().collect();
        grounds.extend(self.layer(case, marking, surface));
        grounds
            .into_iter()
            .map(|g| {
                g.at([read.span])
                    .using("surface temperature of the plate", read.value)
            })
            .collect()
    }
}
