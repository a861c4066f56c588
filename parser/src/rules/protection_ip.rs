//! Does the enclosure meet the IP code that the place asks for?

use super::{Case, Rule, Scope};
use crate::message;
use crate::verdict::{Ground, Outcome};

/// A demand of the site itself, held against every IP code printed; each stands alone.
pub(super) struct AskedIp;

/// Up to 6 a higher digit covers the lower; jets (5, 6), immersion (7, 8) and hot jets (9)
/// are different tests and do not cover each other.
fn water_covers(have: u8, need: u8) -> bool {
    match need {
        0..=4 => have >= need,
        5 => have == 5 || have == 6,
        7 => have == 7 || have == 8,
        _ => have == need,
    }
}

impl Rule for AskedIp {
    fn id(&self) -> &'static str {
        "ip-asked"
    }
    fn question(&self) -> &'static str {
        "Does the enclosure meet the IP code that the place asks for?"
    }
    fn source(&self) -> &'static str {
        "IEC 60529 (checked in part)"
    }
    fn scope(&self) -> Scope {
        Scope::Plate
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let Some((first, second)) = case.place.ip else {
            return Vec::new();
        };
        let digit = |d: Option<u8>| d.map_or_else(|| "X".to_owned(), |d| d.to_string());
        let asked = format!("IP{}{}", digit(first), digit(second));
        let Some(printed) = &case.plate.ip else {
            let detail = message!("asked-ip-none", asked = &asked);
            return vec![
                case.ground(self, Outcome::Undecided, detail)
                    .using("ip", &asked)
                    .next(message!("next-find-ip")),
            ];
        };
        let ip = &printed.value;
        let solids = first.is_none_or(|need| ip.first.iter().flatten().any(|have| *have >= need));
        let water = second.is_none_or(|need| {
            ip.second
                .iter()
                .flatten()
                .any(|have| water_covers(*have, need))
        });
        let ground = if solids && water {
            case.ground(
                self,
                Outcome::Suitable,
                message!("asked-ip-met", have = &ip.text, asked = &asked),
            )
        } else {
            case.ground(
                self,
                Outcome::Unsuitable,
                message!("asked-ip-not-met", have = &ip.text, asked = &asked),
            )
        };
        vec![
            ground
                .at([printed.span])
                .using("ip", &asked)
                .using("ip of the plate", &ip.text),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::water_covers;

    /// IEC 60529: digits 7 and 8 are not tested against jets.
    #[test]
    fn immersion_is_no_jet() {
        assert!(water_covers(6, 5) && water_covers(8, 7) && water_covers(7, 4));
        assert!(!water_covers(7, 6) && !water_covers(8, 5) && !water_covers(9, 8));
    }
}
