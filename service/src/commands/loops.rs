//! `vetplate loop`: the check of an intrinsically safe loop.

use super::{Streams, input};
use crate::answer::{KeyError, LoopDto, check_loop};
use crate::cli::LoopArgs;
use crate::failure::{Ending, Failure};
use crate::render;

/// Largest loop file in bytes.
const MAX_BYTES: usize = 1 << 20;

/// Checks the loop of a TOML or JSON file.
///
/// # Errors
///
/// [`Failure`] where the answer cannot be written; a file that cannot be used is reported.
pub fn check(args: &LoopArgs, streams: &mut Streams<'_>) -> Result<Ending, Failure> {
    let name = args.file.display().to_string();
    let checked = input::bytes(&args.file, streams.input, MAX_BYTES)
        .and_then(|bytes| parsed(&bytes))
        .and_then(|dto| check_loop(&dto).map_err(|errors| messages(&errors)));
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
