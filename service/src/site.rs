//! A site's locations from a file: which place has which tag.

mod csv;
mod toml;

use crate::answer::unknown_key;
use std::path::{Path, PathBuf};
use vetplate_parser::place::PlaceFields;

/// Largest site file in bytes: some hundred thousand locations.
const MAX_BYTES: u64 = 32 << 20;

/// One location of a site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Location {
    /// By what it is found.
    pub tag: String,
    /// What it is called, for people.
    pub description: Option<String>,
    /// Where it stands in the file: row or line.
    pub at: String,
    /// The place.
    pub place: PlaceFields,
}

/// Why a site file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum SiteError {
    /// It cannot be read.
    #[error("{}: {reason}; give the path of a CSV or TOML file", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system says.
        reason: String,
    },
    /// It is larger than a site file can be.
    #[error("{}: the file has more than {limit} bytes, which no list of locations needs", path.display())]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// What is allowed.
        limit: u64,
    },
    /// Something in it is wrong.
    #[error("{}: {at}: {message}", path.display())]
    Wrong {
        /// The file.
        path: PathBuf,
        /// Row and column, or line.
        at: String,
        /// What is wrong and what to write instead.
        message: String,
    },
    /// It holds no such location.
    #[error("{}: no location has the tag {tag:?}; {known}", path.display())]
    UnknownTag {
        /// The file.
        path: PathBuf,
        /// What was asked for.
        tag: String,
        /// Which tags there are.
        known: String,
    },
}

/// A fault in the text of a site file, before its path is known.
struct Fault {
    at: String,
    message: String,
}

impl Fault {
    fn new(at: impl Into<String>, message: impl Into<String>) -> Self {
        Self {
            at: at.into(),
            message: message.into(),
        }
    }
}

/// Every location in the file at `path`: TOML where its name ends so, else CSV.
///
/// # Errors
///
/// [`SiteError`] with row and column of the first fault.
pub(crate) fn load(path: &Path) -> Result<Vec<Location>, SiteError> {
    let unreadable = |reason: String| SiteError::Unreadable {
        path: path.to_owned(),
        reason,
    };
    let meta = std::fs::metadata(path).map_err(|e| unreadable(e.to_string()))?;
    if meta.is_dir() {
        return Err(unreadable("it is a folder".to_owned()));
    }
    if meta.len() > MAX_BYTES {
        return Err(SiteError::TooLarge {
            path: path.to_owned(),
            limit: MAX_BYTES,
        });
    }
    let bytes = std::fs::read(path).map_err(|e| unreadable(e.to_string()))?;
    let wrong = |fault: Fault| SiteError::Wrong {
        path: path.to_owned(),
        at: fault.at,
        message: fault.message,
    };
    let text = std::str::from_utf8(&bytes).map_err(|e| {
        let line = bytes[..e.valid_up_to()].split(|b| *b == b'\n').count();
        wrong(Fault::new(
            format!("line {line}"),
            "the text is not UTF-8; save the file as \"CSV UTF-8\"",
        ))
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let is_toml = path
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("toml"));
    if is_toml {
        toml::locations(text)
    } else {
        csv::locations(text)
    }
    .map_err(wrong)
}

/// The location that has `tag`, from the file at `path`.
///
/// # Errors
///
/// [`SiteError`], also where no location has the tag.
pub(crate) fn location(path: &Path, tag: &str) -> Result<Location, SiteError> {
    let locations = load(path)?;
    if let Some(found) = locations.iter().find(|l| l.tag == tag) {
        return Ok(found.clone());
    }
    let near = locations
        .iter()
        .map(|l| (strsim::jaro_winkler(&l.tag, tag), &l.tag))
        .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(a.1)))
        // Below this two tags only share some letters.
        .filter(|(likeness, _)| *likeness > 0.8);
    Err(SiteError::UnknownTag {
        path: path.to_owned(),
        tag: tag.to_owned(),
        known: match near {
            Some((_, tag)) => format!("did you mean {tag:?}?"),
            None => format!("the file has {} locations", locations.len()),
        },
    })
}

/// Lays what the user gave over what the site file says.
///
/// A field that was given outranks the same field of the site. Where it makes others
/// meaningless, those fall away with it, lest the values of one substance be used for
/// another: a gas drops the site's group, ignition temperature and class; a dust drops
/// group, ignition temperatures and surface limit; a zone drops the EPL that a risk
/// assessment found for the site's zone.
pub(crate) fn overlay(mut site: PlaceFields, given: &PlaceFields) -> PlaceFields {
    if given.zone.is_some() && given.zone != site.zone {
        site.epl = None;
    }
    if !given.gas.is_empty() && given.gas != site.gas {
        site.gas.clear();
        site.gas_group = None;
        site.ignition_c = None;
        site.t_class = None;
    }
    if !given.dust.is_empty() && given.dust != site.dust {
        site.dust.clear();
        site.dust_group = None;
        site.cloud_ignition_c = None;
        site.layer_ignition_c = None;
        site.max_surface_c = None;
    }
    let or = |given: &Option<String>, site: Option<String>| given.clone().or(site);
    let list = |given: &Vec<String>, site: Vec<String>| {
        if given.is_empty() {
            site
        } else {
            given.clone()
        }
    };
    PlaceFields {
        zone: or(&given.zone, site.zone),
        epl: or(&given.epl, site.epl),
        gas: list(&given.gas, site.gas),
        gas_group: or(&given.gas_group, site.gas_group),
        ignition_c: or(&given.ignition_c, site.ignition_c),
        t_class: or(&given.t_class, site.t_class),
        dust: list(&given.dust, site.dust),
        dust_group: or(&given.dust_group, site.dust_group),
        cloud_ignition_c: or(&given.cloud_ignition_c, site.cloud_ignition_c),
        layer_ignition_c: or(&given.layer_ignition_c, site.layer_ignition_c),
        layer_mm: or(&given.layer_mm, site.layer_mm),
        max_surface_c: or(&given.max_surface_c, site.max_surface_c),
        ambient_c: or(&given.ambient_c, site.ambient_c),
        ip: or(&given.ip, site.ip),
    }
}

/// What to say of a key or column that a location does not have.
fn unknown_column(name: &str) -> String {
    format!(
        "{}; `tag` and `description` are allowed too, and whatever begins with `#` is ignored",
        unknown_key(name)
    )
}

/// The first tag that stands twice.
fn doubled(locations: &[Location]) -> Option<&str> {
    let mut tags: Vec<&str> = locations.iter().map(|l| l.tag.as_str()).collect();
    tags.sort_unstable();
    tags.windows(2).find(|w| w[0] == w[1]).map(|w| w[0])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(pairs: &[(&str, &str)]) -> PlaceFields {
        let mut fields = PlaceFields::default();
        for (key, value) in pairs {
            assert!(crate::answer::set_field(
                &mut fields,
                key,
                (*value).to_owned()
            ));
        }
        fields
    }

    #[test]
    fn another_gas_drops_what_the_site_says_of_its_own() {
        let site = fields(&[
            ("zone", "1"),
            ("gas", "ethanol"),
            ("gas_group", "IIB"),
            ("ignition_c", "400"),
            ("ambient_c", "-20..45"),
        ]);
        let got = overlay(site, &fields(&[("gas", "hydrogen")]));
        assert_eq!(
            got,
            fields(&[("zone", "1"), ("gas", "hydrogen"), ("ambient_c", "-20..45")])
        );
    }

    #[test]
    fn one_value_of_the_same_gas_is_replaced_alone() {
        let site = fields(&[
            ("gas", "ethanol"),
            ("gas_group", "IIA"),
            ("ignition_c", "400"),
        ]);
        let got = overlay(site, &fields(&[("gas_group", "IIB")]));
        assert_eq!(
            got,
            fields(&[
                ("gas", "ethanol"),
                ("gas_group", "IIB"),
                ("ignition_c", "400")
            ])
        );
    }

    #[test]
    fn another_zone_drops_the_level_of_the_risk_assessment() {
        let site = fields(&[("zone", "1"), ("epl", "Gc")]);
        let got = overlay(site.clone(), &fields(&[("zone", "0")]));
        assert_eq!(got, fields(&[("zone", "0")]));
        assert_eq!(overlay(site.clone(), &fields(&[("zone", "1")])), site);
    }

    #[test]
    fn another_dust_drops_the_values_of_the_first() {
        let site = fields(&[
            ("dust", "grain"),
            ("dust_group", "IIIB"),
            ("cloud_ignition_c", "420"),
            ("layer_ignition_c", "290"),
            ("layer_mm", "5"),
        ]);
        let got = overlay(site, &fields(&[("dust", "aluminium")]));
        assert_eq!(got, fields(&[("dust", "aluminium"), ("layer_mm", "5")]));
    }
}
