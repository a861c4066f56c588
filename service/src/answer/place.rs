//! The place in JSON: how it is taken in and how an answer repeats it.

use serde::Serialize;
use serde_json::{Map, Value};
use std::fmt;
use utoipa::{IntoParams, ToSchema};
use vetplate_parser::place::{PlaceError, PlaceFields};

/// A number of a place: as a number or as text that holds one.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(value_type = f64)]
pub struct PlaceNumber(Value);

/// An ambient range of a place, lowest and highest in °C: `[-20, 40]`.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(value_type = [f64; 2])]
pub struct PlaceRange(Value);

impl fmt::Display for PlaceNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&plain(&self.0))
    }
}

impl PlaceRange {
    /// Lowest and highest as they were given; none where it was no range.
    pub(crate) fn ends(&self) -> Option<(String, String)> {
        match self.0.as_array().map(Vec::as_slice) {
            Some([low, high]) => Some((plain(low), plain(high))),
            _ => None,
        }
    }
}

impl fmt::Display for PlaceRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0.as_array().map(Vec::as_slice) {
            Some([low, high]) => write!(f, "{} to {}", plain(low), plain(high)),
            _ => f.write_str(&plain(&self.0)),
        }
    }
}

fn plain(value: &Value) -> String {
    value
        .as_str()
        .map_or_else(|| value.to_string(), ToOwned::to_owned)
}

/// A place. Every key is optional; the names are those of the command line's flags.
///
/// Taken in, numbers may also be text, `gas` and `dust` may be one name, and
/// `ambient_c` may be `"-20..40"`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, ToSchema, IntoParams)]
#[schema(as = Place)]
#[into_params(parameter_in = Query)]
pub struct PlaceDto {
    /// `0`, `1`, `2`, `20`, `21`, `22`, `mine-M1`, `mine-M2`, `non-hazardous` or
    /// `Class I, Division 1` and the like.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "1")]
    pub zone: Option<String>,
    /// EPL that a documented risk assessment asks for instead of the zone's, `Ga` to `Dc`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub epl: Option<String>,
    /// Gases and vapours present, by name or CAS number.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub gas: Vec<String>,
    /// `IIA`, `IIB`, `IIB+H2`, `IIC`; `A` to `D` with a class and division.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gas_group: Option<String>,
    /// Auto-ignition temperature, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ignition_c: Option<PlaceNumber>,
    /// Temperature class that the place asks for, `T1` to `T6`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub t_class: Option<String>,
    /// Dusts present, by name.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub dust: Vec<String>,
    /// `IIIA`, `IIIB`, `IIIC`; `E` to `G` with a class and division.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dust_group: Option<String>,
    /// Ignition temperature of the dust cloud, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cloud_ignition_c: Option<PlaceNumber>,
    /// Ignition temperature of a 5 mm dust layer, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub layer_ignition_c: Option<PlaceNumber>,
    /// Depth of the dust layer, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub layer_mm: Option<PlaceNumber>,
    /// Highest surface temperature that the place permits, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_surface_c: Option<PlaceNumber>,
    /// Lowest and highest ambient temperature, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ambient_c: Option<PlaceRange>,
    /// IP that the place asks for, such as `65`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ip: Option<String>,
}

impl From<&PlaceFields> for PlaceDto {
    fn from(fields: &PlaceFields) -> Self {
        let number = |field: &Option<String>| field.as_deref().map(number_or_text).map(PlaceNumber);
        Self {
            zone: fields.zone.clone(),
            epl: fields.epl.clone(),
            gas: fields.gas.clone(),
            gas_group: fields.gas_group.clone(),
            ignition_c: number(&fields.ignition_c),
            t_class: fields.t_class.clone(),
            dust: fields.dust.clone(),
            dust_group: fields.dust_group.clone(),
            cloud_ignition_c: number(&fields.cloud_ignition_c),
            layer_ignition_c: number(&fields.layer_ignition_c),
            layer_mm: number(&fields.layer_mm),
            max_surface_c: number(&fields.max_surface_c),
            ambient_c: fields
                .ambient_c
                .as_deref()
                .map(range_or_text)
                .map(PlaceRange),
            ip: fields.ip.clone(),
        }
    }
}

fn number_or_text(text: &str) -> Value {
    let trimmed = text.trim();
    if let Ok(whole) = trimmed.parse::<i64>() {
        return Value::from(whole);
    }
    match trimmed.parse::<f64>() {
        Ok(number) if number.is_finite() => Value::from(number),
        _ => Value::String(text.to_owned()),
    }
}

fn range_or_text(text: &str) -> Value {
    match text.split_once("..") {
        Some((low, high)) => {
            let pair = [number_or_text(low), number_or_text(high)];
            if pair.iter().all(Value::is_number) {
                Value::from(pair.to_vec())
            } else {
                Value::String(text.to_owned())
            }
        }
        None => Value::String(text.to_owned()),
    }
}

/// Every key of a place, in the order of the contract.
pub(crate) const KEYS: [&str; 14] = [
    "zone",
    "epl",
    "gas",
    "gas_group",
    "ignition_c",
    "t_class",
    "dust",
    "dust_group",
    "cloud_ignition_c",
    "layer_ignition_c",
    "layer_mm",
    "max_surface_c",
    "ambient_c",
    "ip",
];

/// Sets the field named `key`; false where a place has no such field.
///
/// `gas` and `dust` gather one name a call; of the others the last call counts.
pub(crate) fn set_field(fields: &mut PlaceFields, key: &str, value: String) -> bool {
    let slot = match key {
        "gas" => {
            fields.gas.push(value);
            return true;
        }
        "dust" => {
            fields.dust.push(value);
            return true;
        }
        "zone" => &mut fields.zone,
        "epl" => &mut fields.epl,
        "gas_group" => &mut fields.gas_group,
        "ignition_c" => &mut fields.ignition_c,
        "t_class" => &mut fields.t_class,
        "dust_group" => &mut fields.dust_group,
        "cloud_ignition_c" => &mut fields.cloud_ignition_c,
        "layer_ignition_c" => &mut fields.layer_ignition_c,
        "layer_mm" => &mut fields.layer_mm,
        "max_surface_c" => &mut fields.max_surface_c,
        "ambient_c" => &mut fields.ambient_c,
        "ip" => &mut fields.ip,
        _ => return false,
    };
    *slot = Some(value);
    true
}

/// One key of a JSON place that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyError {
    /// The key.
    pub key: String,
    /// What was given, as text.
    pub value: String,
    /// What is wrong and what to write instead, a sentence.
    pub message: String,
}

impl KeyError {
    /// The message without the name of the field before it, which a flag or column gives.
    pub(crate) fn bare(&self) -> &str {
        let message = &self.message;
        message
            .strip_prefix(&self.key)
            .and_then(|rest| rest.strip_prefix(": "))
            .unwrap_or(message)
    }
}

impl From<PlaceError> for KeyError {
    fn from(error: PlaceError) -> Self {
        Self {
            key: error.field.to_owned(),
            value: error.value,
            message: error.message,
        }
    }
}

/// Reads a place from JSON or TOML data.
///
/// # Errors
///
/// Every key that a place does not have or whose value is of the wrong kind. What the
/// values mean is checked later, by the parser.
pub fn place_fields(map: &Map<String, Value>) -> Result<PlaceFields, Vec<KeyError>> {
    let mut fields = PlaceFields::default();
    let mut errors = Vec::new();
    for (key, value) in map {
        if !KEYS.contains(&key.as_str()) {
            errors.push(KeyError {
                key: key.clone(),
                value: value.to_string(),
                message: unknown_key(key),
            });
            continue;
        }
        match texts(key, value) {
            Ok(values) => {
                for text in values {
                    set_field(&mut fields, key, text);
                }
            }
            Err(message) => errors.push(KeyError {
                key: key.clone(),
                value: value.to_string(),
                message,
            }),
        }
    }
    if errors.is_empty() {
        Ok(fields)
    } else {
        Err(errors)
    }
}

/// What to say of a key that a place does not have.
pub(crate) fn unknown_key(key: &str) -> String {
    let wanted = key.trim().to_ascii_lowercase().replace(['-', ' '], "_");
    let near = KEYS
        .iter()
        .map(|known| (strsim::damerau_levenshtein(&wanted, known), known))
        .min()
        // Three slips of a finger still leave the word recognisable; more is another word.
        .filter(|(distance, known)| *distance <= 3 && *distance < known.len());
    match near {
        Some((_, known)) => format!("a place has no `{key}`; did you mean `{known}`?"),
        None => format!("a place has no `{key}`; its keys are {}", KEYS.join(", ")),
    }
}

/// The values of one key as text: none for null, several for a list of names.
fn texts(key: &str, value: &Value) -> Result<Vec<String>, String> {
    match (key, value) {
        (_, Value::Null) => Ok(Vec::new()),
        (_, Value::String(text)) => Ok(vec![text.clone()]),
        ("gas" | "dust", Value::Array(names)) => names
            .iter()
            .map(|name| {
                name.as_str()
                    .map(ToOwned::to_owned)
                    .ok_or_else(|| format!("`{key}` takes one name or a list of names"))
            })
            .collect(),
        ("gas" | "dust", _) => Err(format!("`{key}` takes one name or a list of names")),
        ("ambient_c", Value::Array(ends)) => match ends.as_slice() {
            [Value::Number(low), Value::Number(high)] => Ok(vec![format!("{low}..{high}")]),
            _ => Err("`ambient_c` takes two numbers, lowest first: [-20, 40]".to_owned()),
        },
        ("ambient_c", _) => {
            Err("`ambient_c` takes [-20, 40] or \"-20..40\", lowest first".to_owned())
        }
        (_, Value::Number(number)) => Ok(vec![number.to_string()]),
        (_, Value::Bool(_) | Value::Array(_) | Value::Object(_)) => {
            Err(format!("`{key}` takes one text or number"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn read(value: Value) -> Result<PlaceFields, Vec<KeyError>> {
        let Value::Object(map) = value else {
            panic!("not an object")
        };
        place_fields(&map)
    }

    #[test]
    fn numbers_lists_and_text_are_taken() {
        let fields = read(json!({
            "zone": 1, "gas": "ethanol", "ignition_c": 400, "layer_mm": 5.5,
            "dust": ["grain", "flour"], "ambient_c": [-10, 45], "ip": null
        }))
        .unwrap();
        assert_eq!(fields.zone.as_deref(), Some("1"));
        assert_eq!(fields.gas, ["ethanol"]);
        assert_eq!(fields.ignition_c.as_deref(), Some("400"));
        assert_eq!(fields.layer_mm.as_deref(), Some("5.5"));
        assert_eq!(fields.dust, ["grain", "flour"]);
        assert_eq!(fields.ambient_c.as_deref(), Some("-10..45"));
        assert_eq!(fields.ip, None);
    }

    #[test]
    fn wrong_keys_and_kinds_are_all_named() {
        let errors = read(json!({
            "gasgroup": "IIB", "ambient_c": [1, 2, 3], "gas": 5, "epl": ["Gb"], "colour": "red"
        }))
        .unwrap_err();
        assert_eq!(errors.len(), 5);
        let of = |key: &str| &errors.iter().find(|e| e.key == key).unwrap().message;
        assert!(of("gasgroup").contains("did you mean `gas_group`"));
        assert!(of("colour").contains("its keys are zone"));
        assert!(of("ambient_c").contains("[-20, 40]"));
        assert!(of("gas").contains("list of names"));
        assert!(of("epl").contains("one text or number"));
    }

    #[test]
    fn a_place_is_repeated_as_it_was_given() {
        let given = json!({
            "zone": "1", "gas": ["ethanol"], "ignition_c": 400, "ambient_c": [-20, 45]
        });
        let dto = PlaceDto::from(&read(given.clone()).unwrap());
        assert_eq!(serde_json::to_value(dto).unwrap(), given);
    }

    #[test]
    fn every_key_can_be_set() {
        for key in KEYS {
            assert!(
                set_field(&mut PlaceFields::default(), key, "x".into()),
                "{key}"
            );
        }
        assert!(!set_field(
            &mut PlaceFields::default(),
            "colour",
            "x".into()
        ));
    }
}
