//! Languages of the catalogue.

use std::fmt;

/// A language that the whole catalogue speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Language {
    /// English, as the code and the JSON keys speak it.
    #[default]
    English,
    /// German.
    German,
    /// French.
    French,
}

impl Language {
    /// Every language.
    pub const ALL: [Self; 3] = [Self::English, Self::German, Self::French];

    /// The tag of RFC 5646: `en`, `de`, `fr`.
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
            Self::French => "fr",
        }
    }

    /// The language that a tag asks for, whatever its country: `de-AT`, `fr_CA.UTF-8`; none
    /// where the catalogue does not speak it.
    pub fn from_tag(tag: &str) -> Option<Self> {
        let first = tag.trim().split(['-', '_', '.', '@']).next()?;
        Self::ALL
            .into_iter()
            .find(|language| first.eq_ignore_ascii_case(language.tag()))
    }

    /// A number written with a point, with the decimal sign of the language.
    pub fn number(self, written: &str) -> String {
        match self {
            Self::English => written.to_owned(),
            Self::German | Self::French => written.replace('.', ","),
        }
    }
}

impl fmt::Display for Language {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.tag())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags() {
        for (tag, language) in [
            ("de", Some(Language::German)),
            ("DE-at", Some(Language::German)),
            ("fr_CA.UTF-8", Some(Language::French)),
            ("en-GB", Some(Language::English)),
            ("den", None),
            ("es", None),
            ("", None),
        ] {
            assert_eq!(Language::from_tag(tag), language, "{tag}");
        }
        assert_eq!(Language::German.number("0.5"), "0,5");
    }
}
