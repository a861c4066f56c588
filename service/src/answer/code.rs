//! A machine-readable code on the plate.

use crate::codes::{Difference, Said, differences, identifies, said};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use vetplate_ocr::{Code, CodeKind};
use vetplate_parser::marking::Plate;
use vetplate_parser::{Message, message};

/// A QR or Data Matrix code. What it says comes from whoever printed it: show it as text, and follow no
/// link without asking.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = PlateCode)]
pub struct CodeDto {
    /// What kind it is.
    pub kind: CodeKindDto,
    /// What it says, unchanged.
    pub text: String,
    /// Corners in pixels of the upright photo, clockwise.
    pub quad: [[f64; 2]; 4],
    /// The identification link, where the text is such a link and the mark of IEC 61406-1 surrounds the
    /// code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub identification_link: Option<String>,
    /// The serial number that it names.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serial: Option<String>,
    /// The certificates that it names, without their suffixes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub certificates: Vec<String>,
    /// Number of its plate, from 0, where several are on the photo.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate: Option<usize>,
}

/// A kind of code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[schema(as = PlateCodeKind)]
pub enum CodeKindDto {
    /// QR code.
    Qr,
    /// Data Matrix.
    DataMatrix,
}

impl CodeDto {
    /// `several`: more than one plate is on the photo.
    pub(crate) fn new(code: &Code, several: bool) -> Self {
        let Said {
            serial,
            certificates,
        } = said(&code.text);
        Self {
            kind: match code.kind {
                CodeKind::Qr => CodeKindDto::Qr,
                CodeKind::DataMatrix => CodeKindDto::DataMatrix,
            },
            text: code.text.clone(),
            quad: code
                .quad
                .map(|point| point.map(|x| super::rounded(f64::from(x), 1))),
            identification_link: (code.marked && identifies(&code.text)).then(|| code.text.clone()),
            serial,
            certificates,
            plate: several.then_some(code.plate),
        }
    }

    /// What it says otherwise than is printed, for a person to look at.
    pub(super) fn findings(&self, plate: &Plate) -> Vec<Message> {
        let said = Said {
            serial: self.serial.clone(),
            certificates: self.certificates.clone(),
        };
        differences(&said, plate)
            .into_iter()
            .map(|difference| match difference {
                Difference::Serial(code, printed) => {
                    message!("review-code-serial", code = code, printed = printed)
                }
                Difference::Certificate(code, printed) => {
                    message!("review-code-certificate", code = code, printed = printed)
                }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::{Source, VersionsDto, answer};
    use vetplate_parser::{Language, Line, read};

    fn code(text: &str, marked: bool) -> CodeDto {
        let code = Code {
            kind: CodeKind::Qr,
            text: text.to_owned(),
            quad: [[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0]],
            marked,
            plate: 0,
        };
        CodeDto::new(&code, false)
    }

    #[test]
    fn a_link_is_an_identification_link_with_its_mark_only() {
        let link = "https://id.corrieburn.example/?sn=CB-4711";
        assert_eq!(code(link, true).identification_link.as_deref(), Some(link));
        assert_eq!(code(link, false).identification_link, None);
        assert_eq!(code("CB-4711", true).identification_link, None);
        assert_eq!(code(link, false).serial.as_deref(), Some("CB-4711"));
    }

    #[test]
    fn a_code_that_differs_asks_for_a_look_and_replaces_nothing() {
        let lines = [
            "II 2 G Ex db IIC T4 Gb",
            "ABC 19 ATEX 1234 X",
            "S/N: CB-4711",
        ];
        let lines: Vec<Line> = lines.iter().map(|l| Line::certain(l)).collect();
        let with = |codes: Vec<CodeDto>| {
            let source = Source {
                photo: None,
                lines: Vec::new(),
                codes,
                versions: VersionsDto::new(Vec::new()),
            };
            answer(source, &read(&lines), None, Language::English)
        };
        let without = with(Vec::new());
        let same = with(vec![code(
            "https://id.corrieburn.example/?sn=CB-4711",
            false,
        )]);
        assert_eq!(same.review, without.review);
        let other = with(vec![code(
            "https://id.corrieburn.example/?sn=CB-4712",
            false,
        )]);
        assert!(other.review.needed);
        let reasons = &other.review.reasons;
        assert_eq!(reasons.len(), without.review.reasons.len() + 1);
        let told = |reason: &String| reason.contains("CB-4711") && reason.contains("CB-4712");
        assert!(reasons.iter().any(told), "{reasons:?}");
        assert_eq!(other.plate.serial.as_deref(), Some("CB-4711"));
        let json = serde_json::to_value(&other).unwrap();
        assert_eq!(json["codes"][0]["kind"], "qr");
        // What is hostile comes out as data, and as harmless text on a terminal.
        let hostile = with(vec![code("\u{1b}[2J\u{202e}<script>", false)]);
        assert_eq!(hostile.review, without.review);
        let shown = crate::people(&hostile, None);
        assert!(
            !shown.contains('\u{1b}') && !shown.contains('\u{202e}'),
            "{shown}"
        );
        assert!(shown.contains("<script>"));
    }
}
