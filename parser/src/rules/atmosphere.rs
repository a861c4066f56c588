//! Does any marking of the plate speak of the atmosphere of the place?

use super::{Case, Rule, Scope};
use crate::marking::Atmosphere;
use crate::place::Zone;
use crate::verdict::{Ground, Outcome};

/// A gas marking says nothing of dust, nor a mining marking of a surface plant.
pub(super) struct AtmospherePresent;

const fn noun(atmosphere: Atmosphere) -> &'static str {
    match atmosphere {
        Atmosphere::Gas => "gas",
        Atmosphere::Dust => "dust",
        Atmosphere::Mine => "mining",
    }
}

impl Rule for AtmospherePresent {
    fn id(&self) -> &'static str {
        "atmosphere"
    }
    fn question(&self) -> &'static str {
        "Is there a marking for the atmosphere of the place?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-14 5.3-5.5, IEC 60079-0 clause 4 (checked)"
    }
    fn scope(&self) -> Scope {
        Scope::Plate
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let markings = &case.plate.markings;
        if markings.is_empty() {
            return Vec::new();
        }
        let mut grounds = Vec::new();
        if case.place.zone.is_none() {
            let need = "the zone of the place is not given".to_owned();
            grounds.push(
                case.ground(self, Outcome::Undecided, need)
                    .next("Give the zone of the place (zone)."),
            );
        }
        if case.place.zone == Some(Zone::NonHazardous) {
            let detail = "a non-hazardous place asks for no protection".to_owned();
            grounds.push(
                case.ground(self, Outcome::Suitable, detail)
                    .using("zone", "non-hazardous"),
            );
        }
        for atmosphere in case.place.atmospheres() {
            if markings.iter().any(|m| m.speaks_of(atmosphere)) {
                continue;
            }
            let mut have: Vec<&str> = Vec::new();
            for other in markings
                .iter()
                .flat_map(crate::marking::Marking::atmospheres)
            {
                if !have.contains(&noun(other)) {
                    have.push(noun(other));
                }
            }
            let spans = markings.iter().flat_map(|m| m.spans.clone());
            let ground = if have.is_empty() {
                let detail = format!(
                    "it cannot be read for which atmosphere the plate is marked; the place has {}",
                    noun(atmosphere)
                );
                case.ground(self, Outcome::Undecided, detail)
            } else {
                let detail = match (atmosphere, have.as_slice()) {
                    (Atmosphere::Mine, _) => format!(
                        "the marking is for {} on the surface; equipment for mines with \
                         firedamp carries group I",
                        have.join(" and ")
                    ),
                    (_, ["mining"]) => format!(
                        "group I equipment is for mines, not for surface {} zones",
                        noun(atmosphere)
                    ),
                    _ => format!(
                        "{} marking only; the place has {}",
                        have.join(" and "),
                        noun(atmosphere)
                    ),
                };
                case.ground(self, Outcome::Unsuitable, detail)
            };
            grounds.push(ground.at(spans).using("atmosphere", noun(atmosphere)));
        }
        grounds
    }
}
