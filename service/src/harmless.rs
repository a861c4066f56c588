//! Text from photos and strangers, on its way to a terminal or into a sentence.

/// True for what steers a terminal, turns the direction of writing or hides in it.
pub(crate) fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
}

/// Text in which what steers is written out, so that a person sees it; what is longer than `limit`
/// characters is cut.
pub(crate) fn harmless(text: &str, limit: usize) -> String {
    let mut shown = String::new();
    for (count, c) in text.chars().enumerate() {
        if count == limit {
            shown.push('…');
            break;
        }
        if steers(c) {
            shown.extend(c.escape_unicode());
        } else {
            shown.push(c);
        }
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_that_steers_a_terminal_is_written_out_and_cut() {
        assert_eq!(
            harmless("a\u{1b}[2Jb\u{202e}c", 60),
            "a\\u{1b}[2Jb\\u{202e}c"
        );
        assert_eq!(harmless(&"x".repeat(80), 3), "xxx…");
        assert_eq!(harmless("Größe °C", 60), "Größe °C");
    }
}
