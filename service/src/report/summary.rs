//! Front page, overview, lists.

use super::ReportError;
use super::flow::{Flow, LEFT, RIGHT, Style};
use std::io::Write;
use vetplate_parser::verdict::cautions;

/// What the report is about.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Head {
    /// Title, such as the name of the site.
    pub title: String,
    /// What the report is made from, such as the name of the register.
    pub source: String,
    /// Day on which it is made, `YYYY-MM-DD`.
    pub made_on: String,
    /// Version of the program.
    pub version: String,
    /// Which plates it holds, in words, where not all.
    pub extent: String,
}

/// One location in the overview.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LocationRow {
    /// Tag; empty for plates without a location.
    pub tag: String,
    /// What it is called.
    pub name: String,
    /// The place in words; empty where it is not known.
    pub place: String,
    /// Plates by outcome: unsuitable, undecided, conditional, suitable, not judged.
    pub counts: [u64; 5],
    /// Plates that wait for a person.
    pub waiting: u64,
}

/// One plate of a list.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Entry {
    /// Its number.
    pub plate: i64,
    /// Tag of the equipment, or what else it is known by.
    pub name: String,
    /// Its location.
    pub location: String,
    /// Its markings.
    pub marking: String,
    /// What must be said of it, each with its clause.
    pub points: Vec<String>,
}

const COUNT_TITLES: [&str; 7] = [
    "unsuitable",
    "undecided",
    "conditional",
    "suitable",
    "not judged",
    "all",
    "to review",
];
/// Left edges of the columns of numbers.
const COUNTS_AT: [f32; 7] = [238.0, 286.0, 330.0, 382.0, 424.0, 472.0, 504.0];

pub(super) fn front<W: Write>(flow: &mut Flow<W>, head: &Head) -> Result<(), ReportError> {
    flow.mark("Front page");
    flow.paragraph(Style::TITLE, LEFT, RIGHT, &head.title)?;
    flow.gap(4.0);
    flow.paragraph(
        Style::BODY,
        LEFT,
        RIGHT,
        "Explosion-protected equipment: what its nameplates say, held against the locations \
         where it stands.",
    )?;
    flow.gap(6.0);
    let made_by = format!("vetplate {}", head.version);
    for (label, text) in [
        ("Made from", head.source.as_str()),
        ("Made on", head.made_on.as_str()),
        ("Made by", made_by.as_str()),
        ("Holds", head.extent.as_str()),
    ] {
        if !text.is_empty() {
            flow.row(&[
                (LEFT, 130.0, Style::STRONG, label),
                (130.0, RIGHT, Style::BODY, text),
            ])?;
        }
    }
    flow.heading("Before this is used")?;
    for caution in cautions().iter().map(ToString::to_string) {
        flow.row(&[
            (LEFT, LEFT + 10.0, Style::BODY, "–"),
            (LEFT + 10.0, RIGHT, Style::BODY, &caution),
        ])?;
    }
    flow.row(&[
        (LEFT, LEFT + 10.0, Style::BODY, "–"),
        (
            LEFT + 10.0,
            RIGHT,
            Style::BODY,
            "Where the law reserves this judgement for a licensed engineer, an inspection body or \
             another authorised person, theirs counts and not this report.",
        ),
    ])
}

pub(super) fn overview<W: Write>(
    flow: &mut Flow<W>,
    rows: &[LocationRow],
) -> Result<(), ReportError> {
    flow.mark("By location and outcome");
    flow.heading("By location and outcome")?;
    flow.run("By location and outcome");
    head_row(flow)?;
    let mut sum = LocationRow {
        tag: "All".to_owned(),
        ..LocationRow::default()
    };
    for row in rows {
        location_row(flow, row, Style::BODY)?;
        for (total, count) in sum.counts.iter_mut().zip(row.counts) {
            *total += count;
        }
        sum.waiting += row.waiting;
    }
    flow.rule(0.75);
    location_row(flow, &sum, Style::STRONG)
}

fn head_row<W: Write>(flow: &mut Flow<W>) -> Result<(), ReportError> {
    let mut columns = vec![(LEFT, COUNTS_AT[0] - 8.0, Style::SMALL, "location")];
    for (index, title) in COUNT_TITLES.iter().enumerate() {
        columns.push((
            COUNTS_AT[index],
            COUNTS_AT.get(index + 1).copied().unwrap_or(RIGHT + 2.0),
            Style::SMALL,
            *title,
        ));
    }
    flow.row(&columns)?;
    flow.rule(0.5);
    Ok(())
}

fn location_row<W: Write>(
    flow: &mut Flow<W>,
    row: &LocationRow,
    style: Style,
) -> Result<(), ReportError> {
    let name = match (row.tag.as_str(), row.name.as_str()) {
        ("", _) => "(no location)".to_owned(),
        (tag, "") => tag.to_owned(),
        (tag, name) => format!("{tag} – {name}"),
    };
    let mut numbers: Vec<u64> = row.counts.to_vec();
    numbers.push(row.counts.iter().sum());
    numbers.push(row.waiting);
    let numbers: Vec<String> = numbers
        .iter()
        .map(|n| {
            if *n == 0 {
                "–".to_owned()
            } else {
                n.to_string()
            }
        })
        .collect();
    let mut columns = vec![(LEFT, COUNTS_AT[0] - 8.0, style, name.as_str())];
    for (index, number) in numbers.iter().enumerate() {
        columns.push((COUNTS_AT[index], RIGHT + 2.0, style, number.as_str()));
    }
    flow.row(&columns)?;
    if !row.place.is_empty() {
        flow.paragraph(Style::SMALL, LEFT + 10.0, COUNTS_AT[0] - 8.0, &row.place)?;
    }
    flow.gap(2.0);
    Ok(())
}

pub(super) fn list<W: Write>(
    flow: &mut Flow<W>,
    title: &str,
    introduction: &str,
) -> Result<(), ReportError> {
    flow.fresh_page()?;
    flow.mark(title);
    flow.heading(title)?;
    flow.run(title);
    flow.paragraph(Style::BODY, LEFT, RIGHT, introduction)?;
    flow.gap(4.0);
    Ok(())
}

pub(super) fn entry<W: Write>(flow: &mut Flow<W>, entry: &Entry) -> Result<(), ReportError> {
    flow.need(3.5 * Style::BODY.leading())?;
    let number = format!("No. {}", entry.plate);
    flow.row(&[
        (LEFT, LEFT + 52.0, Style::STRONG, &number),
        (LEFT + 54.0, 300.0, Style::STRONG, &entry.name),
        (304.0, RIGHT, Style::BODY, &entry.location),
    ])?;
    flow.paragraph(Style::READ, LEFT + 54.0, RIGHT, &entry.marking)?;
    for point in &entry.points {
        flow.row(&[
            (LEFT + 54.0, LEFT + 64.0, Style::BODY, "–"),
            (LEFT + 64.0, RIGHT, Style::BODY, point),
        ])?;
    }
    flow.gap(5.0);
    Ok(())
}

pub(super) fn remark<W: Write>(flow: &mut Flow<W>, text: &str) -> Result<(), ReportError> {
    flow.paragraph(Style::BODY, LEFT, RIGHT, text)
}
