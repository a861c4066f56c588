//! The report of a site, straight from the register.

use super::each;
use super::sheets::{Sources, name, sheet};
use crate::answer::{OutcomeDto, PlaceDto};
use crate::export::ExportError;
use crate::facts::Facts;
use crate::register::{
    Filter, Grade, LocationRecord, Order, Originals, OutcomeFilter, PlateQuery, PlateRecord,
    ReviewFilter, ReviewState, Store, StoreError, Tally,
};
use crate::render::place_words;
use crate::report::{Entry, Head, LocationRow, Report, ReportError};
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::io::Write;
use vetplate_ocr::Limits;

/// Why a report or a table could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PaperError {
    /// The register failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The report could not be written.
    #[error(transparent)]
    Report(#[from] ReportError),
    /// The table could not be written.
    #[error(transparent)]
    Export(#[from] ExportError),
}

/// What a report holds.
#[derive(Debug, Clone)]
pub struct ReportOptions {
    /// Title on every page.
    pub title: String,
    /// What the report is made from, such as the name of the register.
    pub source: String,
    /// Day on which it is made.
    pub today: Date,
    /// Which plates get a sheet. The overview always counts all.
    pub filter: Filter,
    /// The filter in words; empty for all.
    pub extent: String,
    /// True for a sheet for each plate; else only overview and lists.
    pub sheets: bool,
    /// True for photos on the sheets.
    pub pictures: bool,
    /// Grade of the empty items where no inspection is recorded.
    pub blank: Option<Grade>,
}

/// Writes the report and gives back its number of pages and the target. The memory does not
/// grow with the number of plates.
///
/// # Errors
///
/// Where the register fails or the target does not take it.
pub fn site_report<W: Write>(
    store: &dyn Store,
    originals: Option<&dyn Originals>,
    limits: &Limits,
    options: &ReportOptions,
    out: W,
) -> Result<(usize, W), PaperError> {
    let extent = if options.extent.is_empty() {
        "every plate of the register"
    } else {
        options.extent.as_str()
    };
    let mut report = Report::new(
        out,
        &Head {
            title: options.title.clone(),
            source: options.source.clone(),
            made_on: options.today.to_string(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
            extent: extent.to_owned(),
        },
    )?;
    let locations = store.locations()?;
    report.overview(&overview(&locations, &store.tallies()?))?;
    unsuitable(store, &mut report)?;
    waiting(store, &mut report)?;
    if options.sheets {
        sheets(store, originals, limits, options, &locations, &mut report)?;
    }
    Ok(report.finish()?)
}

fn overview(locations: &[LocationRecord], tallies: &[Tally]) -> Vec<LocationRow> {
    let mut rows: BTreeMap<String, LocationRow> = BTreeMap::new();
    for location in locations {
        let tag = location.facts.tag.clone();
        rows.insert(
            tag.to_lowercase(),
            LocationRow {
                tag,
                name: location.facts.description.clone().unwrap_or_default(),
                place: place_words(&PlaceDto::from(&location.facts.place)),
                ..LocationRow::default()
            },
        );
    }
    for tally in tallies {
        let tag = tally.location.clone().unwrap_or_default();
        let row = rows
            .entry(tag.to_lowercase())
            .or_insert_with(|| LocationRow {
                tag,
                ..LocationRow::default()
            });
        let column = match tally.outcome {
            Some(OutcomeDto::Unsuitable) => 0,
            Some(OutcomeDto::Undecided) => 1,
            Some(OutcomeDto::Conditional) => 2,
            Some(OutcomeDto::Suitable) => 3,
            None => 4,
        };
        row.counts[column] += tally.plates;
        if matches!(tally.review, ReviewState::Waiting | ReviewState::PutBack) {
            row.waiting += tally.plates;
        }
    }
    rows.into_values().collect()
}

fn unsuitable<W: Write>(store: &dyn Store, report: &mut Report<W>) -> Result<(), PaperError> {
    report.list(
        "Unsuitable, and why",
        "Every plate that its location does not allow, with the grounds and their clauses.",
    )?;
    let query = PlateQuery {
        filter: Filter {
            outcome: Some(OutcomeFilter::Is(OutcomeDto::Unsuitable)),
            ..Filter::default()
        },
        ..PlateQuery::default()
    };
    let mut any = false;
    each(store, query, &mut |record| {
        any = true;
        let points = Facts::new(&record.answer)
            .grounds()
            .filter(|(ground, _)| ground.outcome == "unsuitable")
            .map(|(ground, next)| {
                let next = if next.is_empty() {
                    String::new()
                } else {
                    format!(" To do: {next}")
                };
                format!("{} [{}]{next}", ground.detail, ground.source)
            })
            .collect();
        Ok(report.entry(&entry(record, points))?)
    })?;
    if !any {
        report.remark("No plate was found unsuitable.")?;
    }
    Ok(())
}

fn waiting<W: Write>(store: &dyn Store, report: &mut Report<W>) -> Result<(), PaperError> {
    report.list(
        "Waits for review",
        "Most urgent first: doubt that could let something unsuitable pass leads. None of these \
         readings may be relied on before a person has settled it.",
    )?;
    let query = PlateQuery {
        filter: Filter {
            review: Some(ReviewFilter::Open),
            ..Filter::default()
        },
        order: Order::Urgency,
        ..PlateQuery::default()
    };
    let mut any = false;
    each(store, query, &mut |record| {
        any = true;
        let facts = Facts::new(&record.answer);
        let mut points: Vec<String> = facts
            .review_reasons()
            .into_iter()
            .map(ToOwned::to_owned)
            .collect();
        points.extend(record.put_back.iter().map(|why| format!("put back: {why}")));
        points.extend(record.differences.iter().cloned());
        Ok(report.entry(&entry(record, points))?)
    })?;
    if !any {
        report.remark("Nothing waits for a person.")?;
    }
    Ok(())
}

fn entry(record: &PlateRecord, points: Vec<String>) -> Entry {
    Entry {
        plate: record.row.id.0,
        name: name(record),
        location: record
            .row
            .location
            .clone()
            .unwrap_or_else(|| "no location".to_owned()),
        marking: record.row.marking.clone(),
        points,
    }
}

/// Location by location, those without one last.
fn sheets<W: Write>(
    store: &dyn Store,
    originals: Option<&dyn Originals>,
    limits: &Limits,
    options: &ReportOptions,
    locations: &[LocationRecord],
    report: &mut Report<W>,
) -> Result<(), PaperError> {
    let mut parts: Vec<(Filter, String, String)> = Vec::new();
    let wanted = options
        .filter
        .location
        .as_ref()
        .map(|tag| tag.to_lowercase());
    for location in locations {
        let tag = &location.facts.tag;
        if options.filter.no_location
            || wanted
                .as_ref()
                .is_some_and(|wanted| *wanted != tag.to_lowercase())
        {
            continue;
        }
        let name = location.facts.description.as_deref();
        let title = name.map_or_else(|| tag.clone(), |name| format!("{tag} – {name}"));
        let place = place_words(&PlaceDto::from(&location.facts.place));
        let words = if place.is_empty() {
            format!("{title}: the place is not known")
        } else {
            format!("{title}: {place}")
        };
        let filter = Filter {
            location: Some(tag.clone()),
            ..options.filter.clone()
        };
        parts.push((filter, title, words));
    }
    if wanted.is_none() {
        let filter = Filter {
            no_location: true,
            ..options.filter.clone()
        };
        parts.push((
            filter,
            "Without a location".to_owned(),
            "The location is not known.".to_owned(),
        ));
    }
    for (filter, title, words) in parts {
        let mut first = true;
        let query = PlateQuery {
            filter,
            ..PlateQuery::default()
        };
        each(store, query, &mut |record| {
            if first {
                report.location(&title)?;
                first = false;
            }
            let id = record.row.id;
            let sources = Sources {
                originals,
                limits,
                readings: &store.readings(id)?,
                inspections: &store.inspections(id)?,
                location: &words,
                pictures: options.pictures,
                blank: options.blank,
                today: options.today,
            };
            Ok(report.plate(&sheet(record, &sources))?)
        })?;
    }
    Ok(())
}
