//! Do all surfaces stay below what a dust cloud and a dust layer endure?

use super::{Case, Rule};
use crate::marking::{Atmosphere, Marking, Protection, ProtectionType, Scheme};
use crate::place::Place;
use crate::substance::Dust;
use crate::verdict::{Ground, Outcome};

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
    words: String,
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
            words: format!("cloud ignition temperature {celsius} °C as given"),
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
            words: format!(
                "{}: cloud {} to {} °C in tables ({}), the lower end used",
                d.name, d.cloud.low_c, d.cloud.high_c, d.cloud.known
            ),
            table: true,
        })
}

fn layer(place: &Place) -> Option<Ignition> {
    if let Some(celsius) = place.layer_ignition_c {
        return Some(Ignition {
            celsius,
            words: format!("layer ignition temperature {celsius} °C as given"),
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
            words: format!(
                "{}: 5 mm layer {} to {}{} °C in tables ({}), the lower end used",
                d.name,
                range.low_c,
                if range.open { "above " } else { "" },
                range.high_c,
                range.known
            ),
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
                    "the ignition temperature of the dust cloud is not given".to_owned(),
                )
                .next("Give the ignition temperature of the dust cloud (cloud_ignition_c)."),
            );
        };
        // Three times the surface against twice the ignition temperature: no thirds in binary.
        let most = (ignition.celsius * 2.0 / 3.0).floor();
        let passes = surface * 3.0 <= ignition.celsius * 2.0;
        let detail = format!(
            "surface {surface} °C is {} the cloud limit of {most} °C (2/3; {})",
            if passes { "within" } else { "above" },
            ignition.words
        );
        Some(self.measured(case, passes, detail, ignition.table, "cloud_ignition_c"))
    }

    /// A pass that rests on the table alone is conditional.
    fn measured(
        &self,
        case: &Case<'_>,
        passes: bool,
        detail: String,
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
            ground.next(format!(
                "Have the dust measured: only a laboratory value counts ({field})."
            ))
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
                let detail = format!(
                    "surface {surface} °C is above {most} °C, the most that a layer could allow \
                     under practice B ({})",
                    ignition.words
                );
                return vec![case.ground(self, Outcome::Unsuitable, detail)];
            }
            let detail = "practice B needs the ignition temperature of a 12.5 mm layer, less 25 K"
                .to_owned();
            return vec![
                case.ground(self, Outcome::Undecided, detail)
                    .next("Find the ignition temperature of a 12.5 mm layer of the dust."),
            ];
        }
        if place.layer_melts {
            let detail =
                "the dust melts before its layer ignites (as given): the cloud decides".to_owned();
            return vec![
                case.ground(self, Outcome::Conditional, detail)
                    .next("Prove that the dust melts before it ignites."),
            ];
        }
        let mut grounds = Vec::new();
        let ordinary = layer(place);
        match &ordinary {
            Some(ignition) => {
                let most = ignition.celsius - LAYER_MARGIN;
                let passes = surface <= most;
                let deep = place.layer_mm.is_some_and(|d| d > ORDINARY_DEPTH);
                let detail = format!(
                    "surface {surface} °C is {} the 5 mm layer limit of {most} °C (less 75 K; {})",
                    match (passes, deep) {
                        (true, _) => "within",
                        (false, true) => "already above",
                        (false, false) => "above",
                    },
                    ignition.words
                );
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
                    "the ignition temperature of the dust layer is not given".to_owned(),
                )
                .next(
                    "Give the ignition temperature of a 5 mm layer (layer_ignition_c), or 'melts'.",
                ),
            ),
        }
        let marked = marking
            .dust_temperature
            .as_ref()
            .and_then(|t| t.value.layer_mm);
        let deep = match (place.layer_mm, marked) {
            _ if permitted => None,
            (None, _) => Some((
                "the depth of the dust layer is not given".to_owned(),
                "Give the depth of the dust layer (layer_mm).".to_owned(),
            )),
            (Some(depth), _) if depth <= ORDINARY_DEPTH => None,
            (Some(depth), Some(marked)) if depth > marked => Some((
                format!("the layer of {depth} mm is deeper than the {marked} mm of the plate"),
                "Keep the layer below the marked depth, or have the case assessed.".to_owned(),
            )),
            (Some(depth), Some(marked)) => Some((
                format!(
                    "a layer of {depth} mm: the ignition temperature of a layer as deep as the \
                     marked {marked} mm is needed"
                ),
                format!(
                    "Have a {marked} mm layer measured and give the surface temperature that it \
                     permits (max_surface_c)."
                ),
            )),
            (Some(depth), None) => Some((
                format!(
                    "a layer of {depth} mm, over 5 mm, needs the reduction curve or a laboratory test"
                ),
                "Give the surface temperature that the layer permits (max_surface_c).".to_owned(),
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
                case.ground(
                    self,
                    Outcome::Undecided,
                    "no surface temperature for dust can be read".to_owned(),
                )
                .next("Take the surface temperature for dust from the certificate."),
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
