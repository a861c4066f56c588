//! What each command does, with its streams as parameters.

mod backup;
mod certificates;
mod decode;
mod import;
mod input;
mod loops;
mod papers;
mod place;
mod progress;
mod read;
mod register;
mod require;
mod review;
mod serve;
mod substance;
mod users;

pub use decode::decode;
pub use import::import;
pub use loops::check;
pub use read::read;
pub use register::register;
pub use require::require;
pub use review::review;
pub use serve::{config, serve};
pub use substance::substance;
pub use users::{Secret, users};

use crate::answer::Answer;
use crate::cli::OutputArgs;
use crate::failure::{Ending, Failure};
use crate::render;
use std::io::{Read, Write};
use vetplate_parser::Language;

/// The three streams of a command, and what is spoken on them.
pub struct Streams<'a> {
    /// Standard input.
    pub input: &'a mut dyn Read,
    /// Answers.
    pub output: &'a mut dyn Write,
    /// Messages.
    pub messages: &'a mut dyn Write,
    /// Language of the answers; messages about bad usage are English.
    pub language: Language,
}

impl Streams<'_> {
    /// Says why one input could not be used. That message cannot be lost by a failing
    /// standard error: the exit code tells it, too.
    fn complain(&mut self, name: &str, message: &str) {
        let _ = writeln!(self.messages, "vetplate: {name}: {message}");
    }
}

/// Writes one answer and says whether `--fail-on` was met.
///
/// `name` is given where several inputs are answered.
fn put(
    streams: &mut Streams<'_>,
    output: &OutputArgs,
    answer: &Answer,
    name: Option<&str>,
    first: bool,
) -> Result<Ending, Failure> {
    if output.json {
        let json = serde_json::to_string(answer).map_err(|e| Failure::Internal(e.to_string()))?;
        writeln!(streams.output, "{json}")?;
    } else {
        if !first {
            writeln!(streams.output)?;
        }
        streams
            .output
            .write_all(render::people(answer, name).as_bytes())?;
    }
    streams.output.flush()?;
    let met = output.fail_on.iter().any(|when| when.met_by(answer));
    Ok(if met {
        Ending::FailOnMet
    } else {
        Ending::Answered
    })
}

/// Without a place there is no verdict, so that a gate on it would always stand open.
fn check_fail_on(output: &OutputArgs, has_place: bool) -> Result<(), Failure> {
    if !has_place && output.fail_on.iter().any(|when| when.needs_place()) {
        return Err(Failure::Usage(
            "--fail-on a verdict needs a place: add --zone and what is present there, or --site \
             and --location"
                .to_owned(),
        ));
    }
    Ok(())
}
