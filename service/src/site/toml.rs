//! Locations as TOML: a `[[location]]` each, with `tag`, `description` and the keys of a place,
//! and above them `certificates`, the file of the site's list of certificates.

use super::{Fault, Location, doubled, unknown_column};
use crate::answer::{KEYS, place_fields};
use serde::Deserialize;
use serde_json::{Map, Value};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    certificates: Option<String>,
    #[serde(default)]
    location: Vec<toml::Spanned<Map<String, Value>>>,
}

/// Reads the list of locations, and the name of the list of certificates where there is one.
pub(super) fn locations(text: &str) -> Result<(Vec<Location>, Option<String>), Fault> {
    let line_of = |byte: usize| {
        let before = text.get(..byte).unwrap_or(text);
        1 + before.matches('\n').count()
    };
    let file: File = toml::from_str(text).map_err(|error| {
        let at = error.span().map_or_else(
            || "the file".to_owned(),
            |s| format!("line {}", line_of(s.start)),
        );
        Fault::new(at, error.message())
    })?;
    if file.location.is_empty() {
        return Err(Fault::new(
            "the file",
            "it holds no [[location]]; write one for each place of the site",
        ));
    }
    let mut locations = Vec::new();
    for entry in file.location {
        let line = line_of(entry.span().start);
        locations.push(location(line, entry.into_inner())?);
    }
    match doubled(&locations) {
        Some(tag) => Err(Fault::new(
            "the file",
            format!("two locations have the tag {tag:?}; give each its own"),
        )),
        None => Ok((locations, file.certificates)),
    }
}

fn location(line: usize, mut map: Map<String, Value>) -> Result<Location, Fault> {
    let mut text_of = |key: &str| match map.remove(key) {
        None => Ok(None),
        Some(Value::String(text)) => Ok(Some(text)),
        Some(other) => Err(Fault::new(
            format!("location at line {line}, {key}"),
            format!("{other} is no text; put it into quotes"),
        )),
    };
    let tag = text_of("tag")?;
    let description = text_of("description")?;
    let Some(tag) = tag.filter(|t| !t.is_empty()) else {
        return Err(Fault::new(
            format!("location at line {line}"),
            "it has no `tag`, by which it is found",
        ));
    };
    if let Some(key) = map.keys().find(|k| !KEYS.contains(&k.as_str())) {
        return Err(Fault::new(
            format!("location {tag:?}, {key}"),
            unknown_column(key),
        ));
    }
    let place = place_fields(&map).map_err(|errors| {
        errors.into_iter().next().map_or_else(
            || Fault::new(format!("location {tag:?}"), "it cannot be used"),
            |e| Fault::new(format!("location {tag:?}, {}", e.key), e.message),
        )
    })?;
    Ok(Location {
        tag,
        description,
        at: format!("line {line}"),
        place,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(text: &str) -> String {
        let fault = locations(text).err().unwrap();
        format!("{}: {}", fault.at, fault.message)
    }

    #[test]
    fn list_of_a_site() {
        let text = r#"
            certificates = "certificates.csv"

            [[location]]
            tag = "STILL-1"
            description = "Still house"
            zone = 1
            gas = ["ethanol"]
            ambient_c = [-10, 45]

            [[location]]
            tag = "MILL-2"
            zone = "22"
        "#;
        let (got, certificates) = locations(text).ok().unwrap();
        assert_eq!(certificates.as_deref(), Some("certificates.csv"));
        assert_eq!(got[0].place.zone.as_deref(), Some("1"));
        assert_eq!(got[0].place.ambient_c.as_deref(), Some("-10..45"));
        assert_eq!(got[1].tag, "MILL-2");
    }

    #[test]
    fn faults_name_the_location() {
        assert!(fault("zone = ").starts_with("line 1: "));
        assert!(fault("").contains("holds no [[location]]"));
        assert!(fault("[[location]]\nzone = 1\n").contains("it has no `tag`"));
        assert_eq!(
            fault("[[location]]\ntag = 5\n"),
            "location at line 1, tag: 5 is no text; put it into quotes"
        );
        assert!(
            fault("[[location]]\ntag = \"A\"\ngasgroup = \"IIB\"\n")
                .starts_with("location \"A\", gasgroup: a place has no `gasgroup`; did you mean")
        );
        assert!(
            fault("[[location]]\ntag = \"A\"\nambient_c = [1]\n")
                .starts_with("location \"A\", ambient_c: `ambient_c` takes two numbers")
        );
    }
}
