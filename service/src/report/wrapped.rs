//! Text broken into lines.

use super::font::{Fonts, Typeface};

/// The lines of `text` within `width` points. Words that are longer than a line are broken
/// where the line ends; nothing is left out. Text of nothing gives no line.
pub(super) fn lines(
    fonts: &Fonts,
    typeface: Typeface,
    size: f32,
    width: f32,
    text: &str,
) -> Vec<String> {
    let measure = |text: &str| fonts.width(typeface, size, text);
    let blank = measure(" ");
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut used = 0.0;
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let wide = measure(word);
        if !line.is_empty() && used + blank + wide <= width {
            line.push(' ');
            line.push_str(word);
            used += blank + wide;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        if wide <= width {
            line.push_str(word);
            used = wide;
            continue;
        }
        used = 0.0;
        for c in word.chars() {
            let wide = measure(c.encode_utf8(&mut [0; 4]));
            // A line holds at least one character, however narrow it is.
            if !line.is_empty() && used + wide > width {
                lines.push(std::mem::take(&mut line));
                used = 0.0;
            }
            line.push(c);
            used += wide;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_fits_and_nothing_is_lost() {
        let fonts = Fonts::bundled().unwrap();
        let text = format!("zone 1 needs EPL Gb {} behind it", "Q".repeat(300));
        let got = lines(&fonts, Typeface::Plain, 9.0, 200.0, &text);
        assert!(got.len() > 5);
        for line in &got {
            assert!(fonts.width(Typeface::Plain, 9.0, line) <= 200.01, "{line}");
        }
        let letters = |text: &str| text.chars().filter(|c| *c != ' ').collect::<String>();
        assert_eq!(letters(&got.concat()), letters(&text));
        assert!(lines(&fonts, Typeface::Plain, 9.0, 200.0, "  ").is_empty());
        assert_eq!(lines(&fonts, Typeface::Plain, 9.0, 1.0, "abc").len(), 3);
    }
}
