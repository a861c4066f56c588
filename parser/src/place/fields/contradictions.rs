//! Fields that contradict each other.

use super::{Reader, given};
use crate::marking::Atmosphere;
use crate::place::{Place, PlaceFields};

impl Reader {
    pub(super) fn contradictions(&mut self, fields: &PlaceFields, place: &Place) {
        let zone_text = given(fields.zone.as_ref()).unwrap_or_default();
        let Some(zone) = place.zone else { return };
        let (gas, dust) = (place.speaks_of_gas(), place.speaks_of_dust());
        let Some(atmosphere) = zone.atmosphere() else {
            if let Some(epl) = place.epl {
                self.refuse(
                    "epl",
                    &epl.to_string(),
                    format!("epl: {epl} is asked for, but the place is non-hazardous; give the zone or leave one out"),
                );
            }
            return;
        };
        let both = place.dust_zone.is_some();
        if atmosphere == Atmosphere::Gas && !both && dust && !gas {
            self.refuse(
                "zone",
                zone_text,
                format!(
                    "zone: {} is a place with gas, but only dust is described; give the gas, \
                     or a dust zone (20, 21, 22), or both as 1 + 21",
                    zone.words()
                ),
            );
        }
        if atmosphere == Atmosphere::Dust && !both && gas && !dust {
            self.refuse(
                "zone",
                zone_text,
                format!(
                    "zone: {} is a place with dust, but only gas is described; give the dust, \
                     or a gas zone (0, 1, 2), or both as 1 + 21",
                    zone.words()
                ),
            );
        }
        if let Some(epl) = place.epl {
            if place.division().is_some() {
                self.refuse(
                    "epl",
                    &epl.to_string(),
                    format!("epl: {epl} belongs to a zone, not to a class and division"),
                );
            } else if place.zone_of(epl.atmosphere).is_none() {
                self.refuse(
                    "epl",
                    &epl.to_string(),
                    format!(
                        "epl: {epl} does not speak of the atmosphere of {}",
                        zone.words()
                    ),
                );
            }
        }
    }
}
