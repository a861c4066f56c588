//! From fields of text to a place: strict, and every refusal says what to write instead.

mod contradictions;
mod groups;
mod names;
mod values;

use super::{NamedSubstance, Place, PlaceError, PlaceFields, Zone};
use crate::marking::{Atmosphere, Epl, TClass};
use crate::substance::{self, Kind};
use values::{LAYER_MM, TEMPERATURE_C};

impl Place {
    /// Reads a place from its fields.
    ///
    /// A gas or dust that the table does not know is accepted only where the user gives a value
    /// of it himself (group, ignition temperature, class); what is still missing then leaves the
    /// verdict undecided, so that no name is silently dropped.
    ///
    /// # Errors
    ///
    /// One [`PlaceError`] for every field that cannot be used, and for fields that contradict
    /// each other.
    pub fn from_fields(fields: &PlaceFields) -> Result<Self, Vec<PlaceError>> {
        let mut reader = Reader::default();
        let place = reader.place(fields);
        if reader.errors.is_empty() {
            Ok(place)
        } else {
            Err(reader.errors)
        }
    }
}

#[derive(Default)]
struct Reader {
    errors: Vec<PlaceError>,
}

fn given(field: Option<&String>) -> Option<&str> {
    field.map(|t| t.trim()).filter(|t| !t.is_empty())
}

impl Reader {
    fn refuse(&mut self, field: &'static str, value: &str, message: String) {
        self.errors.push(PlaceError {
            field,
            value: value.to_owned(),
            message,
        });
    }

    fn place(&mut self, fields: &PlaceFields) -> Place {
        let mut place = Place::default();
        self.zone(fields, &mut place);
        self.groups(fields, &mut place);
        if let Some(text) = given(fields.epl.as_ref()) {
            match text.parse::<Epl>() {
                Ok(epl) => place.epl = Some(epl),
                Err(error) => self.refuse("epl", text, format!("epl: '{text}': {error}")),
            }
        }
        place.ignition_c = self.number(
            "ignition_c",
            fields.ignition_c.as_ref(),
            (1.0, TEMPERATURE_C.1),
            "°C",
        );
        if let Some(text) = given(fields.t_class.as_ref()) {
            let squeezed: String = text.to_uppercase().split_whitespace().collect();
            match squeezed.parse::<TClass>() {
                Ok(class) if !class.is_american() || place.division().is_some() => {
                    place.t_class = Some(class);
                }
                _ => self.refuse(
                    "t_class",
                    text,
                    format!(
                        "t_class: '{text}' is no temperature class; write T1, T2, T3, T4, T5 or T6"
                    ),
                ),
            }
        }
        place.cloud_ignition_c = self.number(
            "cloud_ignition_c",
            fields.cloud_ignition_c.as_ref(),
            (1.0, TEMPERATURE_C.1),
            "°C",
        );
        if given(fields.layer_ignition_c.as_ref()).is_some_and(|t| t.eq_ignore_ascii_case("melts"))
        {
            place.layer_melts = true;
        } else {
            place.layer_ignition_c = self.number(
                "layer_ignition_c",
                fields.layer_ignition_c.as_ref(),
                (1.0, TEMPERATURE_C.1),
                "°C",
            );
        }
        place.layer_mm = self.number("layer_mm", fields.layer_mm.as_ref(), LAYER_MM, "mm");
        place.max_surface_c = self.number(
            "max_surface_c",
            fields.max_surface_c.as_ref(),
            (1.0, TEMPERATURE_C.1),
            "°C",
        );
        place.ambient = self.ambient(fields.ambient_c.as_ref());
        place.ip = self.ip(fields.ip.as_ref());
        let own_gas_values =
            place.gas_group.is_some() || place.ignition_c.is_some() || place.t_class.is_some();
        for name in fields
            .gas
            .iter()
            .map(|n| n.trim())
            .filter(|n| !n.is_empty())
        {
            let row = self.named("gas", name, substance::gas(name), Kind::Gas, own_gas_values);
            place.gases.push(NamedSubstance {
                name: name.to_owned(),
                row,
            });
        }
        let own_dust_values = place.dust_group.is_some() || place.cloud_ignition_c.is_some();
        for name in fields
            .dust
            .iter()
            .map(|n| n.trim())
            .filter(|n| !n.is_empty())
        {
            let row = self.named(
                "dust",
                name,
                substance::dust(name),
                Kind::Dust,
                own_dust_values,
            );
            place.dusts.push(NamedSubstance {
                name: name.to_owned(),
                row,
            });
        }
        self.contradictions(fields, &place);
        place
    }

    fn zone(&mut self, fields: &PlaceFields, place: &mut Place) {
        let Some(text) = given(fields.zone.as_ref()) else {
            return;
        };
        if let Ok(zone) = text.parse() {
            place.zone = Some(zone);
            return;
        }
        let lower = text.to_lowercase().replace(" and ", "+");
        let parts: Vec<&str> = lower.split(['+', '/', '&', ',']).map(str::trim).collect();
        if let [first, second] = parts.as_slice()
            && let (Ok(first), Ok(second)) = (first.parse::<Zone>(), second.parse::<Zone>())
            && first.least_epl().is_some()
            && second.least_epl().is_some()
        {
            match (first.atmosphere(), second.atmosphere()) {
                (Some(Atmosphere::Gas), Some(Atmosphere::Dust)) => {
                    (place.zone, place.dust_zone) = (Some(first), Some(second));
                    return;
                }
                (Some(Atmosphere::Dust), Some(Atmosphere::Gas)) => {
                    (place.zone, place.dust_zone) = (Some(second), Some(first));
                    return;
                }
                _ => {}
            }
        }
        self.refuse(
            "zone",
            text,
            format!("zone: '{text}' is no zone; {}", super::UnknownZone),
        );
    }
}
