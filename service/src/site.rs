//! A site from files: which place has which tag, and what was certified.

mod certificates;
mod csv;
mod overlay;
mod table;
mod toml;

pub use certificates::CertificateFile;

use crate::answer::{KeyError, unknown_key};
use crate::pipeline::GivenPlace;
use overlay::overlay;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use vetplate_parser::certificates::CertificateList;
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
    #[error("{}: {reason}; give the path of a file that can be read", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system says.
        reason: String,
    },
    /// It is larger than a site file can be.
    #[error("{}: the file has more than {limit} bytes, which no list of a site needs", path.display())]
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

impl SiteError {
    /// What is wrong, for strangers whom the path of the file does not concern.
    pub(crate) fn without_path(&self) -> String {
        match self {
            Self::Unreadable { reason, .. } => reason.clone(),
            Self::TooLarge { limit, .. } => format!("more than {limit} bytes"),
            Self::Wrong { at, message, .. } => format!("{at}: {message}"),
            Self::UnknownTag { tag, known, .. } => {
                format!("no location has the tag {tag:?}; {known}")
            }
        }
    }

    fn wrong(path: &Path, fault: Fault) -> Self {
        Self::Wrong {
            path: path.to_owned(),
            at: fault.at,
            message: fault.message,
        }
    }
}

/// Locations and certificates of a site, either or both.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Site {
    path: PathBuf,
    locations: Vec<Location>,
    certificates: Option<CertificateFile>,
    /// What a register keeps, where the site itself has no list.
    fallback: Option<Arc<CertificateList>>,
}

impl Site {
    /// Reads the site file (TOML where its name ends so, else CSV) and the list of certificates:
    /// the one given, or the one that the site file names.
    ///
    /// # Errors
    ///
    /// [`SiteError`] with row and column of the first fault.
    pub fn open(site: Option<&Path>, certificates: Option<&Path>) -> Result<Self, SiteError> {
        let (locations, named) = site.map(load).transpose()?.unwrap_or_default();
        let beside = named.map(|name| {
            let folder = site.and_then(Path::parent).unwrap_or(Path::new(""));
            folder.join(name)
        });
        let certificates = certificates.or(beside.as_deref());
        Ok(Self {
            path: site.unwrap_or(Path::new("")).to_owned(),
            locations,
            certificates: certificates.map(CertificateFile::load).transpose()?,
            fallback: None,
        })
    }

    /// The locations of the text of a site file that came without a path.
    ///
    /// # Errors
    ///
    /// [`SiteError::Wrong`] with row and column of the first fault.
    pub fn from_text(text: &str, is_toml: bool) -> Result<Self, SiteError> {
        let path = Path::new("");
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        Ok(Self {
            locations: parsed(text, is_toml)
                .map_err(|fault| SiteError::wrong(path, fault))?
                .0,
            ..Self::default()
        })
    }

    /// Every location.
    pub fn locations(&self) -> &[Location] {
        &self.locations
    }

    /// The list of certificates, where the site has one.
    pub fn certificates(&self) -> Option<&CertificateFile> {
        self.certificates.as_ref()
    }

    /// The same site; where it has no list of certificates, plates are held against this one.
    #[must_use]
    pub fn or_certificates(mut self, kept: Option<Arc<CertificateList>>) -> Self {
        if self.certificates.is_none() {
            self.fallback = kept;
        }
        self
    }

    /// The location that has `tag`.
    ///
    /// # Errors
    ///
    /// [`SiteError::UnknownTag`].
    pub fn location(&self, tag: &str) -> Result<&Location, SiteError> {
        if let Some(found) = self.locations.iter().find(|l| l.tag == tag) {
            return Ok(found);
        }
        let near = self
            .locations
            .iter()
            .map(|l| (strsim::jaro_winkler(&l.tag, tag), &l.tag))
            .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(a.1)))
            // Below this two tags only share some letters.
            .filter(|(likeness, _)| *likeness > 0.8);
        Err(SiteError::UnknownTag {
            path: self.path.clone(),
            tag: tag.to_owned(),
            known: match near {
                Some((_, tag)) => format!("did you mean {tag:?}?"),
                None => format!("the file has {} locations", self.locations.len()),
            },
        })
    }

    /// Why the place of a location cannot be used, with row and column; nothing where it can.
    pub fn faults(&self, location: &Location) -> Vec<SiteError> {
        let Err(errors) = GivenPlace::check(location.place.clone()) else {
            return Vec::new();
        };
        errors
            .iter()
            .map(|e| SiteError::Wrong {
                path: self.path.clone(),
                at: format!("{}, column {}", location.at, e.key),
                message: e.bare().to_owned(),
            })
            .collect()
    }

    /// The place that `given` and, beneath it, a location describe, to be held against the
    /// certificates of the site; none where neither says anything.
    ///
    /// # Errors
    ///
    /// Every key that cannot be used.
    pub fn place(
        &self,
        given: PlaceFields,
        location: Option<&Location>,
    ) -> Result<Option<GivenPlace>, Vec<KeyError>> {
        let fields = match location {
            Some(location) => overlay(location.place.clone(), &given),
            None => given,
        };
        let place = GivenPlace::check(fields)?;
        let list = self
            .certificates
            .as_ref()
            .map(|file| Arc::clone(&file.list));
        let list = list.or_else(|| self.fallback.clone());
        Ok(place.map(|place| place.with_certificates(list)))
    }
}

/// The text of a file of the site, without a byte order mark.
fn text_of(path: &Path) -> Result<String, SiteError> {
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
    let text = String::from_utf8(bytes).map_err(|e| {
        let valid = e.utf8_error().valid_up_to();
        let line = e.as_bytes()[..valid].split(|b| *b == b'\n').count();
        SiteError::wrong(
            path,
            Fault::new(
                format!("line {line}"),
                "the text is not UTF-8; save the file as \"CSV UTF-8\"",
            ),
        )
    })?;
    Ok(match text.strip_prefix('\u{feff}') {
        Some(rest) => rest.to_owned(),
        None => text,
    })
}

/// Locations of a site file, and the list of certificates that it names.
fn load(path: &Path) -> Result<(Vec<Location>, Option<String>), SiteError> {
    let text = text_of(path)?;
    let is_toml = path
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("toml"));
    parsed(&text, is_toml).map_err(|fault| SiteError::wrong(path, fault))
}

fn parsed(text: &str, is_toml: bool) -> Result<(Vec<Location>, Option<String>), Fault> {
    if is_toml {
        toml::locations(text)
    } else {
        csv::locations(text).map(|locations| (locations, None))
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
