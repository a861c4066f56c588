//! Does any marking of the plate speak of the atmosphere of the place?

use super::{Case, Rule, Scope};
use crate::marking::Atmosphere;
use crate::place::Zone;
use crate::verdict::{Ground, Outcome};
use crate::{Joint, Message, message};

/// A gas marking says nothing of dust, nor a mining marking of a surface plant.
pub(super) struct AtmospherePresent;

pub(crate) fn noun(atmosphere: Atmosphere) -> Message {
    match atmosphere {
        Atmosphere::Gas => message!("atmosphere-gas"),
        Atmosphere::Dust => message!("atmosphere-dust"),
        Atmosphere::Mine => message!("atmosphere-mining"),
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
            let need = message!("zone-not-given");
            grounds.push(
                case.ground(self, Outcome::Undecided, need)
                    .next(message!("next-give-zone")),
            );
        }
        if case.place.zone == Some(Zone::NonHazardous) {
            let detail = message!("atmosphere-non-hazardous");
            grounds.push(
                case.ground(self, Outcome::Suitable, detail)
                    .using("zone", "non-hazardous"),
            );
        }
        for atmosphere in case.place.atmospheres() {
            if markings.iter().any(|m| m.speaks_of(atmosphere)) {
                continue;
            }
            let mut have: Vec<Atmosphere> = Vec::new();
            for other in markings
                .iter()
                .flat_map(crate::marking::Marking::atmospheres)
            {
                if !have.contains(&other) {
                    have.push(other);
                }
            }
            let spans = markings.iter().flat_map(|m| m.spans.clone());
            let ground = if have.is_empty() {
                let detail = message!("atmosphere-unknown", place = noun(atmosphere));
                case.ground(self, Outcome::Undecided, detail)
            } else {
                let marked = Message::list(have.iter().map(|a| noun(*a)), Joint::And);
                let detail = match (atmosphere, have.as_slice()) {
                    (Atmosphere::Mine, _) => message!("atmosphere-not-mine", marked = marked),
                    (_, [Atmosphere::Mine]) => {
                        message!("atmosphere-mine-only", place = noun(atmosphere))
                    }
                    _ => message!(
                        "atmosphere-other",
                        marked = marked,
                        place = noun(atmosphere)
                    ),
                };
                case.ground(self, Outcome::Unsuitable, detail)
            };
            grounds.push(ground.at(spans).using("atmosphere", noun(atmosphere)));
        }
        grounds
    }
}
