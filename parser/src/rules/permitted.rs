//! Does the marking keep the temperature class or surface temperature that the place asks for?

use super::limit::{Limit, limit};
use super::{Case, Rule};
use crate::marking::Atmosphere;
use crate::verdict::{Ground, Outcome};

/// A demand of the site: equal is enough.
pub(super) struct PermittedTemperature;

impl Rule for PermittedTemperature {
    fn id(&self) -> &'static str {
        "temperature-asked"
    }
    fn question(&self) -> &'static str {
        "Does the marking keep the temperature that the place asks for?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-0:2017 5.3 (checked)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let Some(marking) = case.marking() else {
            return Vec::new();
        };
        let mut asked: Vec<(f64, String)> = Vec::new();
        if case.atmosphere == Some(Atmosphere::Gas)
            && let Some(class) = case.place.t_class
        {
            asked.push((
                class.limit_c(),
                format!("{class} (at most {} °C)", class.limit_c()),
            ));
        }
        if let Some(celsius) = case.place.max_surface_c
            && case.atmosphere != Some(Atmosphere::Mine)
        {
            asked.push((celsius, format!("at most {celsius} °C")));
        }
        let mut grounds = Vec::new();
        for (most, words) in asked {
            let limit = if case.atmosphere == Some(Atmosphere::Dust) {
                match &marking.dust_temperature {
                    Some(t) => Limit::Fixed(super::limit::Surface {
                        celsius: t.value.celsius,
                        words: format!("surface at most {} °C", t.value.celsius),
                    }),
                    // Class II plates carry a T code.
                    None if marking.scheme == crate::marking::Scheme::NecDivision => {
                        limit(case, marking)
                    }
                    None => {
                        Limit::Unknown("no surface temperature for dust can be read".to_owned())
                    }
                }
            } else {
                limit(case, marking)
            };
            let (outcome, have) = match limit {
                Limit::Fixed(s) if s.celsius <= most => (Outcome::Suitable, s.words),
                Limit::Fixed(s) => (Outcome::Unsuitable, s.words),
                Limit::Between { worst, .. } if worst.celsius <= most => {
                    (Outcome::Suitable, worst.words)
                }
                Limit::Between { best, .. } if best.celsius > most => {
                    (Outcome::Unsuitable, best.words)
                }
                Limit::Between { worst, best } => (
                    Outcome::Undecided,
                    format!("{} fails, {} passes", worst.words, best.words),
                ),
                Limit::Unknown(why) => (Outcome::Undecided, why),
            };
            let verb = match outcome {
                Outcome::Unsuitable => "is more than the place permits",
                _ => "against what the place permits",
            };
            let spans = marking
                .temperature
                .iter()
                .map(|t| t.span)
                .chain(marking.dust_temperature.iter().map(|t| t.span));
            let ground = case
                .ground(self, outcome, format!("{have} {verb}: {words}"))
                .at(spans)
                .using("permitted", words);
            grounds.push(match outcome {
                Outcome::Undecided => {
                    ground.next("Take the temperature for this place from the certificate.")
                }
                _ => ground,
            });
        }
        grounds
    }
}
