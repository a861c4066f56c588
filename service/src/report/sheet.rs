//! The sheet of one plate.

use super::ReportError;
use super::flow::{Flow, LEFT, RIGHT, Style, Weight};
use super::picture::Picture;
use std::io::Write;
use vetplate_parser::verdict::cautions;

/// A picture with what it shows.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ShownPicture {
    /// The picture; none where it could not be had.
    pub picture: Option<Picture>,
    /// What it shows, or why it is missing.
    pub caption: String,
}

/// One ground of the verdict.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct GroundLine {
    /// Outcome of this ground.
    pub outcome: String,
    /// The sentence.
    pub detail: String,
    /// The clause.
    pub source: String,
    /// What to do.
    pub next: String,
}

/// Who settled the reading.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Settled {
    /// Who.
    pub who: String,
    /// When.
    pub at: String,
    /// What was decided, in words.
    pub what: String,
}

/// One item of an inspection.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CheckItem {
    /// What must be so.
    pub text: String,
    /// Clause.
    pub source: String,
    /// `pass`, `fail`, `n/a`, or empty boxes where nobody has looked.
    pub result: String,
    /// What the inspector noted, and what the plate says.
    pub note: String,
}

/// One finding.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ShownFinding {
    /// Priority with its meaning.
    pub priority: String,
    /// What was found.
    pub text: String,
    /// By when it must be put right.
    pub due: String,
}

/// The inspection part of a sheet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct InspectionPart {
    /// Grade, kind, date and inspector, or that there was none.
    pub head: String,
    /// The items.
    pub items: Vec<CheckItem>,
    /// The findings.
    pub findings: Vec<ShownFinding>,
    /// When the next inspection is due.
    pub next: String,
}

/// Everything on the sheet of one plate.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PlateSheet {
    /// Its number.
    pub plate: i64,
    /// Tag of the equipment, or what else it is known by.
    pub name: String,
    /// Location, with the place in words.
    pub location: String,
    /// `unsuitable`, `undecided`, `conditional`, `suitable`; empty where no place is known.
    pub outcome: String,
    /// The whole photo.
    pub photo: ShownPicture,
    /// The part with the marking.
    pub crop: ShownPicture,
    /// The markings as printed; where characters were repaired, as read, too.
    pub markings: Vec<String>,
    /// What else the plate says: label and value.
    pub facts: Vec<(String, String)>,
    /// Every ground, worst first.
    pub grounds: Vec<GroundLine>,
    /// What the outcome hangs on, and why a person must look.
    pub doubts: Vec<String>,
    /// Contradictions of the plate with itself.
    pub contradictions: Vec<String>,
    /// True while a person must look and nobody has.
    pub waits: bool,
    /// The settlement.
    pub settled: Option<Settled>,
    /// The inspection.
    pub inspection: InspectionPart,
}

/// Height of the pictures at most, points.
const PICTURE_HEIGHT: f32 = 172.0;
const MIDDLE: f32 = 304.0;

pub(super) fn plate<W: Write>(flow: &mut Flow<W>, sheet: &PlateSheet) -> Result<(), ReportError> {
    flow.fresh_page()?;
    let name = if sheet.name.is_empty() {
        format!("Plate {}", sheet.plate)
    } else {
        format!("Plate {} · {}", sheet.plate, sheet.name)
    };
    let top = flow.y();
    outcome(flow, sheet, top - Style::TITLE.size + 3.0);
    flow.paragraph(Style::TITLE, LEFT, RIGHT - 120.0, &name)?;
    flow.run(&name);
    flow.paragraph(Style::BODY, LEFT, RIGHT, &sheet.location)?;
    flow.gap(4.0);
    pictures(flow, sheet)?;
    flow.heading("Marking")?;
    if sheet.markings.is_empty() {
        flow.paragraph(Style::BODY, LEFT, RIGHT, "No marking was read.")?;
    }
    for marking in &sheet.markings {
        flow.paragraph(Style::MARKING, LEFT, RIGHT, marking)?;
    }
    for (label, value) in &sheet.facts {
        flow.row(&[
            (LEFT, 150.0, Style::STRONG, label),
            (152.0, RIGHT, Style::READ, value),
        ])?;
    }
    verdict(flow, sheet)?;
    if !sheet.contradictions.is_empty() {
        flow.heading("The plate contradicts itself")?;
        bullets(flow, &sheet.contradictions)?;
    }
    if !sheet.doubts.is_empty() {
        flow.heading(if sheet.waits {
            "Waits for a person"
        } else {
            "Doubt in the reading"
        })?;
        bullets(flow, &sheet.doubts)?;
    }
    if let Some(settled) = &sheet.settled {
        flow.heading("Settled")?;
        let text = format!("{}, {}: {}", settled.who, settled.at, settled.what);
        flow.paragraph(Style::BODY, LEFT, RIGHT, &text)?;
    }
    inspection(flow, &sheet.inspection)?;
    sign_off(flow)?;
    flow.heading("Keep in mind")?;
    for caution in cautions().iter().map(ToString::to_string) {
        flow.row(&[
            (LEFT, LEFT + 8.0, Style::SMALL, "–"),
            (LEFT + 8.0, RIGHT, Style::SMALL, &caution),
        ])?;
    }
    Ok(())
}

fn outcome<W: Write>(flow: &mut Flow<W>, sheet: &PlateSheet, y: f32) {
    let weight = match sheet.outcome.as_str() {
        "unsuitable" => Weight::Filled,
        "suitable" => Weight::Thin,
        _ => Weight::Thick,
    };
    let text = if sheet.outcome.is_empty() {
        "NOT JUDGED".to_owned()
    } else {
        sheet.outcome.to_uppercase()
    };
    flow.badge(&text, weight, y);
}

/// Photo and crop side by side, their captions beneath.
fn pictures<W: Write>(flow: &mut Flow<W>, sheet: &PlateSheet) -> Result<(), ReportError> {
    let columns = [
        (&sheet.photo, LEFT, MIDDLE - 8.0),
        (&sheet.crop, MIDDLE, RIGHT),
    ];
    if columns.iter().any(|c| c.0.picture.is_some()) {
        flow.need(PICTURE_HEIGHT + 3.0 * Style::SMALL.leading())?;
    }
    let top = flow.y();
    let mut lowest = top;
    for (shown, x, right) in columns {
        flow.go_to(top);
        if let Some(picture) = &shown.picture {
            let (width, height) = (picture.width as f32, picture.height as f32);
            let scale = ((right - x) / width).min(PICTURE_HEIGHT / height);
            let id = flow.keep(picture)?;
            flow.show(id, x, top, width * scale, height * scale);
            flow.go_to(top - height * scale - 3.0);
        }
        // A caption never turns the page between two pictures that stand side by side.
        for line in flow.lines(Style::SMALL, x, right, &shown.caption) {
            if flow.left() < Style::SMALL.leading() {
                break;
            }
            let y = flow.y();
            flow.put(Style::SMALL, x, y - Style::SMALL.size, &line);
            flow.go_to(y - Style::SMALL.leading());
        }
        lowest = lowest.min(flow.y());
    }
    flow.go_to(lowest);
    Ok(())
}

fn verdict<W: Write>(flow: &mut Flow<W>, sheet: &PlateSheet) -> Result<(), ReportError> {
    flow.heading("Verdict")?;
    let sentence = match sheet.outcome.as_str() {
        "" => "Not judged: the place where it stands is not known.",
        "suitable" => "Suitable for the place by its plate.",
        "conditional" => "Conditional: allowed only if the conditions below are met.",
        "unsuitable" => "Unsuitable for the place.",
        _ => "Undecided: not to be relied on before the points below are settled.",
    };
    flow.paragraph(Style::STRONG, LEFT, RIGHT, sentence)?;
    for ground in &sheet.grounds {
        let source = format!("[{}]", ground.source);
        flow.gap(1.5);
        flow.need(3.0 * Style::BODY.leading())?;
        flow.row(&[
            (LEFT, 118.0, Style::STRONG, &ground.outcome),
            (120.0, RIGHT, Style::BODY, &ground.detail),
        ])?;
        flow.paragraph(Style::SMALL, 120.0, RIGHT, &source)?;
        if !ground.next.is_empty() {
            let next = format!("To do: {}", ground.next);
            flow.paragraph(Style::BODY, 120.0, RIGHT, &next)?;
        }
    }
    Ok(())
}

fn bullets<W: Write>(flow: &mut Flow<W>, texts: &[String]) -> Result<(), ReportError> {
    for text in texts {
        flow.row(&[
            (LEFT, LEFT + 10.0, Style::BODY, "–"),
            (LEFT + 10.0, RIGHT, Style::BODY, text),
        ])?;
    }
    Ok(())
}

fn inspection<W: Write>(flow: &mut Flow<W>, part: &InspectionPart) -> Result<(), ReportError> {
    flow.heading("Inspection (IEC 60079-17)")?;
    flow.paragraph(Style::BODY, LEFT, RIGHT, &part.head)?;
    for item in &part.items {
        flow.gap(1.5);
        let result = if item.result.is_empty() {
            "☐ pass ☐ fail ☐ n/a"
        } else {
            item.result.as_str()
        };
        let style = if item.result == "fail" {
            Style::STRONG
        } else {
            Style::BODY
        };
        flow.row(&[
            (LEFT, 330.0, Style::BODY, &item.text),
            (336.0, 436.0, style, result),
            (438.0, RIGHT, Style::SMALL, &item.source),
        ])?;
        flow.paragraph(Style::SMALL, LEFT + 10.0, RIGHT, &item.note)?;
    }
    if !part.findings.is_empty() {
        flow.gap(4.0);
        flow.paragraph(Style::STRONG, LEFT, RIGHT, "Findings")?;
    }
    for finding in &part.findings {
        let due = if finding.due.is_empty() {
            "no date".to_owned()
        } else {
            format!("by {}", finding.due)
        };
        flow.row(&[
            (LEFT, 150.0, Style::STRONG, &finding.priority),
            (154.0, 470.0, Style::BODY, &finding.text),
            (474.0, RIGHT, Style::BODY, &due),
        ])?;
    }
    if !part.next.is_empty() {
        let next = format!("Next inspection: {}", part.next);
        flow.gap(2.0);
        flow.paragraph(Style::STRONG, LEFT, RIGHT, &next)?;
    }
    Ok(())
}

fn sign_off<W: Write>(flow: &mut Flow<W>) -> Result<(), ReportError> {
    flow.gap(8.0);
    flow.need(86.0)?;
    flow.heading("Signed")?;
    for role in [
        "Compared with the plate and inspected by",
        "Accepted by the responsible person",
    ] {
        flow.gap(18.0);
        let y = flow.y();
        let parts = [
            (LEFT, 250.0, role),
            (258.0, 360.0, "competence"),
            (368.0, 430.0, "date"),
            (438.0, RIGHT, "signature"),
        ];
        for (x, right, label) in parts {
            flow.line(x, right, y, 0.5);
            flow.put(Style::SMALL, x, y - 9.0, label);
        }
        flow.go_to(y - 12.0);
    }
    Ok(())
}
