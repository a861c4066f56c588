//! A location of the site.

use super::LocationId;
use jiff::Timestamp;
use serde_json::Value;
use vetplate_parser::place::PlaceFields;

/// What is known of a location.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LocationFacts {
    /// By what it is found; upper and lower case are the same.
    pub tag: String,
    /// What it is called, for people.
    pub description: Option<String>,
    /// The place; no field at all where it is not known.
    pub place: PlaceFields,
}

/// A location as the register holds it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LocationRecord {
    /// Its row.
    pub id: LocationId,
    /// What is known of it.
    pub facts: LocationFacts,
    /// Rises with every change.
    pub version: i64,
    /// Last change.
    pub changed_at: Timestamp,
}

/// The fields as JSON with the keys of a place; every value stays the text it was given as.
pub(super) fn place_to_json(place: &PlaceFields) -> Value {
    let mut map = serde_json::Map::new();
    let mut put = |key: &str, value: &Option<String>| {
        if let Some(text) = value {
            map.insert(key.to_owned(), Value::from(text.as_str()));
        }
    };
    put("zone", &place.zone);
    put("epl", &place.epl);
    put("gas_group", &place.gas_group);
    put("ignition_c", &place.ignition_c);
    put("t_class", &place.t_class);
    put("dust_group", &place.dust_group);
    put("cloud_ignition_c", &place.cloud_ignition_c);
    put("layer_ignition_c", &place.layer_ignition_c);
    put("layer_mm", &place.layer_mm);
    put("max_surface_c", &place.max_surface_c);
    put("ambient_c", &place.ambient_c);
    put("ip", &place.ip);
    for (key, names) in [("gas", &place.gas), ("dust", &place.dust)] {
        if !names.is_empty() {
            map.insert(key.to_owned(), Value::from(names.clone()));
        }
    }
    Value::Object(map)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::{KEYS, place_fields, set_field};

    #[test]
    fn a_place_comes_back_as_it_was_kept() {
        let mut place = PlaceFields::default();
        for key in KEYS {
            set_field(&mut place, key, format!("value of {key}"));
        }
        set_field(&mut place, "gas", "second".to_owned());
        let Value::Object(map) = place_to_json(&place) else {
            panic!("no object")
        };
        assert_eq!(map.len(), KEYS.len());
        assert_eq!(place_fields(&map).unwrap(), place);
    }
}
