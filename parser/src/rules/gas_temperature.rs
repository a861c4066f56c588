//! Do all surfaces stay below the ignition temperature of the gas?

use super::limit::{Limit, limit};
use super::{Case, Rule};
use crate::marking::Atmosphere;
use crate::place::Place;
use crate::verdict::{Ground, Outcome};

/// Strictly below: a 200 °C class fails at an ignition temperature of 200 °C. The NEC lets a
/// Class I T code equal it; the stricter rule is kept there too.
pub(super) struct GasTemperature;

/// One ignition temperature that must not be reached.
struct Ignition {
    celsius: f64,
    /// `ethanol ignites at 363 °C (NFPA 497:2008)`.
    words: String,
    /// True if the user gave it.
    own: bool,
}

/// Every ignition temperature known of the place, the user's first, and the names of the
/// gases of which none is known.
fn ignitions(place: &Place) -> (Vec<Ignition>, Vec<String>) {
    let mut known = Vec::new();
    let mut unknown = Vec::new();
    if let Some(celsius) = place.ignition_c {
        let what = match place.gases.as_slice() {
            [gas] => gas.name.as_str(),
            _ => "the gas",
        };
        known.push(Ignition {
            celsius,
            words: format!("{what} ignites at {celsius} °C (as given)"),
            own: true,
        });
    }
    for named in &place.gases {
        let value = named
            .gas()
            .and_then(|g| g.lowest_ignition().map(|v| (g, v)));
        match value {
            Some((gas, value)) => {
                let others: Vec<String> = gas
                    .ignition_c
                    .iter()
                    .filter(|v| (v.value - value.value).abs() > f64::EPSILON)
                    .map(|v| format!("{} °C in {}", v.value, v.source))
                    .collect();
                let others = if others.is_empty() {
                    String::new()
                } else {
                    format!("; {}", others.join(", "))
                };
                known.push(Ignition {
                    celsius: value.value,
                    words: format!(
                        "{} ignites at {} °C ({}{others})",
                        gas.name, value.value, value.source
                    ),
                    own: false,
                });
            }
            None => unknown.push(named.name.clone()),
        }
    }
    (known, unknown)
}

impl GasTemperature {
    fn against(&self, case: &Case<'_>, limit: &Limit, ignition: &Ignition) -> Ground {
        let celsius = ignition.celsius;
        let (outcome, words) = match limit {
            Limit::Fixed(surface) if surface.celsius < celsius => {
                (Outcome::Suitable, surface.words.clone())
            }
            Limit::Fixed(surface) => (Outcome::Unsuitable, surface.words.clone()),
            Limit::Between { worst, .. } if worst.celsius < celsius => (
                Outcome::Suitable,
                format!("even the hottest class of the range, {}", worst.words),
            ),
            Limit::Between { best, .. } if best.celsius >= celsius => (
                Outcome::Unsuitable,
                format!("even the coldest class of the range, {}", best.words),
            ),
            Limit::Between { worst, best } => (
                Outcome::Undecided,
                format!(
                    "the class must be taken from the certificate: {} fails, {} passes",
                    worst.words, best.words
                ),
            ),
            Limit::Unknown(why) => (Outcome::Undecided, why.clone()),
        };
        let relation = if outcome == Outcome::Unsuitable {
            ", not below"
        } else {
            ";"
        };
        let detail = match outcome {
            Outcome::Unsuitable => format!(
                "{words}{relation} the ignition temperature: {}",
                ignition.words
            ),
            _ => format!("{words}{relation} {}", ignition.words),
        };
        let ground = case
            .ground(self, outcome, detail)
            .using("ignition temperature", format!("{celsius} °C"));
        match outcome {
            Outcome::Undecided => {
                ground.next("Take the temperature class for this place from the certificate.")
            }
            _ => ground,
        }
    }
}

impl Rule for GasTemperature {
    fn id(&self) -> &'static str {
        "gas-temperature"
    }
    fn question(&self) -> &'static str {
        "Do all surfaces stay below the ignition temperature of the gas?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-14:2013 5.6.2, NEC 500.8(D) kept strictly below (checked)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let (Some(marking), Some(Atmosphere::Gas)) = (case.marking(), case.atmosphere) else {
            return Vec::new();
        };
        let spans: Vec<_> = marking.temperature.iter().map(|t| t.span).collect();
        let limit = limit(case, marking);
        let (known, unknown) = ignitions(case.place);
        let own = known.iter().find(|i| i.own);
        let stated = case.place.t_class.is_some() || case.place.max_surface_c.is_some();
        let mut grounds = Vec::new();
        if let Some(own) = own {
            let mut ground = self.against(case, &limit, own);
            // What the user gives outranks the table, and the answer says where they differ.
            for table in known.iter().filter(|i| !i.own) {
                if (table.celsius - own.celsius).abs() <= f64::EPSILON {
                    continue;
                }
                let by_table = self.against(case, &limit, table);
                if by_table.outcome < ground.outcome && table.celsius < own.celsius {
                    ground.outcome = Outcome::Conditional.min(ground.outcome);
                    ground.detail = format!(
                        "{}, but only by the value given: in the table {}",
                        ground.detail, table.words
                    );
                    ground.next = Some(format!(
                        "Prove the ignition temperature of {} °C that was given.",
                        own.celsius
                    ));
                } else {
                    ground.detail = format!("{} (in the table {})", ground.detail, table.words);
                }
            }
            grounds.push(ground);
        } else {
            let worst = known.iter().min_by(|a, b| a.celsius.total_cmp(&b.celsius));
            grounds.extend(worst.map(|ignition| self.against(case, &limit, ignition)));
            if !stated {
                for name in &unknown {
                    grounds.push(
                        case.ground(
                            self,
                            Outcome::Undecided,
                            format!("the ignition temperature of {name} is not known"),
                        )
                        .next(format!(
                            "Give the ignition temperature of {name} (ignition_c)."
                        )),
                    );
                }
                if known.is_empty() && unknown.is_empty() {
                    grounds.push(
                        case.ground(
                            self,
                            Outcome::Undecided,
                            "the ignition temperature of the gas is not given".to_owned(),
                        )
                        .next("Name the gas (gas) or give its ignition temperature (ignition_c)."),
                    );
                }
            }
        }
        // A class that cannot be read stays undecided whatever the place asks.
        if grounds.is_empty()
            && let Limit::Unknown(why) = &limit
        {
            grounds.push(case.ground(self, Outcome::Undecided, why.clone()));
        }
        grounds
            .into_iter()
            .map(|g| {
                let shown = marking
                    .temperature
                    .as_ref()
                    .map_or_else(|| "none".to_owned(), |t| t.value.to_string());
                g.at(spans.clone()).using("temperature of the plate", shown)
            })
            .collect()
    }
}
