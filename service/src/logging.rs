//! The log on standard error.

use tracing_subscriber::filter::Targets;
use tracing_subscriber::fmt;
use tracing_subscriber::layer::{Layer as _, SubscriberExt as _};
use tracing_subscriber::util::SubscriberInitExt as _;

use crate::config::LogFormat;
use crate::failure::Failure;

/// What sets which events are logged.
const LEVELS: &str = "VETPLATE_LOG";
/// The inference engine tells at level info how it plans each model.
const USUAL: &str = "warn,vetplate=info";

/// Starts the log. `VETPLATE_LOG` sets what is logged, such as `error` or `warn,vetplate=info`;
/// what is finer than `info` is in debug builds alone.
///
/// # Errors
///
/// [`Failure::Usage`] where `VETPLATE_LOG` cannot be read, [`Failure::Internal`] where a log is
/// already running.
pub(crate) fn start(format: LogFormat) -> Result<(), Failure> {
    let wanted = std::env::var(LEVELS).unwrap_or_else(|_| USUAL.to_owned());
    let levels: Targets = wanted.parse().map_err(|e| {
        Failure::Usage(format!(
            "{LEVELS} is \"{wanted}\": {e}; write a level, or levels by module such as \"{USUAL}\""
        ))
    })?;
    let lines = fmt::layer().with_writer(std::io::stderr);
    let layer = match format {
        LogFormat::Text => lines.with_ansi(false).boxed(),
        LogFormat::Json => lines.json().flatten_event(true).boxed(),
    };
    tracing_subscriber::registry()
        .with(layer.with_filter(levels))
        .try_init()
        .map_err(|e| Failure::Internal(e.to_string()))
}
