//! `vetplate review`: what waits for a person, and what persons decide.

use super::Streams;
use super::import::register_failed;
use super::{certificates, place};
use crate::answer::ReviewEntryDto;
use crate::cli::{ReviewArgs, ReviewCommand, ReviewListArgs, ReviewShowArgs, SettleArgs};
use crate::crop::{cut, marking_box};
use crate::environment::Environment;
use crate::failure::{Ending, Failure};
use crate::photo_bytes::photo_bytes;
use crate::register::{
    Filter, Folder, NewSettlement, Order, Originals, PlateId, PlateQuery, PlateRecord,
    ReviewFilter, SettlementKind, SqliteRegister, Store, StoreError, settle,
};
use crate::report::Picture;
use crate::typed::{split, usable};
use std::path::Path;
use vetplate_ocr::{Limits, Photo};

/// Longer side of a written crop, pixels.
const CROP_SIDE: u32 = 2000;

/// Works on the queue of a register.
///
/// # Errors
///
/// [`Failure`] where the register cannot be used, the decision is none, or the answer cannot be
/// written.
pub fn review(
    args: &ReviewArgs,
    environment: &Environment,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let register = SqliteRegister::open(&args.register, false, environment.clone())
        .map_err(register_failed)?;
    match &args.command {
        ReviewCommand::List(args) => list(args, &register, streams)?,
        ReviewCommand::Show(args) => {
            let copies = register.copies().map_err(register_failed)?;
            let copies = copies.map(|path| Folder::new(path, environment.clone()));
            let originals = copies.as_ref().map(|folder| folder as &dyn Originals);
            show(args, &register, originals, streams)?;
        }
        ReviewCommand::Settle(args) => {
            let file = place::certificates(&args.certificates)?;
            certificates::keep(&register, file.as_ref(), args.by.trim(), streams)?;
            decide(args, &register, streams)?;
        }
    }
    streams.output.flush()?;
    Ok(Ending::Answered)
}

/// The plate with this number.
pub(super) fn plate(register: &SqliteRegister, id: PlateId) -> Result<PlateRecord, Failure> {
    register
        .plate(id)
        .and_then(|plate| {
            plate.ok_or_else(|| StoreError::NotFound {
                what: "plate",
                id: id.to_string(),
            })
        })
        .map_err(register_failed)
}

fn list(
    args: &ReviewListArgs,
    register: &SqliteRegister,
    streams: &mut Streams<'_>,
) -> Result<(), Failure> {
    let query = PlateQuery {
        filter: Filter {
            location: args.location.clone(),
            review: Some(ReviewFilter::Open),
            ..Filter::default()
        },
        order: Order::Urgency,
        limit: args.limit,
        ..PlateQuery::default()
    };
    let page = register.plates(&query).map_err(register_failed)?;
    for row in &page.plates {
        let record = plate(register, row.id)?;
        let entry = ReviewEntryDto::new(&record, None);
        if args.json {
            put_json(&entry, streams)?;
        } else {
            put(&entry, streams)?;
        }
    }
    if !args.json && page.plates.is_empty() {
        writeln!(streams.output, "Nothing waits for a person.")?;
    }
    if !args.json && page.next.is_some() {
        writeln!(streams.output, "More wait; raise --limit to see them.")?;
    }
    Ok(())
}

fn show(
    args: &ReviewShowArgs,
    register: &SqliteRegister,
    originals: Option<&dyn Originals>,
    streams: &mut Streams<'_>,
) -> Result<(), Failure> {
    let record = plate(register, args.plate)?;
    let crop = match &args.crop {
        Some(path) => {
            write_crop(register, &record, originals, path)?;
            Some(path.display().to_string())
        }
        None => None,
    };
    let entry = ReviewEntryDto::new(&record, crop);
    if args.json {
        put_json(&entry, streams)
    } else {
        put(&entry, streams)?;
        for source in record.photos.iter().flat_map(|photo| &photo.sources) {
            writeln!(streams.output, "  photo {source}")?;
        }
        writeln!(
            streams.output,
            "  decide with: vetplate review settle {} --version {} --by NAME\n  \
             and --confirm, --correct 'LINE; LINE' or --illegible",
            entry.row.id, entry.row.version
        )?;
        Ok(())
    }
}

fn write_crop(
    register: &SqliteRegister,
    record: &PlateRecord,
    originals: Option<&dyn Originals>,
    path: &Path,
) -> Result<(), Failure> {
    let internal = |text: String| Failure::Internal(text);
    let photo = crate::handlers::best_photo(record)
        .ok_or_else(|| internal("the register holds no photo of this plate".to_owned()))?;
    let limits = Limits::default();
    let bytes = photo_bytes(originals, photo, limits.bytes).map_err(internal)?;
    let decoded = Photo::decode(&bytes, &limits).map_err(|e| internal(e.to_string()))?;
    let readings = register.readings(record.row.id).map_err(register_failed)?;
    let reading = readings.iter().filter(|r| r.photo == photo.id);
    let answer = reading
        .max_by_key(|r| (r.counts, r.id))
        .map_or(&record.answer, |r| &r.answer);
    let picture = match marking_box(answer, decoded.width(), decoded.height()) {
        Some(part) => Picture::new(&cut(decoded.image(), part), CROP_SIDE),
        None => Picture::new(decoded.image(), CROP_SIDE),
    };
    let picture = picture.map_err(|e| internal(e.to_string()))?;
    std::fs::write(path, picture.into_jpeg())
        .map_err(|e| internal(format!("{}: cannot be written ({e})", path.display())))
}

fn decide(
    args: &SettleArgs,
    register: &SqliteRegister,
    streams: &mut Streams<'_>,
) -> Result<(), Failure> {
    if args.by.trim().is_empty() {
        return Err(Failure::Usage(
            "--by takes the name of the person who decides".to_owned(),
        ));
    }
    let kind = args.kind();
    let lines = args.correct.as_deref().map(split).unwrap_or_default();
    if kind == SettlementKind::Corrected {
        usable(&lines).map_err(Failure::Usage)?;
    }
    let settlement = NewSettlement {
        kind,
        lines,
        note: args.note.clone(),
    };
    let record = settle(
        register,
        args.plate,
        args.version,
        settlement,
        args.by.trim(),
    )
    .map_err(register_failed)?;
    let entry = ReviewEntryDto::new(&record, None);
    if args.json {
        return put_json(&entry, streams);
    }
    let outcome = entry
        .row
        .outcome
        .map_or("not judged", |outcome| outcome.name());
    writeln!(
        streams.output,
        "plate {} is settled as {} by {}: {outcome}; {}",
        entry.row.id,
        kind.name(),
        args.by.trim(),
        entry.row.marking
    )?;
    Ok(())
}

fn put_json(entry: &ReviewEntryDto, streams: &mut Streams<'_>) -> Result<(), Failure> {
    serde_json::to_writer(&mut *streams.output, entry).map_err(|e| Failure::Output(e.into()))?;
    writeln!(streams.output)?;
    Ok(())
}

fn put(entry: &ReviewEntryDto, streams: &mut Streams<'_>) -> Result<(), Failure> {
    streams
        .output
        .write_all(crate::render::review_entry(entry).as_bytes())?;
    Ok(())
}
