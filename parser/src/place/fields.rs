//! From fields of text to a place: strict, and every refusal says what to write instead.

use super::{NamedSubstance, Place, PlaceError, PlaceFields, Zone};
use crate::marking::{Ambient, Atmosphere, Epl, Group, TClass};
use crate::substance::{self, Kind, Match};

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

/// Temperatures outside this range are a slip of the pen: nothing ignites below, no table
/// goes above.
const TEMPERATURE_C: (f64, f64) = (-273.15, 2000.0);
/// Ambient temperatures of any place on earth or in process heat.
const AMBIENT_C: (f64, f64) = (-100.0, 300.0);
/// Deeper than this is a silo, not a layer.
const LAYER_MM: (f64, f64) = (0.0, 100_000.0);

#[derive(Default)]
struct Reader {
    errors: Vec<PlaceError>,
}

fn given(field: Option<&String>) -> Option<&str> {
    field.map(|t| t.trim()).filter(|t| !t.is_empty())
}

/// A plain decimal number; a typographic minus counts.
fn decimal(text: &str) -> Option<f64> {
    let text = text.trim().replace('−', "-");
    let plain = text
        .strip_prefix(['+', '-'])
        .unwrap_or(&text)
        .chars()
        .all(|c| c.is_ascii_digit() || c == '.');
    if plain { text.parse().ok() } else { None }
}

impl Reader {
    fn refuse(&mut self, field: &'static str, value: &str, message: String) {
        self.errors.push(PlaceError {
            field,
            value: value.to_owned(),
            message,
        });
    }

    fn number(
        &mut self,
        field: &'static str,
        text: Option<&String>,
        (low, high): (f64, f64),
        unit: &str,
    ) -> Option<f64> {
        let text = given(text)?;
        match decimal(text) {
            Some(value) if value >= low && value <= high => Some(value),
            Some(value) => {
                self.refuse(
                    field,
                    text,
                    format!("{field}: {value} is outside {low} to {high} {unit}"),
                );
                None
            }
            None => {
                self.refuse(
                    field,
                    text,
                    format!(
                        "{field}: '{text}' is no decimal number; write the number in {unit} \
                         alone, such as 135 or 22.5"
                    ),
                );
                None
            }
        }
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

    fn groups(&mut self, fields: &PlaceFields, place: &mut Place) {
        let division = place.division();
        let mine = matches!(place.zone, Some(Zone::MineM1 | Zone::MineM2));
        if let Some(text) = given(fields.gas_group.as_ref()) {
            match group(text) {
                Some(g @ (Group::IIA | Group::IIB | Group::IIBPlusH2 | Group::IIC))
                    if division.is_none() =>
                {
                    place.gas_group = Some(g);
                }
                Some(Group::I) if mine => place.gas_group = Some(Group::I),
                Some(g @ Group::American(_)) if g.atmosphere() == Atmosphere::Gas => {
                    match division {
                        Some((1, _)) => place.gas_group = Some(g),
                        None if place.zone.is_none() => place.gas_group = Some(g),
                        None => self.refuse(
                            "gas_group",
                            text,
                            format!(
                                "gas_group: letter '{text}' belongs to a class and division; \
                                 with a zone write IIA, IIB, IIB+H2 or IIC"
                            ),
                        ),
                        Some(_) => self.refuse(
                            "gas_group",
                            text,
                            format!(
                                "gas_group: '{text}' is a gas group, but the place is no \
                                 Class I; Class II takes E, F or G, Class III none"
                            ),
                        ),
                    }
                }
                Some(g @ Group::American(_)) => match division {
                    // The flag takes A to G; E to G are dusts.
                    Some((2, _)) => place.dust_group = Some(g),
                    None if place.zone.is_none() => place.dust_group = Some(g),
                    _ => self.refuse(
                        "gas_group",
                        text,
                        format!("gas_group: '{text}' is a dust group of Class II, but the place is not Class II"),
                    ),
                },
                Some(Group::IIA | Group::IIB | Group::IIBPlusH2 | Group::IIC) => self.refuse(
                    "gas_group",
                    text,
                    format!(
                        "gas_group: '{text}' belongs to a zone; with a class and division \
                         write A, B, C or D (E, F or G for dust)"
                    ),
                ),
                Some(Group::IIIA | Group::IIIB | Group::IIIC) => self.refuse(
                    "gas_group",
                    text,
                    format!("gas_group: '{text}' is a dust group; give it as dust_group"),
                ),
                _ => self.refuse(
                    "gas_group",
                    text,
                    format!(
                        "gas_group: '{text}' is no gas group; write IIA, IIB, IIB+H2 or IIC, \
                         or A to D with a class and division"
                    ),
                ),
            }
        }
        if let Some(text) = given(fields.dust_group.as_ref()) {
            match group(text) {
                Some(g @ (Group::IIIA | Group::IIIB | Group::IIIC)) if division.is_none() => {
                    place.dust_group = Some(g);
                }
                Some(g @ Group::American(_))
                    if g.atmosphere() == Atmosphere::Dust
                        && (matches!(division, Some((2, _))) || place.zone.is_none()) =>
                {
                    place.dust_group = Some(g);
                }
                Some(Group::IIIA | Group::IIIB | Group::IIIC) => self.refuse(
                    "dust_group",
                    text,
                    format!("dust_group: '{text}' belongs to a zone; with Class II write E, F or G, with Class III leave it out"),
                ),
                _ => self.refuse(
                    "dust_group",
                    text,
                    format!(
                        "dust_group: '{text}' is no dust group; write IIIA, IIIB or IIIC, \
                         or E, F or G with Class II"
                    ),
                ),
            }
        }
    }

    fn ambient(&mut self, text: Option<&String>) -> Option<Ambient> {
        let text = given(text)?;
        let lower = text.to_lowercase();
        let pair = ["...", "..", "…", " to "]
            .iter()
            .find_map(|mark| lower.split_once(mark));
        let ends = pair.and_then(|(low, high)| Some((decimal(low)?, decimal(high)?)));
        let Some((low_c, high_c)) = ends else {
            self.refuse(
                "ambient_c",
                text,
                format!("ambient_c: '{text}' is no range; write LO..HI in °C, such as -20..40"),
            );
            return None;
        };
        if low_c > high_c {
            self.refuse(
                "ambient_c",
                text,
                format!("ambient_c: {low_c}..{high_c} is reversed; write {high_c}..{low_c}"),
            );
            return None;
        }
        if low_c < AMBIENT_C.0 || high_c > AMBIENT_C.1 {
            self.refuse(
                "ambient_c",
                text,
                format!(
                    "ambient_c: {low_c}..{high_c} goes outside {}..{} °C",
                    AMBIENT_C.0, AMBIENT_C.1
                ),
            );
            return None;
        }
        Some(Ambient { low_c, high_c })
    }

    fn ip(&mut self, text: Option<&String>) -> Option<(Option<u8>, Option<u8>)> {
        let text = given(text)?;
        let tight: String = text
            .to_uppercase()
            .chars()
            .filter(|c| !c.is_whitespace())
            .collect();
        let digits: Vec<char> = tight.strip_prefix("IP").unwrap_or(&tight).chars().collect();
        let digit = |c: char, most: u32| match c {
            'X' => Some(None),
            c => c.to_digit(10).filter(|d| *d <= most).map(|d| Some(d as u8)),
        };
        if let [first, second] = digits.as_slice()
            && let (Some(first), Some(second)) = (digit(*first, 6), digit(*second, 9))
            && (first.is_some() || second.is_some())
        {
            return Some((first, second));
        }
        self.refuse(
            "ip",
            text,
            format!("ip: '{text}' is no IP code; write two digits or X, such as 65, IP66 or 6X"),
        );
        None
    }

    fn named(
        &mut self,
        field: &'static str,
        name: &str,
        found: Match,
        kind: Kind,
        own_values: bool,
    ) -> Option<usize> {
        match found {
            Match::One(row) => Some(row),
            Match::Many(rows) => {
                let names: Vec<String> = rows
                    .iter()
                    .map(|&row| match kind {
                        Kind::Gas => {
                            let gas = &substance::gases()[row];
                            format!("{} ({})", gas.name, gas.cas)
                        }
                        Kind::Dust => substance::dusts()[row].name.to_owned(),
                    })
                    .collect();
                self.refuse(
                    field,
                    name,
                    format!(
                        "{field}: '{name}' stands for several substances; write one of {}",
                        names.join(", ")
                    ),
                );
                None
            }
            Match::None if own_values => None,
            Match::None => {
                let mut near: Vec<&str> = Vec::new();
                for hit in substance::find(name) {
                    if hit.kind == kind && !near.contains(&hit.name()) && near.len() < 4 {
                        near.push(hit.name());
                    }
                }
                let meant = if near.is_empty() {
                    String::new()
                } else {
                    format!("; did you mean {}?", near.join(", "))
                };
                let values = match kind {
                    Kind::Gas => "gas_group and ignition_c",
                    Kind::Dust => "dust_group (and cloud_ignition_c, layer_ignition_c)",
                };
                self.refuse(
                    field,
                    name,
                    format!(
                        "{field}: '{name}' is not in the table{meant} For a mixture or a trade \
                         name give {values} as well"
                    )
                    .replacen("table For", "table. For", 1),
                );
                None
            }
        }
    }

    fn contradictions(&mut self, fields: &PlaceFields, place: &Place) {
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

/// Reads a group as people write it: `IIB`, `ii b`, `IIB+H2`, `IIB + H2`, `D`, `Group C, D`.
fn group(text: &str) -> Option<Group> {
    let upper = text.to_uppercase();
    let tight: String = upper
        .replace('₂', "2")
        .replace("GROUPS", "")
        .replace("GROUP", "")
        .chars()
        .filter(|c| !c.is_whitespace())
        .collect();
    Some(match tight.as_str() {
        "I" => Group::I,
        "IIA" => Group::IIA,
        "IIB" => Group::IIB,
        "IIB+H2" => Group::IIBPlusH2,
        "IIC" => Group::IIC,
        "IIIA" => Group::IIIA,
        "IIIB" => Group::IIIB,
        "IIIC" => Group::IIIC,
        letters => {
            let letters: Vec<char> = letters.chars().filter(|c| *c != ',').collect();
            let all = |range: std::ops::RangeInclusive<char>| {
                !letters.is_empty() && letters.iter().all(|l| range.contains(l))
            };
            if !all('A'..='D') && !all('E'..='G') {
                return None;
            }
            Group::American(letters)
        }
    })
}
