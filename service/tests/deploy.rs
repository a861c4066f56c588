//! What `service/deploy` hands to whoever runs the service is what the program takes.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use clap::CommandFactory;
use std::path::{Path, PathBuf};
use vetplate::cli::Cli;

#[path = "support/program.rs"]
mod program;

use program::run;

fn deployed(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("deploy")
        .join(name)
}

fn text(name: &str) -> String {
    std::fs::read_to_string(deployed(name)).unwrap()
}

#[test]
fn the_settings_are_settings() {
    let file = deployed("vetplate.toml");
    let printed = run([
        "serve",
        "--config",
        file.to_str().unwrap(),
        "--print-config",
    ]);
    assert_eq!(printed.code, 0, "{}", printed.err);
    for line in text("vetplate.toml").lines() {
        let line = line.trim_start_matches("# ");
        // Settings that are switched off are examples, and must be good ones.
        if let Some((key, _)) = line.split_once(" = ") {
            let flag = format!("--{key}");
            let help = run(["serve", "--help"]).out;
            assert!(help.contains(&flag), "{line}");
        } else {
            assert!(!line.contains('='), "{line}");
        }
    }
    for kept in ["0.0.0.0:8460", "/etc/vetplate/tls/key.pem", "json"] {
        assert!(printed.out.contains(kept), "{}", printed.out);
    }
}

#[test]
fn the_units_start_commands_that_there_are() {
    let mut started = 0;
    for unit in ["vetplate.service", "vetplate-backup.service"] {
        for line in text(unit).lines() {
            let Some(command) = line.strip_prefix("ExecStart=/usr/local/bin/") else {
                continue;
            };
            let parsed = Cli::command().try_get_matches_from(command.split(' '));
            assert!(parsed.is_ok(), "{line}: {parsed:?}");
            started += 1;
        }
    }
    assert_eq!(started, 2);
    // The program is given longer to end than it takes by itself.
    let unit = text("vetplate.service");
    let patience = unit
        .lines()
        .find_map(|l| l.strip_prefix("TimeoutStopSec="))
        .unwrap();
    let own = vetplate::ServeConfig::default().shutdown_timeout_s;
    assert!(patience.parse::<u64>().unwrap() > own + 10, "{patience}");
}

#[test]
fn the_picture_sets_variables_that_there_are() {
    let command = Cli::command();
    let serve = command.find_subcommand("serve").unwrap();
    let known: Vec<&str> = serve
        .get_arguments()
        .filter_map(|a| a.get_env()?.to_str())
        .collect();
    let file = text("Containerfile");
    let set: Vec<&str> = file
        .split([' ', '\n'])
        .filter(|word| word.starts_with("VETPLATE_"))
        .filter_map(|word| word.split_once('=').map(|(name, _)| name))
        .collect();
    assert_eq!(set.len(), 3, "{set:?}");
    for name in set {
        assert!(known.contains(&name), "{name}: {known:?}");
    }
    // It is built by a compiler that is new enough.
    let wanted = env!("CARGO_PKG_RUST_VERSION");
    assert!(
        file.contains(&format!("/rust:{wanted}-")),
        "the picture is built by another compiler than {wanted}"
    );
}
