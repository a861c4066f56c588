//! Settings of the service: flags, environment variables beneath them, and a file beneath both.

use clap::{Args, ValueEnum};
use serde::Serialize;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;
use vetplate_ocr::Limits;

/// `vetplate serve`
///
/// Each setting is a flag, a variable of the environment, or a key of the file that --config
/// names, in this order of rank.
#[derive(Debug, Clone, Args, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ServeConfig {
    /// File of settings, TOML: each key is the name of a flag, such as `queue = 16`.
    #[arg(long, env = "VETPLATE_CONFIG", value_name = "FILE")]
    #[serde(skip)]
    pub config: Option<PathBuf>,
    /// Print the settings as they are, in the form of such a file, and end. Passwords and keys
    /// are not among them: they are in the register and in files.
    #[arg(long)]
    #[serde(skip)]
    pub print_config: bool,
    /// Address and port to listen on.
    #[arg(
        long,
        env = "VETPLATE_LISTEN",
        default_value = "127.0.0.1:8460",
        value_name = "ADDRESS"
    )]
    pub listen: SocketAddr,
    /// File of the site's locations, CSV or TOML: requests may then name a `location`.
    #[arg(long, env = "VETPLATE_SITE", value_name = "FILE")]
    pub site: Option<PathBuf>,
    /// List of the site's certificates, CSV: plates are held against them.
    #[arg(long, env = "VETPLATE_CERTIFICATES", value_name = "FILE")]
    pub certificates: Option<PathBuf>,
    /// File of the register; without it, no plates are kept.
    #[arg(long, env = "VETPLATE_REGISTER", value_name = "FILE")]
    pub register: Option<PathBuf>,
    /// Folder from which imports may be started over HTTP; without it, only what is sent is
    /// imported.
    #[arg(long, env = "VETPLATE_IMPORT_FROM", value_name = "DIR")]
    pub import_from: Option<PathBuf>,
    /// Most that may be sent for one import, MiB.
    #[arg(
        long,
        env = "VETPLATE_MAX_IMPORT_MIB",
        default_value_t = 8192,
        value_name = "MIB"
    )]
    pub max_import_mib: u64,
    /// Certificate chain for TLS, PEM; with it the service speaks HTTPS alone.
    #[arg(
        long,
        env = "VETPLATE_TLS_CERT",
        value_name = "FILE",
        requires = "tls_key"
    )]
    pub tls_cert: Option<PathBuf>,
    /// Private key of the certificate, PEM.
    #[arg(
        long,
        env = "VETPLATE_TLS_KEY",
        value_name = "FILE",
        requires = "tls_cert"
    )]
    pub tls_key: Option<PathBuf>,
    /// A proxy stands before the service: what it says in X-Forwarded-Proto and
    /// X-Forwarded-For counts. Never without one: any client could say it.
    #[arg(long, env = "VETPLATE_BEHIND_PROXY")]
    pub behind_proxy: bool,
    /// Photos read at the same time; 0 for one a processor.
    #[arg(long, env = "VETPLATE_WORKERS", default_value_t = 0, value_name = "N")]
    pub workers: usize,
    /// Requests that may wait for a worker; more are sent away with 503.
    #[arg(long, env = "VETPLATE_QUEUE", default_value_t = 16, value_name = "N")]
    pub queue: usize,
    /// Largest photo, MiB.
    #[arg(
        long,
        env = "VETPLATE_MAX_PHOTO_MIB",
        default_value_t = 64,
        value_name = "MIB"
    )]
    pub max_photo_mib: usize,
    /// Most pixels of a photo, millions.
    #[arg(
        long,
        env = "VETPLATE_MAX_MEGAPIXELS",
        default_value_t = 100,
        value_name = "N"
    )]
    pub max_megapixels: u64,
    /// Connections at the same time; more are closed at once.
    #[arg(
        long,
        env = "VETPLATE_MAX_CONNECTIONS",
        default_value_t = 512,
        value_name = "N"
    )]
    pub max_connections: usize,
    /// How long the headers of a request may take, and a connection may be idle, seconds.
    #[arg(
        long,
        env = "VETPLATE_HEADER_TIMEOUT_S",
        default_value_t = 10,
        value_name = "S"
    )]
    pub header_timeout_s: u64,
    /// Longest time that a request may take, its body and the wait for a worker included;
    /// and that a client may leave its answer lying, seconds.
    #[arg(
        long,
        env = "VETPLATE_REQUEST_TIMEOUT_S",
        default_value_t = 60,
        value_name = "S"
    )]
    pub request_timeout_s: u64,
    /// How long requests in progress may take to end after SIGTERM, seconds.
    #[arg(
        long,
        env = "VETPLATE_SHUTDOWN_TIMEOUT_S",
        default_value_t = 30,
        value_name = "S"
    )]
    pub shutdown_timeout_s: u64,
    /// Form of the log on standard error.
    #[arg(
        long,
        env = "VETPLATE_LOG_FORMAT",
        default_value = "text",
        value_name = "FORM"
    )]
    pub log_format: LogFormat,
}

/// Form of the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum LogFormat {
    /// One readable line an event.
    Text,
    /// One JSON object an event.
    Json,
}

impl Default for ServeConfig {
    /// The settings of a command line without flags.
    fn default() -> Self {
        Self {
            config: None,
            print_config: false,
            listen: SocketAddr::from(([127, 0, 0, 1], 8460)),
            site: None,
            certificates: None,
            register: None,
            import_from: None,
            max_import_mib: 8192,
            tls_cert: None,
            tls_key: None,
            behind_proxy: false,
            workers: 0,
            queue: 16,
            max_photo_mib: 64,
            max_megapixels: 100,
            max_connections: 512,
            header_timeout_s: 10,
            request_timeout_s: 60,
            shutdown_timeout_s: 30,
            log_format: LogFormat::Text,
        }
    }
}

impl ServeConfig {
    /// How many photos are read at the same time, at least one.
    pub fn worker_count(&self) -> usize {
        if self.workers > 0 {
            self.workers
        } else {
            std::thread::available_parallelism().map_or(1, usize::from)
        }
    }

    /// The settings in the form of the file that gives them.
    ///
    /// # Errors
    ///
    /// Where a path is no UTF-8.
    pub fn to_toml(&self) -> Result<String, toml::ser::Error> {
        toml::to_string(self)
    }

    /// What a photo may cost.
    pub fn limits(&self) -> Limits {
        Limits {
            bytes: self.max_photo_mib << 20,
            pixels: self.max_megapixels * 1_000_000,
            ..Limits::default()
        }
    }

    /// Longest time that headers may take, and a connection may be idle.
    pub fn header_timeout(&self) -> Duration {
        Duration::from_secs(self.header_timeout_s)
    }

    /// Longest time that a request may take.
    pub fn request_timeout(&self) -> Duration {
        Duration::from_secs(self.request_timeout_s)
    }

    /// Longest time to wait for requests in progress at the end.
    pub fn shutdown_timeout(&self) -> Duration {
        Duration::from_secs(self.shutdown_timeout_s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;

    #[derive(Parser)]
    struct Alone {
        #[command(flatten)]
        config: ServeConfig,
    }

    #[test]
    fn defaults_are_those_of_the_command_line() {
        let parsed = Alone::parse_from(["serve"]).config;
        assert_eq!(
            format!("{parsed:?}"),
            format!("{:?}", ServeConfig::default())
        );
        assert_eq!(parsed.limits(), Limits::default());
    }
}
