//! The log on standard error.

use crate::config::LogFormat;
use crate::failure::Failure;
use tracing_subscriber::EnvFilter;

/// Starts the log. `VETPLATE_LOG` sets what is logged, such as `debug`.
///
/// # Errors
///
/// [`Failure::Internal`] where a log is already running.
pub(crate) fn start(format: LogFormat) -> Result<(), Failure> {
    let filter = EnvFilter::builder()
        .with_env_var("VETPLATE_LOG")
        .try_from_env()
        // The inference engine tells at level info how it plans each model.
        .unwrap_or_else(|_| EnvFilter::new("warn,vetplate=info"));
    let builder = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr);
    match format {
        LogFormat::Text => builder.with_ansi(false).try_init(),
        LogFormat::Json => builder.json().flatten_event(true).try_init(),
    }
    .map_err(|e| Failure::Internal(e.to_string()))
}
