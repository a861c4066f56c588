//! `vetplate import`: whole folders and archives.

use super::Streams;
use super::progress::Display;
use crate::cli::ImportArgs;
use crate::environment::Environment;
use crate::failure::{Ending, Failure};
use crate::import::{
    ArchiveLimits, Control, Import, ImportLock, Locator, Mapping, Settings, dry_run,
};
use crate::pipeline::PhotoReader;
use crate::register::{
    Asked, Filter, Folder, ImportState, LocationFacts, Originals, PlateQuery, SqliteRegister,
    Store, StoreError,
};
use crate::render;
use crate::site::Site;
use std::path::{Path, PathBuf};
use vetplate_ocr::Limits;
use vetplate_parser::place::PlaceFields;

/// Problems that are read at a time.
const PAGE: usize = 1000;

/// Imports, or says what an import would do.
///
/// `reader` is called when photos are to be read.
///
/// # Errors
///
/// [`Failure`] for bad usage, a register or folder of copies that fails, or where the answer
/// cannot be written; files that cannot be taken are named in the answer.
pub fn import(
    args: &ImportArgs,
    environment: &Environment,
    reader: impl FnOnce() -> Result<Box<dyn PhotoReader>, Failure>,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let mapping = match &args.mapping {
        Some(path) => Mapping::load(path).map_err(|e| Failure::Usage(e.to_string()))?,
        None => Mapping::default(),
    };
    let site = site(args)?;
    let locations = locations(&site);
    let control = Control::new();
    let settings = settings(args);
    if args.dry_run {
        return try_out(args, environment, &control, &settings, streams);
    }
    let lock = ImportLock::take(&args.register).map_err(|e| Failure::Usage(e.to_string()))?;
    let register =
        SqliteRegister::open(&args.register, true, environment.clone()).map_err(register_failed)?;
    super::certificates::keep(&register, site.certificates(), &args.by, streams)?;
    let copies = copies(args, &register, environment)?;
    let changed = put_locations(&register, &locations, &args.by)?;
    let mut settings = settings;
    settings.own = own(
        &args.register,
        lock.path(),
        copies.as_ref().map(Folder::root),
    );
    let known = register.locations().map_err(register_failed)?;
    let by_folder = locations.is_empty()
        && known
            .iter()
            .all(|l| l.facts.place == PlaceFields::default());
    let tags = known
        .into_iter()
        .map(|l| l.facts.tag)
        .chain(mapping.locations().map(ToOwned::to_owned));
    let locator = Locator::new(tags, mapping.clone(), by_folder);
    let reader = reader()?;
    stop_on_signals(&control)?;
    let display = Display::new(&control);
    let outcome = Import {
        store: &register,
        photos: &register,
        originals: copies
            .as_ref()
            .filter(|_| args.keep.is_some())
            .map(|f| f as &dyn Originals),
        reader: reader.as_ref(),
        locator: &locator,
        environment,
        control: &control,
        observer: &display,
    }
    .run(&settings);
    display.end();
    let outcome = outcome.map_err(|e| Failure::Internal(e.to_string()))?;
    write_outcome(args, &register, &outcome, &changed, streams)?;
    Ok(if outcome.record.state == ImportState::Stopped {
        Ending::Stopped
    } else if outcome.record.accounts.failed > 0 {
        Ending::InputUnusable
    } else {
        Ending::Answered
    })
}

/// The settings of the command line.
fn settings(args: &ImportArgs) -> Settings {
    let jobs = match args.jobs {
        0 => std::thread::available_parallelism().map_or(1, usize::from),
        jobs => jobs,
    };
    Settings {
        sources: args.sources.clone(),
        jobs,
        retry_failed: args.retry_failed,
        limits: Limits::default(),
        archives: ArchiveLimits::default(),
        own: own(&args.register, Path::new(""), None),
        who: args.by.clone(),
        hidden: None,
        asked: Asked::default(),
    }
}

/// What lies in the folders of a register and is no photo of anybody's.
fn own(register: &Path, lock: &Path, copies: Option<&Path>) -> Vec<PathBuf> {
    let mut own = vec![register.to_owned(), lock.to_owned()];
    for suffix in ["-wal", "-shm", "-journal"] {
        let mut name = register.file_name().unwrap_or_default().to_owned();
        name.push(suffix);
        own.push(register.with_file_name(name));
    }
    own.extend(copies.map(ToOwned::to_owned));
    own
}

/// The site, every location of it with a place that can be used.
fn site(args: &ImportArgs) -> Result<Site, Failure> {
    let certificates = args.certificates.certificates.as_deref();
    let site = Site::open(args.site.as_deref(), certificates)
        .map_err(|e| Failure::Usage(e.to_string()))?;
    let faults: Vec<String> = site
        .locations()
        .iter()
        .flat_map(|location| site.faults(location))
        .map(|fault| fault.to_string())
        .collect();
    if !faults.is_empty() {
        return Err(Failure::Usage(faults.join("\n")));
    }
    Ok(site)
}

/// The locations of a site as the register keeps them.
fn locations(site: &Site) -> Vec<LocationFacts> {
    site.locations()
        .iter()
        .map(|location| LocationFacts {
            tag: location.tag.clone(),
            description: location.description.clone(),
            place: location.place.clone(),
        })
        .collect()
}

/// Writes the locations into the register; answers the tags of those whose place changed while
/// plates stand there.
fn put_locations(
    register: &SqliteRegister,
    locations: &[LocationFacts],
    who: &str,
) -> Result<Vec<String>, Failure> {
    let mut changed = Vec::new();
    for facts in locations {
        let before = register.location(&facts.tag).map_err(register_failed)?;
        let after = register.put_location(facts, who).map_err(register_failed)?;
        if before.is_none_or(|b| b.facts.place == after.facts.place) {
            continue;
        }
        let query = PlateQuery {
            filter: Filter {
                location: Some(facts.tag.clone()),
                ..Filter::default()
            },
            limit: 1,
            ..PlateQuery::default()
        };
        if !register
            .plates(&query)
            .map_err(register_failed)?
            .plates
            .is_empty()
        {
            changed.push(facts.tag.clone());
        }
    }
    Ok(changed)
}

/// The folder of copies, remembered by the register once it was given.
fn copies(
    args: &ImportArgs,
    register: &SqliteRegister,
    environment: &Environment,
) -> Result<Option<Folder>, Failure> {
    let known = register.copies().map_err(register_failed)?;
    let folder = |path: PathBuf| Some(Folder::new(path, environment.clone()));
    let Some(asked) = &args.keep else {
        return Ok(known.and_then(folder));
    };
    if let Some(known) = known {
        return match asked {
            Some(other) if *other != known => Err(Failure::Usage(format!(
                "--keep={}: the register keeps its copies in {}",
                other.display(),
                known.display()
            ))),
            _ => Ok(folder(known)),
        };
    }
    let Some(path) = asked else {
        return Ok(folder(kept_copies(register).map_err(register_failed)?));
    };
    let name = std::path::absolute(path)
        .map_err(|e| Failure::Usage(format!("--keep={}: {e}", path.display())))?;
    let text = name.to_str().ok_or_else(|| {
        Failure::Usage(format!("--keep={}: give a path in UTF-8", name.display()))
    })?;
    register.set_copies(text).map_err(register_failed)?;
    Ok(register.copies().map_err(register_failed)?.and_then(folder))
}

/// The folder of copies; a register without one gets one beside it.
pub(super) fn kept_copies(register: &SqliteRegister) -> Result<PathBuf, StoreError> {
    if let Some(known) = register.copies()? {
        return Ok(known);
    }
    let name = register.path().file_name().unwrap_or_default();
    let name = format!("{}.photos", name.to_string_lossy());
    register.set_copies(&name)?;
    Ok(register.path().with_file_name(name))
}

/// The first signal stops in good order, the second at once.
fn stop_on_signals(control: &Control) -> Result<(), Failure> {
    for signal in [signal_hook::consts::SIGINT, signal_hook::consts::SIGTERM] {
        // In this order: the flag is not set yet when the first signal asks for it.
        signal_hook::flag::register_conditional_default(signal, control.flag())
            .and_then(|_| signal_hook::flag::register(signal, control.flag()))
            .map_err(|e| Failure::Internal(format!("signals cannot be heard: {e}")))?;
    }
    Ok(())
}

fn try_out(
    args: &ImportArgs,
    environment: &Environment,
    control: &Control,
    settings: &Settings,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let register = if args.register.exists() {
        let opened = SqliteRegister::open(&args.register, false, environment.clone());
        Some(opened.map_err(register_failed)?)
    } else {
        None
    };
    stop_on_signals(control)?;
    let display = Display::new(control);
    let photos = register.as_ref().map(|r| r as &dyn crate::register::Photos);
    let tried = dry_run(settings, photos, environment, control, &display);
    display.end();
    let tried = tried.map_err(register_failed)?;
    if args.json {
        let json = serde_json::to_string(&serde_json::json!({
            "dry_run": true, "whole": tried.whole, "accounts": tried.accounts,
        }))
        .map_err(|e| Failure::Internal(e.to_string()))?;
        writeln!(streams.output, "{json}")?;
    } else {
        streams
            .output
            .write_all(render::dry_import(&tried).as_bytes())?;
    }
    streams.output.flush()?;
    Ok(if tried.whole {
        Ending::Answered
    } else {
        Ending::Stopped
    })
}

fn write_outcome(
    args: &ImportArgs,
    register: &SqliteRegister,
    outcome: &crate::import::Outcome,
    changed: &[String],
    streams: &mut Streams<'_>,
) -> Result<(), Failure> {
    use crate::register::Photos;
    let id = outcome.record.id;
    if args.json {
        let fault = |e: serde_json::Error| Failure::Internal(e.to_string());
        let mut document = serde_json::to_value(&outcome.record).map_err(fault)?;
        document["new_plates"] = outcome.new_plates.into();
        document["joined_by_identity"] = outcome.by_identity.into();
        document["joined_by_look"] = outcome.by_look.into();
        document["elapsed_s"] = outcome.elapsed.as_secs_f64().into();
        document["places_changed"] = changed.to_vec().into();
        let mut problems = Vec::new();
        loop {
            let page = register
                .problems(id, problems.len(), PAGE)
                .map_err(register_failed)?;
            if page.is_empty() {
                break;
            }
            problems.extend(page);
        }
        document["problems"] = serde_json::to_value(problems).map_err(fault)?;
        writeln!(streams.output, "{document}")?;
    } else {
        let problems = register.problems(id, 0, PAGE).map_err(register_failed)?;
        streams
            .output
            .write_all(render::imported(outcome, &problems, changed).as_bytes())?;
    }
    streams.output.flush()?;
    Ok(())
}

#[expect(clippy::needless_pass_by_value, reason = "it is mapped over results")]
pub(super) fn register_failed(error: StoreError) -> Failure {
    match error {
        StoreError::Missing { .. }
        | StoreError::NotARegister { .. }
        | StoreError::Newer { .. }
        | StoreError::NotFound { .. }
        | StoreError::Conflict { .. }
        | StoreError::Held { .. }
        | StoreError::Taken { .. }
        | StoreError::WrongState { .. } => Failure::Usage(error.to_string()),
        _ => Failure::Internal(error.to_string()),
    }
}
