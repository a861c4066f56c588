//! Dispatch and exit codes.

use clap::Parser;
use std::io::{BufWriter, Write};
use std::process::ExitCode;
use std::sync::Arc;
use vetplate::cli::{Cli, Command};
use vetplate::commands::{self, Streams};
use vetplate::pipeline::PhotoReader;
use vetplate::{Ending, Environment, Failure};
use vetplate_ocr::Reader;

fn main() -> ExitCode {
    let cli = Cli::parse();
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
        input: &mut std::io::stdin().lock(),
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
        Command::Serve(config) => {
            commands::serve(config, Environment::system(), || {
                Ok(Arc::new(reader()?) as Arc<dyn PhotoReader>)
            })?;
            Ok(Ending::Answered)
        }
    }
}

fn reader() -> Result<Reader, Failure> {
    Reader::bundled().map_err(|e| Failure::Internal(e.to_string()))
}
