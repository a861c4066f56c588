//! Do all surfaces stay below the ignition temperature of the gas?

use super::limit::{Limit, limit};
use super::{Case, Rule};
use crate::marking::Atmosphere;
use crate::place::Place;
use crate::verdict::{Ground, Outcome};
use crate::{Joint, Message, message};

/// Strictly below: a 200 °C class fails at an ignition temperature of 200 °C. The NEC lets a
/// Class I T code equal it; the stricter rule is kept there too.
pub(super) struct GasTemperature;

/// One ignition temperature that must not be reached.
struct Ignition {
    celsius: f64,
    /// `ethanol ignites at 363 °C (NFPA 497:2008)`.
    words: Message,
    /// True if the user gave it.
    own: bool,
}

/// Every ignition temperature known of the place, the user's first, and the names of the
/// gases of which none is known.
fn ignitions(place: &Place) -> (Vec<Ignition>, Vec<String>) {
    let mut known = Vec::new();
    let mut unknown = Vec::new();
    if let Some(celsius) = place.ignition_c {
        known.push(Ignition {
            celsius,
            words: match place.gases.as_slice() {
                [gas] => message!("ignites-given", gas = &gas.name, celsius = celsius),
                _ => message!("ignites-given-unnamed", celsius = celsius),
            },
            own: true,
        });
    }
    for named in &place.gases {
        let value = named
            .gas()
            .and_then(|g| g.lowest_ignition().map(|v| (g, v)));
        match value {
            Some((gas, value)) => {
                let others: Vec<Message> = gas
                    .ignition_c
                    .iter()
                    .filter(|v| (v.value - value.value).abs() > f64::EPSILON)
                    .map(|v| message!("value-in-table", celsius = v.value, table = v.source))
                    .collect();
                let mut tables = vec![Message::verbatim(value.source)];
                if !others.is_empty() {
                    tables.push(Message::list(others, Joint::Comma));
                }
                known.push(Ignition {
                    celsius: value.value,
                    words: message!(
                        "ignites-in-tables",
                        gas = gas.said(),
                        celsius = value.value,
                        tables = Message::list(tables, Joint::Semicolon)
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
                message!("temperature-even-hottest", surface = &worst.words),
            ),
            Limit::Between { best, .. } if best.celsius >= celsius => (
                Outcome::Unsuitable,
                message!("temperature-even-coldest", surface = &best.words),
            ),
            Limit::Between { worst, best } => (
                Outcome::Undecided,
                message!(
                    "temperature-from-certificate",
                    worst = &worst.words,
                    best = &best.words
                ),
            ),
            Limit::Unknown(why) => (Outcome::Undecided, why.clone()),
        };
        let detail = match outcome {
            Outcome::Unsuitable => message!(
                "temperature-not-below",
                surface = words,
                ignition = &ignition.words
            ),
            _ => message!(
                "temperature-against",
                surface = words,
                ignition = &ignition.words
            ),
        };
        let ground = case
            .ground(self, outcome, detail)
            .using("ignition temperature", format!("{celsius} °C"));
        match outcome {
            Outcome::Undecided => ground.next(message!("next-certificate-class")),
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
                    ground.detail = message!(
                        "only-by-value-given",
                        ground = ground.detail,
                        table = &table.words
                    );
                    ground.next = Some(message!("next-prove-ignition", celsius = own.celsius));
                } else {
                    ground.detail =
                        message!("beside-table", ground = ground.detail, table = &table.words);
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
                            message!("ignition-not-known", gas = name),
                        )
                        .next(message!("next-give-ignition", gas = name)),
                    );
                }
                if known.is_empty() && unknown.is_empty() {
                    grounds.push(
                        case.ground(self, Outcome::Undecided, message!("ignition-not-given"))
                            .next(message!("next-name-gas-or-ignition")),
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
