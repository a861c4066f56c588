//! Text in 80 columns.

use crate::harmless::steers;
use std::borrow::Cow;
use textwrap::{Options, WordSplitter, core::display_width, wrap};
use vetplate_parser::{Language, Message};

/// Columns of a page; what every terminal shows.
const WIDTH: usize = 80;
/// Columns that a label may take before its text moves to the next line.
const LABEL: usize = 14;

/// A page in one language that grows from top to bottom.
#[derive(Default)]
pub(super) struct Page {
    language: Language,
    text: String,
}

/// What can stand on a page: text as it is, or a message in the page's language.
pub(super) trait Say {
    fn say(&self, language: Language) -> Cow<'_, str>;
}

impl Say for str {
    fn say(&self, _: Language) -> Cow<'_, str> {
        Cow::Borrowed(self)
    }
}

impl Say for &str {
    fn say(&self, _: Language) -> Cow<'_, str> {
        Cow::Borrowed(self)
    }
}

impl Say for String {
    fn say(&self, _: Language) -> Cow<'_, str> {
        Cow::Borrowed(self)
    }
}

impl Say for Message {
    fn say(&self, language: Language) -> Cow<'_, str> {
        Cow::Owned(self.text(language))
    }
}

impl Page {
    /// An empty page.
    pub(super) fn new(language: Language) -> Self {
        Self {
            language,
            text: String::new(),
        }
    }

    /// A number with the decimal sign of the page.
    pub(super) fn number(&self, number: impl std::fmt::Display) -> String {
        self.language.number(&number.to_string())
    }

    /// The words of a message on this page.
    pub(super) fn words(&self, message: &Message) -> String {
        message.text(self.language)
    }

    /// A line of its own, after a blank one.
    pub(super) fn heading(&mut self, heading: &(impl Say + ?Sized)) {
        if !self.text.is_empty() {
            self.text.push('\n');
        }
        self.wrapped(&heading.say(self.language), "", "  ");
    }

    /// A paragraph from the left margin.
    pub(super) fn paragraph(&mut self, text: &(impl Say + ?Sized)) {
        self.wrapped(&text.say(self.language), "", "  ");
    }

    /// A list entry.
    pub(super) fn bullet(&mut self, text: &(impl Say + ?Sized)) {
        self.wrapped(&text.say(self.language), "  - ", "    ");
    }

    /// A label and its text in two columns; a long label stands in a line of its own.
    pub(super) fn row(&mut self, label: &(impl Say + ?Sized), text: &(impl Say + ?Sized)) {
        let label = clean(&label.say(self.language));
        let text = text.say(self.language).into_owned();
        let hang = " ".repeat(LABEL + 3);
        let width = display_width(&label);
        if width > LABEL {
            self.wrapped(&label, "  ", "    ");
            self.wrapped(&text, &hang, &hang);
        } else {
            let first = format!("  {label}{} ", " ".repeat(LABEL - width));
            self.wrapped(&text, &first, &hang);
        }
    }

    /// A line beneath the text of a row.
    pub(super) fn beneath(&mut self, text: &(impl Say + ?Sized)) {
        let hang = " ".repeat(LABEL + 3);
        self.wrapped(&text.say(self.language), &hang, &hang);
    }

    pub(super) fn into_text(self) -> String {
        self.text
    }

    fn wrapped(&mut self, text: &str, first: &str, rest: &str) {
        let options = Options::new(WIDTH)
            .initial_indent(first)
            .subsequent_indent(rest)
            .word_splitter(WordSplitter::NoHyphenation);
        let text = clean(text);
        for line in wrap(&text, options) {
            self.text.push_str(line.trim_end());
            self.text.push('\n');
        }
    }
}

/// Leaves nothing in that could steer a terminal: text comes from photos and strangers.
pub(super) fn clean(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' | '\n' | '\r' => ' ',
            c if steers(c) => char::REPLACEMENT_CHARACTER,
            c => c,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_the_page() {
        let mut page = Page::default();
        page.heading(&"Why");
        page.row(&"unsuitable", &"wider than one line ".repeat(10));
        page.row(&"a label that is too long", &"ℓ°≤ ".repeat(40));
        page.bullet(&"x".repeat(200));
        page.beneath(&"word ".repeat(30));
        let text = page.into_text();
        assert!(text.lines().count() > 8);
        for line in text.lines() {
            assert!(display_width(line) <= WIDTH, "{line}");
        }
    }

    #[test]
    fn rows_hang_under_their_text() {
        let mut page = Page::default();
        page.row(
            &"IIC",
            &"the group of hydrogen and acetylene, which covers IIB and IIA as well, ok",
        );
        assert_eq!(
            page.into_text(),
            "  IIC            the group of hydrogen and acetylene, which covers IIB and IIA\n\
             \x20                as well, ok\n"
        );
    }

    #[test]
    fn nothing_steers_the_terminal() {
        assert_eq!(
            clean("a\u{1b}[31mb\u{202e}c\td"),
            "a\u{fffd}[31mb\u{fffd}c d"
        );
    }
}
