//! Dispatch and exit codes.

use std::io::{BufWriter, IsTerminal, Write};
use std::process::ExitCode;
use std::sync::Arc;
use vetplate::cli::{Cli, Command};
use vetplate::commands::{self, Streams};
use vetplate::pages;
use vetplate::pipeline::PhotoReader;
use vetplate::{Ending, Environment, Failure};
use vetplate_ocr::Reader;

/// Keeps photos of many sizes from leaving holes, and gives what is free back to the system;
/// `.cargo/config.toml` says how soon.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
#[global_allocator]
static ALLOCATOR: tikv_jemallocator::Jemalloc = tikv_jemallocator::Jemalloc;

fn main() -> ExitCode {
    let cli = Cli::parse_with_file(std::env::args_os()).unwrap_or_else(|e| e.exit());
    match run(&cli) {
        Ok(ending) => ending.into(),
        Err(failure) => {
            if !failure.is_quiet() {
                for line in failure.to_string().lines() {
                    // Where standard error is gone, the exit code still tells.
                    let _ = writeln!(std::io::stderr(), "vetplate: {line}");
                }
            }
            failure.exit_code()
        }
    }
}

fn run(cli: &Cli) -> Result<Ending, Failure> {
    let mut output = BufWriter::new(std::io::stdout().lock());
    let mut streams = Streams {
        // Not locked: a password is read from the terminal itself.
        input: &mut std::io::stdin(),
        output: &mut output,
        messages: &mut std::io::stderr(),
        language: cli.language,
    };
    match &cli.command {
        Command::Read(args) => commands::read(args, || Ok(Box::new(reader()?)), &mut streams),
        Command::Decode(args) => commands::decode(args, &mut streams),
        Command::Require(args) => commands::require(args, &mut streams),
        Command::Loop(args) => commands::check(args, || Ok(Box::new(reader()?)), &mut streams),
        Command::Substance(args) => commands::substance(args, &mut streams),
        Command::Import(args) => commands::import(
            args,
            &Environment::system(),
            || Ok(Box::new(reader()?)),
            &mut streams,
        ),
        Command::Register(args) => commands::register(
            args,
            &Environment::system(),
            || Ok(Box::new(reader()?)),
            &mut streams,
        ),
        Command::Review(args) => commands::review(args, &Environment::system(), &mut streams),
        Command::Users(args) => {
            commands::users(args, &Environment::system(), &mut secret, &mut streams)
        }
        Command::Serve(config) if config.print_config => commands::config(config, &mut streams),
        Command::Serve(config) => {
            give_back_when_idle();
            pages::want_large(false);
            commands::serve(config, Environment::system(), || {
                Ok(Arc::new(reader()?) as Arc<dyn PhotoReader>)
            })?;
            Ok(Ending::Answered)
        }
    }
}

/// Has a thread give free memory back to the system. A service at rest allocates nothing, and what is
/// free would stay with it otherwise; an import is better off without, see `.cargo/config.toml`.
fn give_back_when_idle() {
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    if let Err(fault) = tikv_jemalloc_ctl::background_thread::write(true) {
        // Before there is a log.
        let _ = writeln!(
            std::io::stderr(),
            "vetplate: free memory stays with the program: {fault}"
        );
    }
}

/// Asks the terminal for a password without showing it; `None` where input is no terminal.
fn secret(question: &str) -> std::io::Result<Option<String>> {
    if !std::io::stdin().is_terminal() {
        return Ok(None);
    }
    let terminal = console::Term::stderr();
    if !terminal.is_term() {
        return Err(std::io::Error::other(
            "a password is asked for on the terminal; do not redirect standard error",
        ));
    }
    terminal.write_str(question)?;
    terminal.read_secure_line().map(Some)
}

fn reader() -> Result<Reader, Failure> {
    Reader::bundled().map_err(|e| Failure::Internal(e.to_string()))
}
