//! What is said to people: data where a fact is found, text at the edge.
//!
//! A [`Message`] is an id of the catalogue with its arguments. Nothing is put into words before
//! somebody asks for them in a [`Language`], so that a verdict costs no more in three languages
//! than in one. The words stand in `parser/messages/LANGUAGE/*.ftl`.

mod argument;
mod catalogue;
mod citation;
mod language;

pub use argument::{Argument, signed};
pub use language::Language;

use std::fmt;

/// A sentence, or a part of one, that can be said in every language.
#[derive(Debug, Clone, PartialEq)]
pub struct Message(Kind);

#[derive(Debug, Clone, PartialEq)]
enum Kind {
    /// An entry of the catalogue.
    Entry {
        id: &'static str,
        arguments: Vec<(&'static str, Argument)>,
    },
    /// An entry of the catalogue named after a value that is no text, such as a check.
    Named { prefix: &'static str, name: String },
    /// The same in every language: what is printed on a plate, a symbol, a name.
    Verbatim(String),
    /// A clause and how it is known.
    Citation(&'static str),
    /// Several, one after the other.
    List { items: Vec<Message>, joint: Joint },
}

/// What stands between the items of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joint {
    /// `a, b, c`
    Comma,
    /// `a; b; c`
    Semicolon,
    /// `a and b and c`
    And,
    /// `a or b or c`
    Or,
    /// `a. b. c.` as sentences that are complete by themselves.
    Blank,
}

impl Message {
    /// An entry of the catalogue; the macro [`message!`](crate::message!) writes this shorter,
    /// and the tests look for it by that name.
    #[doc(hidden)]
    pub fn entry(id: &'static str, arguments: Vec<(&'static str, Argument)>) -> Self {
        Self(Kind::Entry { id, arguments })
    }

    /// The entry `PREFIX-NAME`, with every character of the name that is no letter or figure
    /// turned into a hyphen.
    pub(crate) fn named(prefix: &'static str, name: impl Into<String>) -> Self {
        Self(Kind::Named {
            prefix,
            name: name.into(),
        })
    }

    /// Text that is the same in every language: what a plate prints, a symbol, a name.
    pub fn verbatim(text: impl fmt::Display) -> Self {
        Self(Kind::Verbatim(text.to_string()))
    }

    /// A standard with its clause and the tag of how it is known.
    pub fn citation(source: &'static str) -> Self {
        Self(Kind::Citation(source))
    }

    /// Several messages as one.
    pub fn list(items: impl IntoIterator<Item = impl Into<Message>>, joint: Joint) -> Self {
        Self(Kind::List {
            items: items.into_iter().map(Into::into).collect(),
            joint,
        })
    }

    /// The id in the catalogue; none for text that is the same in every language.
    pub fn id(&self) -> Option<&'static str> {
        match &self.0 {
            Kind::Entry { id, .. } => Some(id),
            _ => None,
        }
    }

    /// True if its English words contain a text.
    pub fn contains(&self, text: &str) -> bool {
        self.to_string().contains(text)
    }

    /// The words in a language.
    pub fn text(&self, language: Language) -> String {
        match &self.0 {
            Kind::Entry { id, arguments } => {
                let words: Vec<_> = arguments
                    .iter()
                    .map(|(name, argument)| (*name, argument.text(language)))
                    .collect();
                catalogue::say(language, id, words)
            }
            Kind::Named { prefix, name } => {
                catalogue::say(language, &slug(prefix, name), Vec::new())
            }
            Kind::Verbatim(text) => text.clone(),
            Kind::Citation(source) => citation::translated(source, language),
            Kind::List { items, joint } => {
                let words: Vec<String> = items.iter().map(|m| m.text(language)).collect();
                words.join(&joint.text(language))
            }
        }
    }
}

fn slug(prefix: &str, name: &str) -> String {
    let name: String = name
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() {
                c.to_ascii_lowercase()
            } else {
                '-'
            }
        })
        .collect();
    format!("{prefix}-{name}")
}

impl Joint {
    fn text(self, language: Language) -> String {
        match self {
            Self::Comma => ", ".to_owned(),
            Self::Semicolon => match language {
                Language::French => " ; ".to_owned(),
                _ => "; ".to_owned(),
            },
            Self::Blank => " ".to_owned(),
            Self::And => format!(" {} ", catalogue::say(language, "joint-and", Vec::new())),
            Self::Or => format!(" {} ", catalogue::say(language, "joint-or", Vec::new())),
        }
    }
}

/// In English.
impl fmt::Display for Message {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text(Language::English))
    }
}

/// A message of the catalogue: its id, then each argument by name.
///
/// ```
/// use vetplate_parser::{Language, message};
///
/// let said = message!("group-covers", have = "IIC", need = "IIB");
/// assert_eq!(said.text(Language::English), "group IIC covers IIB");
/// ```
#[macro_export]
macro_rules! message {
    ($id:literal $(, $name:ident = $value:expr)* $(,)?) => {
        $crate::Message::entry($id, vec![$((stringify!($name), $crate::Argument::from($value))),*])
    };
}
