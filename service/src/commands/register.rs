//! `vetplate register`: list, show, check, reread.

use super::Streams;
use super::import::register_failed;
use crate::cli::{
    CheckArgs, ListArgs, RegisterArgs, RegisterCommand, RereadArgs, ShowArgs, WantedOutcome,
    WantedReview,
};
use crate::environment::Environment;
use crate::failure::{Ending, Failure};
use crate::import::{FetchError, fetch};
use crate::pipeline::{PhotoReader, hex, read_photo};
use crate::register::{
    CheckFinding, Evidence, Filter, Folder, KEPT_IN, Order, Originals, OutcomeFilter, PhotoRecord,
    Photos, PlateQuery, ReviewFilter, SqliteRegister, Store, StoreError, Subject, accept,
    judge_afresh, look,
};
use crate::render;
use serde_json::json;
use sha2::{Digest, Sha256};
use vetplate_ocr::Limits;

/// Photos that are asked for at a time.
const PAGE: usize = 500;

/// Looks into a register.
///
/// `reader` is called where photos have to be read again.
///
/// # Errors
///
/// [`Failure`] where the register cannot be used or the answer cannot be written.
pub fn register(
    args: &RegisterArgs,
    environment: &Environment,
    reader: impl FnOnce() -> Result<Box<dyn PhotoReader>, Failure>,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let open = || -> Result<(SqliteRegister, Option<Folder>), Failure> {
        let register = SqliteRegister::open(&args.register, false, environment.clone())
            .map_err(register_failed)?;
        let copies = register.copies().map_err(register_failed)?;
        let copies = copies.map(|path| Folder::new(path, environment.clone()));
        Ok((register, copies))
    };
    let ending = match &args.command {
        RegisterCommand::List(args) => list(args, &open()?.0, streams)?,
        RegisterCommand::Show(args) => show(args, &open()?.0, streams)?,
        RegisterCommand::Export(args) => {
            super::papers::export_table(args, &open()?.0, environment, streams)?
        }
        RegisterCommand::Report(args) => {
            let (register, copies) = open()?;
            let originals = copies.as_ref().map(|folder| folder as &dyn Originals);
            super::papers::report(args, &register, originals, environment, streams)?
        }
        RegisterCommand::Compare(args) => super::papers::compare(args, &open()?.0, streams)?,
        RegisterCommand::Certificates(args) => {
            super::certificates::certificates(args, &open()?.0, streams)?
        }
        RegisterCommand::Inspect(args) => super::papers::inspect(args, &open()?.0, streams)?,
        RegisterCommand::Check(args) => {
            let (register, copies) = open()?;
            check(args, &register, copies.as_ref(), streams)?
        }
        RegisterCommand::Reread(args) => {
            let (register, copies) = open()?;
            let reader = reader()?;
            reread(args, &register, copies.as_ref(), reader.as_ref(), streams)?
        }
        // Where the register itself need not be there.
        RegisterCommand::Backup(wanted) => {
            super::backup::backup(wanted, &args.register, environment, streams)?
        }
        RegisterCommand::Restore(wanted) => {
            super::backup::restored(wanted, &args.register, environment, streams)?
        }
    };
    streams.output.flush()?;
    Ok(ending)
}

fn list(
    args: &ListArgs,
    register: &SqliteRegister,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let query = PlateQuery {
        filter: Filter {
            location: args.location.clone(),
            no_location: false,
            outcome: args.outcome.map(|wanted| match wanted {
                WantedOutcome::Is(outcome) => OutcomeFilter::Is(outcome),
                WantedOutcome::NotJudged => OutcomeFilter::NotJudged,
            }),
            review: args.review.map(|wanted| match wanted {
                WantedReview::Is(state) => ReviewFilter::Is(state),
                WantedReview::Open => ReviewFilter::Open,
            }),
            text: args.search.clone(),
        },
        order: if args.urgent {
            Order::Urgency
        } else {
            Order::Id
        },
        after: args.after,
        limit: args.limit,
    };
    let page = register.plates(&query).map_err(register_failed)?;
    let next = page.next.map(|next| match query.order {
        Order::Id => next.id.to_string(),
        Order::Urgency => format!("{}:{}", next.urgency, next.id),
    });
    if args.json {
        writeln!(
            streams.output,
            "{}",
            json!({"plates": page.plates, "next": next})
        )?;
    } else {
        let text = render::plate_list(&page.plates, next.as_deref());
        streams.output.write_all(text.as_bytes())?;
    }
    Ok(Ending::Answered)
}

fn show(
    args: &ShowArgs,
    register: &SqliteRegister,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let plate = register
        .plate(args.plate)
        .and_then(|plate| {
            plate.ok_or_else(|| StoreError::NotFound {
                what: "plate",
                id: args.plate.to_string(),
            })
        })
        .map_err(register_failed)?;
    let history = register
        .history(Subject::Plate(args.plate))
        .map_err(register_failed)?;
    let verdicts = register.verdicts(args.plate).map_err(register_failed)?;
    let inspections = register.inspections(args.plate).map_err(register_failed)?;
    if args.json {
        let mut document =
            serde_json::to_value(&plate).map_err(|e| Failure::Internal(e.to_string()))?;
        document["verdicts"] = json!(verdicts);
        document["inspections"] = json!(inspections);
        document["history"] = json!(history);
        writeln!(streams.output, "{document}")?;
    } else {
        let text = render::plate_page(&plate, &history);
        streams.output.write_all(text.as_bytes())?;
    }
    Ok(Ending::Answered)
}

fn check(
    args: &CheckArgs,
    register: &SqliteRegister,
    copies: Option<&Folder>,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let mut findings: Vec<CheckFinding> = Vec::new();
    register
        .check(&mut |finding| findings.push(finding))
        .map_err(register_failed)?;
    let mut read = 0u64;
    let mut away = Vec::new();
    if args.read_all {
        each_photo(register, &mut |photo| {
            read += 1;
            match whole(register, copies, photo)? {
                Bytes::Whole => {}
                Bytes::Away(reason) => away.push(format!("photo {}: {reason}", photo.sha256)),
                Bytes::Wrong(detail) => findings.push(CheckFinding {
                    check: "photos",
                    detail,
                }),
            }
            Ok(())
        })
        .map_err(register_failed)?;
    }
    if args.json {
        let document = json!({
            "whole": findings.is_empty(), "findings": findings, "photos_read": read,
            "not_reachable": away,
        });
        writeln!(streams.output, "{document}")?;
    } else {
        for finding in &findings {
            writeln!(streams.output, "{}: {}", finding.check, finding.detail)?;
        }
        for line in &away {
            writeln!(streams.output, "not reachable now, so not checked: {line}")?;
        }
        let photos = if args.read_all {
            format!(", {read} photos read")
        } else {
            String::new()
        };
        match findings.len() {
            0 => writeln!(streams.output, "The register is whole{photos}.")?,
            n => writeln!(
                streams.output,
                "{n} findings{photos}; nothing was repaired."
            )?,
        }
    }
    Ok(if findings.is_empty() {
        Ending::Answered
    } else {
        Ending::NotWhole
    })
}

fn each_photo(
    register: &SqliteRegister,
    each: &mut dyn FnMut(&PhotoRecord) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let mut after = None;
    loop {
        let page = Store::photos(register, after, PAGE)?;
        let Some(last) = page.last() else {
            return Ok(());
        };
        after = Some(last.id);
        for photo in &page {
            each(photo)?;
        }
    }
}

/// What became of the bytes of a photo.
enum Bytes {
    Whole,
    /// Its source is not there now, which is no fault.
    Away(String),
    Wrong(String),
}

fn whole(
    register: &SqliteRegister,
    copies: Option<&Folder>,
    photo: &PhotoRecord,
) -> Result<Bytes, StoreError> {
    if photo.kept {
        return Ok(match copies.map(|folder| folder.read(&photo.sha256)) {
            None => Bytes::Wrong(format!(
                "no folder holds the copy of photo {}",
                photo.sha256
            )),
            Some(Err(error)) => Bytes::Wrong(format!(
                "the copy of photo {} is missing: {error}",
                photo.sha256
            )),
            Some(Ok(bytes)) => {
                let actual = hex(&Sha256::digest(&bytes));
                if actual == photo.sha256 {
                    Bytes::Whole
                } else {
                    Bytes::Wrong(format!(
                        "the copy of photo {} has the hash {actual}",
                        photo.sha256
                    ))
                }
            }
        });
    }
    let sightings = register.sightings(photo.id)?;
    let largest = Limits::default().bytes as u64;
    Ok(match fetch(&sightings, &photo.sha256, largest) {
        Ok(_) => Bytes::Whole,
        Err(FetchError::Missing(reason)) => Bytes::Away(reason),
        Err(error @ FetchError::Changed(_)) => {
            Bytes::Wrong(format!("photo {}: {error}", photo.sha256))
        }
    })
}

fn reread(
    args: &RereadArgs,
    register: &SqliteRegister,
    copies: Option<&Folder>,
    reader: &dyn PhotoReader,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let file = super::place::certificates(&args.certificates)?;
    if args.apply {
        super::certificates::keep(register, file.as_ref(), &args.by, streams)?;
    } else if let Some(file) = file {
        // What would be different is shown; the list is not kept either.
        register.try_certificates(file.list);
    }
    let models = json!(reader.models());
    let limits = Limits::default();
    let (mut looked_at, mut differ, mut outcomes, mut away) = (0u64, 0u64, 0u64, 0u64);
    let mut query = PlateQuery {
        filter: Filter {
            location: args.location.clone(),
            ..Filter::default()
        },
        limit: 200,
        ..PlateQuery::default()
    };
    loop {
        let page = register.plates(&query).map_err(register_failed)?;
        for row in &page.plates {
            looked_at += 1;
            let mut missing = Vec::new();
            let rejudged = judge_afresh(register, row.id, &mut |reading| {
                if reading.models == models {
                    return None;
                }
                // Other models: the photo itself has to be read again.
                match read_again(register, copies, reader, &limits, reading) {
                    Ok(fresh) => Some(fresh),
                    Err(reason) => {
                        missing.push(reason);
                        None
                    }
                }
            })
            .map_err(register_failed)?;
            for reason in missing.iter().chain(rejudged.unused()) {
                away += 1;
                streams.complain(&format!("plate {}", row.id), reason);
            }
            if !rejudged.differs() {
                continue;
            }
            differ += 1;
            outcomes += u64::from(rejudged.outcome_differs());
            if args.json {
                let document = json!({
                    "plate": row.id, "before": rejudged.before, "after": rejudged.after,
                    "markings": rejudged.markings(),
                    "further": rejudged.further().collect::<Vec<_>>(), "applied": args.apply,
                });
                writeln!(streams.output, "{document}")?;
            } else {
                streams
                    .output
                    .write_all(render::rejudged(row, &rejudged).as_bytes())?;
            }
            if args.apply {
                accept(register, &rejudged, "judged again", &args.by).map_err(register_failed)?;
            }
        }
        match page.next {
            Some(next) => query.after = Some(next),
            None => break,
        }
    }
    if !args.json {
        let done = if args.apply {
            "the new answers count now; the old ones are kept"
        } else {
            "nothing was changed; --apply keeps the new answers"
        };
        let text = format!(
            "{looked_at} plates, {differ} with another answer, {outcomes} with another outcome: \
             {done}."
        );
        writeln!(streams.output, "{}", textwrap::fill(&text, 80))?;
    }
    Ok(if away > 0 {
        Ending::InputUnusable
    } else {
        Ending::Answered
    })
}

fn read_again(
    register: &SqliteRegister,
    copies: Option<&Folder>,
    reader: &dyn PhotoReader,
    limits: &Limits,
    reading: &crate::register::ReadingRecord,
) -> Result<(Evidence, Option<u64>), String> {
    let old = Evidence::unpack(&reading.evidence)?;
    let sha256 = &old.photo.sha256;
    let copy = copies.and_then(|folder| folder.read(sha256).ok());
    let bytes = if let Some(copy) = copy {
        copy
    } else {
        let sightings = register
            .sightings(reading.photo)
            .map_err(|e| e.to_string())?;
        fetch(&sightings, sha256, limits.bytes as u64).map_err(|e| e.to_string())?
    };
    let found = read_photo(
        reader,
        &bytes,
        limits,
        old.photo.file.as_deref(),
        None,
        KEPT_IN,
    )
    .map_err(|e| e.to_string())?;
    let image = found.photo.image();
    let look = look(image.as_raw(), image.width(), image.height());
    Evidence::of(&found)
        .map(|evidence| (evidence, look))
        .ok_or_else(|| "the answer names no photo".to_owned())
}
