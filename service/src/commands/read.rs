//! `vetplate read`: photos.

use super::{Streams, check_fail_on, input, place, put};
use crate::cli::ReadArgs;
use crate::failure::{Ending, Failure};
use crate::marks::marks;
use crate::pipeline::{PhotoAnswer, PhotoReader, PipelineError, read_photo};
use std::path::{Path, PathBuf};
use vetplate_ocr::{Limits, annotate};

/// Reads every photo and writes an answer for each.
///
/// `reader` is called when the first photo has to be read.
///
/// # Errors
///
/// [`Failure`] for bad usage, a model that fails, or where the answer cannot be written; a
/// photo that cannot be used is reported and the next one read.
pub fn read(
    args: &ReadArgs,
    reader: impl FnOnce() -> Result<Box<dyn PhotoReader>, Failure>,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    let place = place::judged(&args.place, &args.certificates)?;
    check_fail_on(&args.output, place.is_some())?;
    let drawings = args
        .annotate
        .as_deref()
        .map(|path| Drawings::new(path, args.photos.len()))
        .transpose()?;
    let reader = reader()?;
    let limits = Limits::default();
    let several = args.photos.len() > 1;
    let mut ending = Ending::Answered;
    let mut first = true;
    for path in &args.photos {
        let name = path.display().to_string();
        let outcome = input::bytes(path, streams.input, limits.bytes)
            .map_err(Problem::Input)
            .and_then(|bytes| {
                read_photo(
                    reader.as_ref(),
                    &bytes,
                    &limits,
                    Some(&name),
                    place.as_ref(),
                    streams.language,
                )
                .map_err(Into::into)
            });
        match outcome {
            Ok(found) => {
                if let Some(drawings) = &drawings {
                    drawings.draw(path, &found)?;
                }
                let head = several.then_some(name.as_str());
                let met = put(streams, &args.output, &found.answer, head, first)?;
                ending = ending.worse(met);
                first = false;
            }
            Err(Problem::Input(message)) => {
                streams.complain(&name, &message);
                ending = ending.worse(Ending::InputUnusable);
            }
            Err(Problem::Ours(message)) => {
                return Err(Failure::Internal(format!("{name}: {message}")));
            }
        }
    }
    Ok(ending)
}

enum Problem {
    Input(String),
    Ours(String),
}

impl From<PipelineError> for Problem {
    fn from(error: PipelineError) -> Self {
        match error {
            PipelineError::Photo(error) => Self::Input(error.to_string()),
            PipelineError::Reader(error) => Self::Ours(error.to_string()),
        }
    }
}

/// Where annotated photos go.
enum Drawings {
    File(PathBuf),
    Folder(PathBuf),
}

impl Drawings {
    fn new(path: &Path, photos: usize) -> Result<Self, Failure> {
        if path.is_dir() {
            return Ok(Self::Folder(path.to_owned()));
        }
        if photos > 1 {
            return Err(Failure::Usage(format!(
                "--annotate {}: with several photos, give a folder that exists",
                path.display()
            )));
        }
        if !path
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case("png"))
        {
            return Err(Failure::Usage(format!(
                "--annotate {}: the drawing is a PNG; end the name with .png",
                path.display()
            )));
        }
        Ok(Self::File(path.to_owned()))
    }

    fn draw(&self, photo: &Path, found: &PhotoAnswer) -> Result<(), Failure> {
        let target = match self {
            Self::File(path) => path.clone(),
            Self::Folder(folder) => {
                let stem = photo.file_stem().unwrap_or_default();
                folder.join(format!("{}.annotated.png", stem.to_string_lossy()))
            }
        };
        let marks = marks(&found.lines, &found.answer);
        annotate(&found.photo, &found.lines, &marks)
            .save(&target)
            .map_err(|e| Failure::Internal(format!("{}: cannot be written: {e}", target.display())))
    }
}
