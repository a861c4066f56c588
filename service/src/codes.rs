//! What a machine-readable code on a plate says, held against what is printed.
//!
//! A code comes from whoever printed it: its text is shown, never followed, and never takes the
//! place of what was read. Where it names another serial number or certificate than the plate, a
//! person looks.

mod link;

use crate::harmless::harmless;
use vetplate_parser::marking::Plate;
use vetplate_parser::{Line, read};

pub(crate) use link::identifies;
use link::{is_link, path_segments, query};

/// Keys of a link under which serial numbers are commonly given (common practice, no source; `21` is
/// the application identifier of the GS1 General Specifications).
const SERIAL_KEYS: [&str; 10] = [
    "sn",
    "s",
    "ser",
    "serial",
    "serialno",
    "serialnumber",
    "serial_number",
    "seriennummer",
    "snr",
    "21",
];
/// Characters of a code's text that are looked at: a plate is shorter.
const LOOKED_AT: usize = 600;
/// Characters of untrusted text in a sentence.
const IN_A_SENTENCE: usize = 60;

/// What a code says of the equipment.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Said {
    /// Serial number.
    pub(crate) serial: Option<String>,
    /// Certificates, without their suffixes.
    pub(crate) certificates: Vec<String>,
}

/// What the text of a code says of the equipment.
pub(crate) fn said(text: &str) -> Said {
    let text: String = text.chars().take(LOOKED_AT).collect();
    let lines: Vec<String> = if is_link(&text) {
        let values = query(&text).into_iter().map(|(_, value)| value);
        path_segments(&text).into_iter().chain(values).collect()
    } else {
        text.split(['\n', '\r', ';', '|', '\u{1d}', '\u{1e}'])
            .map(|line| line.trim().to_owned())
            .filter(|line| !line.is_empty())
            .collect()
    };
    let lines: Vec<Line> = lines.iter().map(|line| Line::certain(line)).collect();
    let reading = read(&lines);
    let plate = &reading.best().plate;
    Said {
        serial: serial(&text, plate),
        certificates: certificates(plate),
    }
}

fn serial(text: &str, plate: &Plate) -> Option<String> {
    if !is_link(text) {
        return element(text).or_else(|| plate.serial.as_ref().map(|s| s.value.clone()));
    }
    let of_query = query(text)
        .into_iter()
        .find(|(key, _)| SERIAL_KEYS.contains(&key.to_ascii_lowercase().as_str()))
        .map(|(_, value)| value);
    let of_path = || {
        // GS1 Digital Link: …/01/GTIN/21/SERIAL.
        let segments = path_segments(text);
        let gtin = segments.iter().position(|s| s == "01")?;
        let serial = segments[gtin..].iter().position(|s| s == "21")? + gtin + 1;
        segments.get(serial).cloned()
    };
    of_query.or_else(of_path).filter(|s| !s.trim().is_empty())
}

/// The serial number of a GS1 element string: `(01)…(21)SERIAL`, or the same without brackets, where
/// the 14 digits of the article number come first and FNC1 ends the serial number.
fn element(text: &str) -> Option<String> {
    let serial = if let Some((_, serial)) = text.split_once("(21)") {
        serial.split('(').next()
    } else {
        let rest = text.trim_start_matches('\u{1d}').strip_prefix("01")?;
        let (article, rest) = rest.split_at_checked(14)?;
        if !article.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        rest.strip_prefix("21")?.split('\u{1d}').next()
    }?;
    (!serial.is_empty()).then(|| serial.to_owned())
}

fn certificates(plate: &Plate) -> Vec<String> {
    let numbers = plate.certificates.iter();
    numbers.map(|c| c.number.value.clone()).collect()
}

/// What a code says otherwise than is printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Difference {
    /// Serial numbers: in the code, printed.
    Serial(String, String),
    /// A certificate that is not printed, and the printed ones.
    Certificate(String, String),
}

/// Where the code says otherwise than the plate. What only one of them has is no difference.
pub(crate) fn differences(said: &Said, plate: &Plate) -> Vec<Difference> {
    let mut found = Vec::new();
    if let (Some(code), Some(printed)) = (&said.serial, &plate.serial)
        && bare(code) != bare(&printed.value)
    {
        found.push(Difference::Serial(
            in_a_sentence(code),
            in_a_sentence(&printed.value),
        ));
    }
    let printed = certificates(plate);
    if !printed.is_empty() {
        for code in &said.certificates {
            if !printed.iter().any(|p| bare(p) == bare(code)) {
                found.push(Difference::Certificate(
                    in_a_sentence(code),
                    in_a_sentence(&printed.join(", ")),
                ));
            }
        }
    }
    found
}

/// Letters and figures alone, in capitals: blanks, dashes and case are matters of taste.
fn bare(text: &str) -> String {
    text.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_uppercase)
        .collect()
}

fn in_a_sentence(text: &str) -> String {
    harmless(text, IN_A_SENTENCE)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plate(lines: &[&str]) -> Plate {
        let lines: Vec<Line> = lines.iter().map(|l| Line::certain(l)).collect();
        read(&lines).best().plate.clone()
    }

    #[test]
    fn serial_numbers_are_found_in_links_elements_and_plain_lines() {
        let cases = [
            (
                "https://id.corrieburn.example/?sn=CB%2D4711",
                Some("CB-4711"),
            ),
            (
                "https://id.corrieburn.example/01/09506000134352/21/XY12",
                Some("XY12"),
            ),
            ("https://corrieburn.example/manual/4711", None),
            ("(01)09506000134352(21)XY12(240)7", Some("XY12")),
            ("010950600013435221XY12\u{1d}2407", Some("XY12")),
            ("S/N: CB-4711", Some("CB-4711")),
            ("javascript:alert(1)", None),
            ("", None),
        ];
        for (text, expected) in cases {
            assert_eq!(said(text).serial.as_deref(), expected, "{text}");
        }
    }

    #[test]
    fn another_serial_or_certificate_is_a_difference_and_the_same_is_none() {
        let printed = plate(&[
            "II 2 G Ex db IIC T4 Gb",
            "ABC 19 ATEX 1234 X",
            "S/N: CB-4711",
        ]);
        let of = |text: &str| differences(&said(text), &printed);
        assert!(of("https://id.corrieburn.example/?sn=cb4711").is_empty());
        assert!(of("S/N: CB-4711; ABC 19 ATEX 1234 X").is_empty());
        assert!(of("https://corrieburn.example/").is_empty());
        assert_eq!(
            of("https://id.corrieburn.example/?sn=CB-4712"),
            [Difference::Serial(
                "CB-4712".to_owned(),
                "CB-4711".to_owned()
            )]
        );
        let other = of("ABC 19 ATEX 1235 X");
        assert!(
            matches!(&other[..], [Difference::Certificate(code, _)] if code.contains("1235")),
            "{other:?}"
        );
        // A plate without a serial number contradicts none.
        let bare = plate(&["Ex db IIC T4 Gb"]);
        assert!(differences(&said("S/N: CB-4712"), &bare).is_empty());
    }
}
