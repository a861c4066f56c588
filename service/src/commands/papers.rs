//! `vetplate register` export, report, compare and inspect.

use super::Streams;
use super::import::register_failed;
use crate::cli::{
    CompareArgs, ExportArgs, FilterArgs, InspectArgs, ReportArgs, WantedOutcome, WantedReview,
};
use crate::compare::{Compared, Comparison, Known, read_list};
use crate::environment::Environment;
use crate::export::{CsvSink, ExportError, JsonLinesSink, XlsxSink};
use crate::facts::Facts;
use crate::failure::{Ending, Failure};
use crate::inspection::{Occasion, answer, due, item, stand};
use crate::papers::{Format, PaperError, ReportOptions, export, prefilled, site_report};
use crate::register::{
    Filter, Finding, ItemResult, Originals, OutcomeFilter, PlateRecord, ReviewFilter,
    SqliteRegister, Store, StoreError,
};
use jiff::civil::Date;
use jiff::tz::TimeZone;
use std::fs::File;
use std::io::BufWriter;
use std::path::Path;
use vetplate_ocr::Limits;

impl FilterArgs {
    fn filter(&self) -> Filter {
        Filter {
            location: self.location.clone(),
            outcome: self.outcome.map(|wanted| match wanted {
                WantedOutcome::Is(outcome) => OutcomeFilter::Is(outcome),
                WantedOutcome::NotJudged => OutcomeFilter::NotJudged,
            }),
            review: self.review.map(|wanted| match wanted {
                WantedReview::Is(state) => ReviewFilter::Is(state),
                WantedReview::Open => ReviewFilter::Open,
            }),
            ..Filter::default()
        }
    }
}

/// The day on the machine's clock, in UTC: no zone is guessed.
fn today(environment: &Environment) -> Date {
    environment.clock().to_zoned(TimeZone::UTC).date()
}

fn failed(error: PaperError) -> Failure {
    match error {
        PaperError::Store(error) => register_failed(error),
        PaperError::Export(ExportError::Output(error)) => Failure::Output(error),
        other => Failure::Internal(other.to_string()),
    }
}

fn unwritable(path: &Path, error: &std::io::Error) -> Failure {
    Failure::Internal(format!(
        "{}: cannot be written ({error}); check folder, space and permissions",
        path.display()
    ))
}

/// Writes into a file beside the target, which takes its name only once it is whole.
fn whole_file(path: &Path, write: impl FnOnce(File) -> Result<(), Failure>) -> Result<(), Failure> {
    let mut part = path.as_os_str().to_owned();
    part.push(".part");
    let part = Path::new(&part);
    let file = File::create(part).map_err(|e| unwritable(part, &e))?;
    let done =
        write(file).and_then(|()| std::fs::rename(part, path).map_err(|e| unwritable(path, &e)));
    if done.is_err() {
        // Half a table must not be taken for a whole one.
        let _ = std::fs::remove_file(part);
    }
    done
}

pub(super) fn export_table(
    args: &ExportArgs,
    register: &SqliteRegister,
    environment: &Environment,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let filter = args.filter.filter();
    let made_on = today(environment).to_string();
    let Some(path) = &args.out else {
        let sink: Box<dyn crate::export::Sink> = match args.format {
            Format::Csv => Box::new(
                CsvSink::new(&mut *streams.output, args.bom).map_err(|e| failed(e.into()))?,
            ),
            Format::Jsonl => Box::new(JsonLinesSink::new(&mut *streams.output)),
            Format::Xlsx => {
                return Err(Failure::Usage(
                    "a workbook needs a file: add --out FILE.xlsx".to_owned(),
                ));
            }
        };
        export(register, &filter, sink).map_err(failed)?;
        return Ok(Ending::Answered);
    };
    let mut count = 0;
    whole_file(path, |file| {
        let sink: Box<dyn crate::export::Sink> = match args.format {
            Format::Csv => Box::new(
                CsvSink::new(BufWriter::new(file), args.bom).map_err(|e| failed(e.into()))?,
            ),
            Format::Jsonl => Box::new(JsonLinesSink::new(BufWriter::new(file))),
            Format::Xlsx => Box::new(XlsxSink::new(file, &made_on).map_err(|e| failed(e.into()))?),
        };
        count = export(register, &filter, sink).map_err(failed)?;
        Ok(())
    })?;
    writeln!(streams.output, "{count} plates in {}", path.display())?;
    Ok(Ending::Answered)
}

pub(super) fn report(
    args: &ReportArgs,
    register: &SqliteRegister,
    originals: Option<&dyn Originals>,
    environment: &Environment,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let mut extent = Vec::new();
    extent.extend(
        args.filter
            .location
            .as_ref()
            .map(|tag| format!("location {tag}")),
    );
    if args.filter.outcome.is_some() || args.filter.review.is_some() {
        extent.push("plates of one outcome or state of review alone".to_owned());
    }
    if args.summary {
        extent.push("overview and lists alone".to_owned());
    }
    let source = register.path().file_name().unwrap_or_default();
    let options = ReportOptions {
        title: args.title.clone(),
        source: source.to_string_lossy().into_owned(),
        today: today(environment),
        filter: args.filter.filter(),
        extent: extent.join(", "),
        sheets: !args.summary,
        pictures: !args.no_photos,
        blank: args.blank,
    };
    let mut pages = 0;
    whole_file(&args.out, |file| {
        let out = BufWriter::new(file);
        let (count, _) =
            site_report(register, originals, &Limits::default(), &options, out).map_err(failed)?;
        pages = count;
        Ok(())
    })?;
    writeln!(streams.output, "{pages} pages in {}", args.out.display())?;
    Ok(Ending::Answered)
}

pub(super) fn compare(
    args: &CompareArgs,
    register: &SqliteRegister,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let named = args.column.iter().cloned().collect();
    let name = args.list.display();
    let file = File::open(&args.list).map_err(|e| Failure::Usage(format!("{name}: {e}")))?;
    let lines = read_list(file, &named).map_err(|e| Failure::Usage(format!("{name}: {e}")))?;
    let mut comparison = Comparison::new(lines);
    let mut counts = [0_u64; 5];
    let mut fault: Option<std::io::Error> = None;
    let walked = register.each_plate(&Filter::default(), &mut |record| {
        let compared = comparison.plate(known(&record));
        tell(&compared, args.json, &mut counts, streams).map_err(|error| {
            fault = Some(error);
            StoreError::Busy
        })
    });
    if let Some(error) = fault {
        return Err(error.into());
    }
    walked.map_err(register_failed)?;
    for compared in comparison.rest() {
        tell(&compared, args.json, &mut counts, streams)?;
    }
    if !args.json {
        let [agree, differ, ambiguous, no_photo, not_in_list] = counts;
        writeln!(
            streams.output,
            "{agree} agree, {differ} differ, {ambiguous} for a person to match, {no_photo} in \
             the list without a photo, {not_in_list} on photos and not in the list"
        )?;
    }
    Ok(Ending::Answered)
}

fn known(record: &PlateRecord) -> Known {
    let facts = Facts::new(&record.answer);
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    Known {
        plate: record.row.id.0,
        tag: text(&record.row.tag),
        serial: text(&record.row.serial),
        certificate: facts.certificates().into_iter().next().unwrap_or_default(),
        marking: facts.of_markings("text").join("; "),
    }
}

fn tell(
    compared: &Compared,
    json: bool,
    counts: &mut [u64; 5],
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    let (kind, text) = match compared {
        Compared::Agrees { .. } => (0, None),
        Compared::Differs {
            line,
            tag,
            plate,
            differences,
        } => {
            let differences: Vec<String> = differences
                .iter()
                .map(|d| {
                    let hint = if d.lookalike {
                        " (characters that look alike)"
                    } else {
                        ""
                    };
                    format!(
                        "{} {:?} in the list, {:?} on the plate{hint}",
                        d.field, d.list, d.plate
                    )
                })
                .collect();
            let text = format!(
                "line {line} {tag}, plate {plate}: {}",
                differences.join("; ")
            );
            (1, Some(text))
        }
        Compared::Ambiguous {
            line,
            tag,
            by,
            plate,
        } => {
            let text = format!("line {line} {tag}, plate {plate}: several meet by {by}");
            (2, Some(text))
        }
        Compared::NoPhoto { line, tag, serial } => (
            3,
            Some(format!(
                "line {line} {tag} {serial}: in the list, on no photo"
            )),
        ),
        Compared::NotInList { known } => {
            let text = format!("plate {} {}: not in the list", known.plate, known.serial);
            (4, Some(text))
        }
    };
    counts[kind] += 1;
    if json {
        serde_json::to_writer(&mut *streams.output, compared)?;
        writeln!(streams.output)?;
    } else if let Some(text) = text {
        writeln!(streams.output, "{text}")?;
    }
    Ok(())
}

pub(super) fn inspect(
    args: &InspectArgs,
    register: &SqliteRegister,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let usage = |e: crate::inspection::InspectionError| Failure::Usage(e.to_string());
    let record = super::review::plate(register, args.plate)?;
    let occasion = Occasion {
        grade: args.grade,
        kind: args.kind,
        date: args.date,
        inspector: &args.inspector,
        competence: &args.competence,
        months: args.months,
    };
    let mut inspection = prefilled(&record, &occasion).map_err(usage)?;
    for (id, result) in &args.item {
        let (word, note) = result.split_once(':').unwrap_or((result, ""));
        let result = match word.trim() {
            "pass" => ItemResult::Pass,
            "fail" => ItemResult::Fail,
            "na" => ItemResult::NotApplicable,
            "open" => ItemResult::NotChecked,
            _ => {
                return Err(Failure::Usage(format!(
                    "--item {id}={word}: the result is pass, fail:what was found, na or open"
                )));
            }
        };
        answer(&mut inspection, id, result, Some(note)).map_err(usage)?;
    }
    for finding in &args.finding {
        let parts = finding.split_once(':');
        let parts = parts.and_then(|(number, text)| Some((number.trim().parse().ok()?, text)));
        let (priority, text): (u8, &str) = parts.ok_or_else(|| {
            Failure::Usage(format!(
                "--finding {finding}: write the priority (1 to 4), a colon and the text"
            ))
        })?;
        inspection.findings.push(Finding {
            text: text.trim().to_owned(),
            priority,
            due: due(priority, args.date, inspection.next),
        });
    }
    stand(&inspection).map_err(usage)?;
    if args.json {
        serde_json::to_writer(&mut *streams.output, &inspection)
            .map_err(|e| Failure::Output(e.into()))?;
        writeln!(streams.output)?;
    } else {
        for one in &inspection.items {
            let text = item(&one.item).map_or("", |item| item.text);
            let ground = one.ground.as_deref().unwrap_or_default();
            let result = match one.result {
                ItemResult::Pass => "pass",
                ItemResult::Fail => "FAIL",
                ItemResult::NotApplicable => "n/a",
                ItemResult::NotChecked => "open",
            };
            writeln!(streams.output, "{result:5} {:20} {text} {ground}", one.item)?;
        }
        for finding in &inspection.findings {
            let due = finding.due.map(|d| d.to_string()).unwrap_or_default();
            writeln!(
                streams.output,
                "finding of priority {}, due {due}: {}",
                finding.priority, finding.text
            )?;
        }
        let next = inspection.next.map(|d| d.to_string()).unwrap_or_default();
        writeln!(streams.output, "next inspection: {next}")?;
    }
    if !args.dry_run {
        register
            .inspect(args.plate, &inspection, &args.inspector)
            .map_err(register_failed)?;
    }
    Ok(Ending::Answered)
}
