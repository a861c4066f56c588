//! Reads a labelled set of photos and prints how well it went.
//!
//! `cargo run --release -p vetplate-tests --bin accuracy -- fixtures/photos`

#![expect(clippy::print_stdout, reason = "a command for people")]

use clap::Parser;
use std::path::PathBuf;
use std::process::ExitCode;
use vetplate_ocr::Reader;
use vetplate_tests::accuracy::{Score, score, truths};

/// Reads a labelled set of photos and prints how well it went, by grade.
#[derive(Debug, Parser)]
struct Arguments {
    /// Folders with photos and a truth.jsonl.
    #[arg(required = true)]
    folders: Vec<PathBuf>,
    /// Print what differs, photo by photo.
    #[arg(long)]
    details: bool,
    /// Read the first photo once more before the clock starts.
    #[arg(long, default_value_t = true, action = clap::ArgAction::Set)]
    warm: bool,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    match run(&arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("accuracy: {message}");
            ExitCode::from(2)
        }
    }
}

fn run(arguments: &Arguments) -> Result<(), String> {
    let reader = Reader::bundled().map_err(|e| e.to_string())?;
    let mut scores: Vec<Score> = Vec::new();
    for folder in &arguments.folders {
        let truths = truths(folder)?;
        if arguments.warm
            && let Some(first) = truths.first()
        {
            score(&reader, folder, first)?;
        }
        for truth in &truths {
            scores.push(score(&reader, folder, truth)?);
        }
    }
    if arguments.details {
        for s in &scores {
            println!(
                "{:34} lines {:>2}/{:<2} {}{}{}{}{} {}",
                s.file,
                s.lines.0,
                s.lines.1,
                if s.marking_exact { "exact " } else { "" },
                if s.fields_right { "right " } else { "WRONG " },
                if s.review { "review " } else { "" },
                if s.confident_wrong {
                    "CONFIDENT-WRONG "
                } else {
                    ""
                },
                if s.invented { "INVENTED " } else { "" },
                s.detail
            );
        }
    }
    table(&scores);
    if let Some(peak) = peak_memory() {
        println!("peak memory {peak} MB");
    }
    Ok(())
}

fn table(scores: &[Score]) {
    println!(
        "{:<11} {:>6} {:>7} {:>9} {:>7} {:>7} {:>9} {:>8} {:>8} {:>8} {:>7}",
        "grade",
        "photos",
        "lines %",
        "marking %",
        "right %",
        "review",
        "confident",
        "not",
        "invented",
        "verdict",
        "ms a"
    );
    println!(
        "{:<11} {:>6} {:>7} {:>9} {:>7} {:>7} {:>9} {:>8} {:>8} {:>8} {:>7}",
        "", "", "exact", "exact", "", "asked", "wrong", "admitted", "", "too mild", "photo"
    );
    let mut grades: Vec<&str> = Vec::new();
    for s in scores {
        if !grades.contains(&s.grade.as_str()) {
            grades.push(&s.grade);
        }
    }
    for grade in grades.iter().copied().chain(["all"]) {
        let of: Vec<&Score> = scores
            .iter()
            .filter(|s| grade == "all" || s.grade == grade)
            .collect();
        let count = |f: &dyn Fn(&Score) -> bool| of.iter().filter(|s| f(s)).count();
        let percent = |n: usize, d: usize| 100.0 * n as f64 / d.max(1) as f64;
        let (exact, lines) = of
            .iter()
            .fold((0, 0), |(e, n), s| (e + s.lines.0, n + s.lines.1));
        let mut times: Vec<u128> = of.iter().map(|s| s.time.as_millis()).collect();
        times.sort_unstable();
        println!(
            "{:<11} {:>6} {:>7.1} {:>9.1} {:>7.1} {:>7} {:>9} {:>8} {:>8} {:>8} {:>7}",
            grade,
            of.len(),
            percent(exact, lines),
            percent(count(&|s| s.marking_exact), of.len()),
            percent(count(&|s| s.fields_right), of.len()),
            count(&|s| s.review),
            count(&|s| s.confident_wrong),
            count(&|s| s.not_admitted),
            count(&|s| s.invented),
            count(&|s| s.too_mild),
            times.get(times.len() / 2).copied().unwrap_or(0),
        );
    }
}

/// Highest resident memory of this process in MB, where the system tells.
fn peak_memory() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM"))?;
    let kilobytes: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024)
}
