//! Does the marking keep the temperature class or surface temperature that the place asks for?

use super::limit::{Limit, limit};
use super::{Case, Rule};
use crate::marking::Atmosphere;
use crate::verdict::{Ground, Outcome};
use crate::{Message, message};

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
        let mut asked: Vec<(f64, Message)> = Vec::new();
        if case.atmosphere == Some(Atmosphere::Gas)
            && let Some(class) = case.place.t_class
        {
            asked.push((
                class.limit_c(),
                message!("permitted-class", class = class, celsius = class.limit_c()),
            ));
        }
        if let Some(celsius) = case.place.max_surface_c
            && case.atmosphere != Some(Atmosphere::Mine)
        {
            asked.push((celsius, message!("permitted-celsius", celsius = celsius)));
        }
        let mut grounds = Vec::new();
        for (most, words) in asked {
            let limit = if case.atmosphere == Some(Atmosphere::Dust) {
                match &marking.dust_temperature {
                    Some(t) => Limit::Fixed(super::limit::Surface {
                        celsius: t.value.celsius,
                        words: message!("surface-at-most", celsius = t.value.celsius),
                    }),
                    // Class II plates carry a T code.
                    None if marking.scheme == crate::marking::Scheme::NecDivision => {
                        limit(case, marking)
                    }
                    None => Limit::Unknown(message!("dust-no-surface")),
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
                    message!(
                        "permitted-fails-passes",
                        worst = worst.words,
                        best = best.words
                    ),
                ),
                Limit::Unknown(why) => (Outcome::Undecided, why),
            };
            let detail = match outcome {
                Outcome::Unsuitable => {
                    message!("permitted-exceeded", have = have, most = &words)
                }
                _ => message!("permitted-against", have = have, most = &words),
            };
            let spans = marking
                .temperature
                .iter()
                .map(|t| t.span)
                .chain(marking.dust_temperature.iter().map(|t| t.span));
            let ground = case
                .ground(self, outcome, detail)
                .at(spans)
                .using("permitted", words);
            grounds.push(match outcome {
                Outcome::Undecided => ground.next(message!("next-certificate-temperature")),
                _ => ground,
            });
        }
        grounds
    }
}
