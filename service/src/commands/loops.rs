//! `vetplate loop`: the check of an intrinsically safe loop.

mod cable;

use super::{Streams, input};
use crate::answer::{
    KeyError, LoopCheckDto, LoopDeviceDto, LoopDto, LoopPlates, LoopSourceDto, PlateInput,
    check_loop, check_loop_with,
};
use crate::cli::LoopArgs;
use crate::failure::{Ending, Failure};
use crate::pipeline::{PhotoReader, PipelineError, photo_lines};
use crate::render;
use std::path::Path;
use vetplate_ocr::Limits;

/// Largest loop file in bytes.
const MAX_BYTES: usize = 1 << 20;
/// Ends of names that are photos, so that a slip in a path is not taken for a marking.
const PHOTO_ENDS: [&str; 6] = ["jpg", "jpeg", "png", "webp", "tif", "tiff"];

/// Checks the loop of a TOML or JSON file, or of the plates of its parts.
///
/// `reader` is called when the first photo has to be read.
///
/// # Errors
///
/// [`Failure`] for bad usage, a model that fails, or where the answer cannot be written; a file
/// that cannot be used is reported.
pub fn check(
    args: &LoopArgs,
    reader: impl FnOnce() -> Result<Box<dyn PhotoReader>, Failure>,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let (name, checked) = match (&args.file, &args.source) {
        (Some(file), _) => (
            file.display().to_string(),
            input::bytes(file, streams.input, MAX_BYTES)
                .and_then(|bytes| parsed(&bytes))
                .and_then(|dto| {
                    check_loop(&dto, streams.language).map_err(|errors| messages(&errors))
                }),
        ),
        (None, Some(source)) => ("loop".to_owned(), of_plates(args, source, reader, streams)?),
        (None, None) => {
            return Err(Failure::Usage(
                "give --file, or --source, --device and --cable".to_owned(),
            ));
        }
    };
    let check = match checked {
        Ok(check) => check,
        Err(message) => {
            for line in message.lines() {
                streams.complain(&name, line);
            }
            return Ok(Ending::InputUnusable);
        }
    };
    if args.json {
        let json = serde_json::to_string(&check).map_err(|e| Failure::Internal(e.to_string()))?;
        writeln!(streams.output, "{json}")?;
    } else {
        streams
            .output
            .write_all(render::loop_check(&check).as_bytes())?;
    }
    streams.output.flush()?;
    Ok(Ending::Answered)
}

/// The check of a loop from plates; the inner error is an input that cannot be used.
fn of_plates(
    args: &LoopArgs,
    source: &str,
    reader: impl FnOnce() -> Result<Box<dyn PhotoReader>, Failure>,
    streams: &mut Streams<'_>,
) -> Result<Result<LoopCheckDto, String>, Failure> {
    let cable = args.cable.as_deref().unwrap_or_default();
    let cable = cable::cable(cable).map_err(|e| Failure::Usage(format!("--cable: {e}")))?;
    let mut photos = Photos {
        open: Some(reader),
        reader: None,
    };
    let mut plates = LoopPlates::default();
    for (index, given) in std::iter::once(source)
        .chain(args.device.iter().map(String::as_str))
        .enumerate()
    {
        let plate = match plate(given, &mut photos, streams)? {
            Ok(plate) => plate,
            Err(message) => return Ok(Err(format!("{given}: {message}"))),
        };
        if index == 0 {
            plates.source = Some(plate);
        } else {
            plates.devices.push(Some(plate));
        }
    }
    let dto = LoopDto {
        id: None,
        note: None,
        source: LoopSourceDto::default(),
        devices: vec![LoopDeviceDto::default(); args.device.len()],
        cable,
        place_group: args.place_group.clone(),
        place_level: args.place_level.clone(),
        language: None,
        expect: None,
        boundary: None,
    };
    check_loop_with(&dto, plates, streams.language)
        .map(Ok)
        .map_err(|errors| Failure::Usage(usage(&errors)))
}

/// The reader of photos, loaded with the first photo.
struct Photos<F> {
    open: Option<F>,
    reader: Option<Box<dyn PhotoReader>>,
}

/// The plate that an argument means: a photo where such a file is there, else text.
fn plate<F: FnOnce() -> Result<Box<dyn PhotoReader>, Failure>>(
    given: &str,
    photos: &mut Photos<F>,
    streams: &mut Streams<'_>,
) -> Result<Result<PlateInput, String>, Failure> {
    let path = Path::new(given);
    let named_so = path
        .extension()
        .and_then(|e| e.to_str())
        .is_some_and(|e| PHOTO_ENDS.contains(&e.to_ascii_lowercase().as_str()));
    if !named_so && !path.is_file() {
        return Ok(PlateInput::typed(given));
    }
    let limits = Limits::default();
    let bytes = match input::bytes(path, streams.input, limits.bytes) {
        Ok(bytes) => bytes,
        Err(message) => return Ok(Err(message)),
    };
    if let Some(open) = photos.open.take() {
        photos.reader = Some(open()?);
    }
    let Some(reader) = &photos.reader else {
        return Err(Failure::Internal("the reader of photos is gone".to_owned()));
    };
    match photo_lines(reader.as_ref(), &bytes, &limits) {
        Ok(lines) => Ok(Ok(PlateInput {
            photo: Some(given.to_owned()),
            lines,
        })),
        Err(PipelineError::Photo(error)) => Ok(Err(error.to_string())),
        Err(PipelineError::Reader(error)) => Err(Failure::Internal(format!("{given}: {error}"))),
    }
}

/// JSON where the text begins so, else TOML.
fn parsed(bytes: &[u8]) -> Result<LoopDto, String> {
    let text = std::str::from_utf8(bytes).map_err(|_| "the text is not UTF-8".to_owned())?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.trim().is_empty() {
        return Err("the file is empty; write [source], [[devices]] and [cable]".to_owned());
    }
    if text.trim_start().starts_with('{') {
        serde_json::from_str(text).map_err(|e| e.to_string())
    } else {
        toml::from_str(text).map_err(|e| {
            let line = e.span().map_or(1, |s| {
                1 + text.get(..s.start).unwrap_or("").matches('\n').count()
            });
            format!("line {line}: {}", e.message())
        })
    }
}

fn messages(errors: &[KeyError]) -> String {
    errors
        .iter()
        .map(|e| e.message.as_str())
        .collect::<Vec<_>>()
        .join("\n")
}

fn usage(errors: &[KeyError]) -> String {
    errors
        .iter()
        .map(|e| format!("--{}: {}", e.key.replace('_', "-"), e.bare()))
        .collect::<Vec<_>>()
        .join("\n")
}
