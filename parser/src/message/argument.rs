//! What is put into a message.

use super::{Language, Message};
use crate::marking::{Category, Epl, Group, ProtectionType, Quantity, TClass, Temperature};
use std::fmt;

/// A value in a message.
#[derive(Debug, Clone, PartialEq)]
pub enum Argument {
    /// The same in every language.
    Text(String),
    /// A number, with the decimal sign of the language.
    Number(f64),
    /// A number that always shows its sign.
    Signed(f64),
    /// Another message.
    Message(Message),
}

impl Argument {
    pub(super) fn text(&self, language: Language) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Number(number) => language.number(&number.to_string()),
            Self::Signed(number) => language.number(&format!("{number:+}")).replace('-', "−"),
            Self::Message(message) => message.text(language),
        }
    }
}

/// A number that shows its sign, with a true minus: `−20`, `+40`.
pub const fn signed(number: f64) -> Argument {
    Argument::Signed(number)
}

impl From<f64> for Argument {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl From<Message> for Argument {
    fn from(message: Message) -> Self {
        Self::Message(message)
    }
}

impl From<&Message> for Argument {
    fn from(message: &Message) -> Self {
        Self::Message(message.clone())
    }
}

/// Everything that reads the same in every language.
macro_rules! as_text {
    ($($kind:ty),* $(,)?) => {$(
        impl From<$kind> for Argument {
            fn from(value: $kind) -> Self {
                Self::Text(value.to_string())
            }
        }
    )*};
}

as_text!(
    &str,
    String,
    &String,
    char,
    u8,
    u32,
    u64,
    usize,
    i32,
    Epl,
    Group,
    &Group,
    TClass,
    &TClass,
    Category,
    &Category,
    Quantity,
    ProtectionType,
    &Temperature,
);

impl fmt::Display for Argument {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text(Language::English))
    }
}
