//! The file of settings, beneath flags and environment.

use super::Cli;
use clap::error::ErrorKind;
use clap::parser::ValueSource;
use clap::{ArgMatches, Command, CommandFactory, FromArgMatches};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use toml::{Table, Value};

/// The command whose settings a file may give.
const SERVE: &str = "serve";
/// Flags that make no sense in a file.
const NOT_IN_FILES: [&str; 3] = ["config", "print-config", "help"];

impl Cli {
    /// Parses a command line. What `serve` is told neither by flags nor by the environment is
    /// taken from the file of `--config`.
    ///
    /// # Errors
    ///
    /// Bad usage, or a file that cannot be used, with what to write instead.
    pub fn parse_with_file(
        arguments: impl IntoIterator<Item = OsString>,
    ) -> Result<Self, clap::Error> {
        let mut arguments: Vec<OsString> = arguments.into_iter().collect();
        let matches = Self::command().try_get_matches_from(&arguments)?;
        let serve = matches.subcommand_matches(SERVE);
        let file = serve.and_then(|m| Some((m, m.get_one::<PathBuf>("config")?)));
        if let Some((given, path)) = file {
            arguments.extend(of_file(path, given).map_err(|message| {
                let message = format!("{}: {message}\n", path.display());
                clap::Error::raw(ErrorKind::InvalidValue, message)
            })?);
            return Self::from_arg_matches(&Self::command().try_get_matches_from(&arguments)?);
        }
        Self::from_arg_matches(&matches)
    }
}

/// The settings of a file as flags, without those that were given otherwise.
fn of_file(path: &Path, given: &ArgMatches) -> Result<Vec<OsString>, String> {
    let text = std::fs::read_to_string(path).map_err(|e| e.to_string())?;
    let table: Table = toml::from_str(&text).map_err(|e| e.to_string())?;
    let command = Cli::command();
    let serve = command.find_subcommand(SERVE).ok_or("there is no serve")?;
    let mut flags = Vec::new();
    for (key, value) in &table {
        let long = key.replace('_', "-");
        let argument = serve
            .get_arguments()
            .find(|a| a.get_long() == Some(&long) && !NOT_IN_FILES.contains(&long.as_str()))
            .ok_or_else(|| format!("there is no setting {key:?}; there are {}", names(serve)))?;
        let source = given.value_source(argument.get_id().as_str());
        if matches!(
            source,
            Some(ValueSource::CommandLine | ValueSource::EnvVariable)
        ) {
            continue;
        }
        let is_switch = !argument.get_action().takes_values();
        match (value, is_switch) {
            (Value::Boolean(true), true) => flags.push(format!("--{long}")),
            (Value::Boolean(false), true) => {}
            (Value::String(text), false) => flags.push(format!("--{long}={text}")),
            (Value::Integer(number), false) => flags.push(format!("--{long}={number}")),
            (_, true) => return Err(format!("{key} takes true or false")),
            (_, false) => return Err(format!("{key} takes a text or a whole number")),
        }
    }
    Ok(flags.into_iter().map(OsString::from).collect())
}

fn names(serve: &Command) -> String {
    let names: Vec<&str> = serve
        .get_arguments()
        .filter_map(clap::Arg::get_long)
        .filter(|name| !NOT_IN_FILES.contains(name))
        .collect();
    names.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::ServeConfig;

    fn parse(file: &str, flags: &[&str]) -> Result<ServeConfig, clap::Error> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("vetplate.toml");
        std::fs::write(&path, file).unwrap();
        let mut arguments = vec!["vetplate".into(), "serve".into(), "--config".into()];
        arguments.push(path.into_os_string());
        arguments.extend(flags.iter().map(OsString::from));
        let cli = Cli::parse_with_file(arguments)?;
        let super::super::Command::Serve(config) = cli.command else {
            panic!("not serve")
        };
        Ok(config)
    }

    #[test]
    fn flags_outrank_the_file_and_the_file_outranks_defaults() {
        let file = "listen = \"127.0.0.1:1\"\nqueue = 7\nrequest-timeout-s = 9\n\
                    behind_proxy = true\nsite = \"still house.csv\"";
        let config = parse(file, &["--queue", "3"]).unwrap();
        assert_eq!(config.listen.port(), 1);
        assert_eq!(config.queue, 3);
        assert_eq!(config.request_timeout_s, 9);
        assert!(config.behind_proxy);
        assert_eq!(config.site, Some(PathBuf::from("still house.csv")));
        assert_eq!(config.shutdown_timeout_s, 30);
    }

    #[test]
    fn a_setting_that_cannot_be_is_named() {
        for (file, wanted) in [
            (
                "colour = 1",
                "there is no setting \"colour\"; there are listen, ",
            ),
            ("queue = 1.5", "queue takes a text or a whole number"),
            ("behind-proxy = 1", "behind-proxy takes true or false"),
            ("queue = \"many\"", "many"),
            ("config = \"other.toml\"", "there is no setting"),
            ("queue = ", "vetplate.toml"),
            ("tls-cert = \"c.pem\"", "--tls-key"),
        ] {
            let error = parse(file, &[]).unwrap_err().to_string();
            assert!(error.contains(wanted), "{file}: {error}");
        }
    }

    #[test]
    fn what_is_printed_can_be_read_again() {
        let config = parse("queue = 7\ntls-cert = \"c.pem\"\ntls-key = \"k.pem\"", &[]).unwrap();
        let printed = config.to_toml().unwrap();
        let again = parse(&printed, &[]).unwrap();
        assert_eq!(again.to_toml().unwrap(), printed);
        assert_eq!(again.queue, 7);
    }
}
