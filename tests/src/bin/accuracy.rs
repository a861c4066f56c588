//! Reads a labelled set of photos and prints how well it went, beside other readers if asked.
//!
//! `cargo run --release -p vetplate-tests --bin accuracy -- fixtures/photos`
//!
//! `--peer COMMAND` gives the photos' paths to another program, which prints a line of JSON for
//! each, `{"file": …, "lines": […], "pieces": […], "ms": …}`; those lines go through the same parser. The peers of
//! the README are in `tests/peers/`.

#![expect(clippy::print_stdout, reason = "a command for people")]

use clap::Parser;
use serde::Deserialize;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use std::time::{Duration, Instant};
use vetplate_ocr::{Limits, Photo, Reader};
use vetplate_tests::accuracy::{Score, Truth, calibration_error, score, score_lines, truths};

/// Reads a labelled set of photos and prints how well it went, by grade.
#[derive(Debug, Parser)]
struct Arguments {
    /// Folders with photos and a truth.jsonl.
    #[arg(required = true)]
    folders: Vec<PathBuf>,
    /// Print what differs, photo by photo.
    #[arg(long)]
    details: bool,
    /// Print every line that was read, with `--details`.
    #[arg(long)]
    lines: bool,
    /// Time the stages of each photo once more, one by one.
    #[arg(long)]
    stages: bool,
    /// Another reader, a command that is given the photos' paths; may be repeated.
    #[arg(long)]
    peer: Vec<String>,
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
    let mut photos: Vec<(PathBuf, Truth)> = Vec::new();
    for folder in &arguments.folders {
        let truths = truths(folder)?;
        if arguments.warm
            && let Some(first) = truths.first()
        {
            score(&reader, folder, first)?;
        }
        for truth in truths {
            scores.push(score(&reader, folder, &truth)?);
            photos.push((folder.join(&truth.file), truth));
        }
    }
    if arguments.details {
        details(&scores, arguments.lines);
    }
    println!("vetplate");
    table(&scores);
    if let Some(peak) = peak_memory() {
        println!("peak memory {peak} MB");
    }
    if arguments.stages {
        stages(&reader, &photos)?;
    }
    for command in &arguments.peer {
        let scores = peer(command, &photos)?;
        println!();
        if arguments.details {
            details(&scores, arguments.lines);
        }
        println!("{command}");
        table(&scores);
    }
    Ok(())
}

fn details(scores: &[Score], lines: bool) {
    for s in scores {
        let flags = [
            (s.marking_exact, "exact"),
            (s.fields_right, "right"),
            (!s.fields_right, "WRONG"),
            (s.review, "review"),
            (s.confident_wrong, "CONFIDENT-WRONG"),
            (s.invented, "INVENTED"),
            (s.not_admitted, "NOT-ADMITTED"),
            (s.too_mild, "TOO-MILD"),
            (s.is_in_vain(), "ASKED-IN-VAIN"),
        ];
        let flags: Vec<&str> = flags.iter().filter(|f| f.0).map(|f| f.1).collect();
        println!(
            "{:34} lines {:>2}/{:<2} {} {}",
            s.file,
            s.lines.0,
            s.lines.1,
            flags.join(" "),
            s.detail
        );
        if lines {
            for line in &s.read {
                println!("      {line}");
            }
        }
    }
}

/// One photo as another program read it.
#[derive(Deserialize)]
struct PeerPhoto {
    file: String,
    /// Rows, as a person would read them: what the parser gets.
    lines: Vec<String>,
    /// What they were joined from; the rows where this is left out.
    pieces: Option<Vec<String>>,
    ms: f64,
}

fn peer(command: &str, photos: &[(PathBuf, Truth)]) -> Result<Vec<Score>, String> {
    let mut words = command.split_whitespace();
    let program = words.next().ok_or("--peer names no command")?;
    let output = Command::new(program)
        .args(words)
        .args(photos.iter().map(|(path, _)| path))
        .output()
        .map_err(|e| format!("{command}: {e}"))?;
    if !output.status.success() {
        return Err(format!(
            "{command}: {}",
            String::from_utf8_lossy(&output.stderr)
        ));
    }
    let text = String::from_utf8_lossy(&output.stdout);
    let read: Vec<PeerPhoto> = text
        .lines()
        .filter(|line| line.starts_with('{'))
        .map(|line| serde_json::from_str(line).map_err(|e| format!("{command}: {e} in {line}")))
        .collect::<Result<_, _>>()?;
    photos
        .iter()
        .map(|(path, truth)| {
            let own = read
                .iter()
                .find(|photo| Path::new(&photo.file) == path)
                .ok_or_else(|| format!("{command}: it says nothing of {}", path.display()))?;
            let time = Duration::from_secs_f64(own.ms.max(0.0) / 1000.0);
            let pieces = own.pieces.as_ref().unwrap_or(&own.lines);
            score_lines(truth, own.lines.clone(), pieces, time)
        })
        .collect()
}

/// Median time of each stage on its own; finding lines is part of reading and done twice here.
fn stages(reader: &Reader, photos: &[(PathBuf, Truth)]) -> Result<(), String> {
    let mut times = [const { Vec::new() }; 3];
    for (path, _) in photos {
        let fault = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
        let bytes = std::fs::read(path).map_err(|e| fault(&e))?;
        let start = Instant::now();
        let photo = Photo::decode(&bytes, &Limits::default()).map_err(|e| fault(&e))?;
        let decoded = start.elapsed();
        reader.places(&photo).map_err(|e| fault(&e))?;
        let found = start.elapsed();
        reader.read(&photo).map_err(|e| fault(&e))?;
        let read = start.elapsed();
        let finding = found.saturating_sub(decoded);
        let parts = [
            decoded,
            finding,
            read.saturating_sub(found).saturating_sub(finding),
        ];
        for (times, part) in times.iter_mut().zip(parts) {
            times.push(part.as_micros());
        }
    }
    let [decoding, finding, reading] = times.map(|mut times| {
        times.sort_unstable();
        times.get(times.len() / 2).copied().unwrap_or(0) as f64 / 1000.0
    });
    println!(
        "median of each stage: decoding {decoding:.0} ms, finding lines {finding:.0} ms, \
         reading them {reading:.0} ms"
    );
    Ok(())
}

const HEADS: [[&str; 2]; 17] = [
    ["grade", ""],
    ["photos", ""],
    ["lines", "exact %"],
    ["marking", "exact %"],
    ["wrong", "chars %"],
    ["fields", "right %"],
    ["review", "%"],
    ["in vain,", "of sound"],
    ["sure and", "wrong"],
    ["not", "admitted"],
    ["illegible", "admitted"],
    ["", "invented"],
    ["verdict", "too mild"],
    ["hidden", "told"],
    ["clean li.", "accused"],
    ["calibr.", "error"],
    ["ms a", "photo"],
];

fn print_row<'a>(cells: impl IntoIterator<Item = &'a str>) {
    let mut row = String::new();
    for (i, cell) in cells.into_iter().enumerate() {
        // Writing to a String cannot fail.
        let _ = if i == 0 {
            write!(row, "{cell:<11}")
        } else {
            write!(row, " {cell:>9}")
        };
    }
    println!("{}", row.trim_end());
}

fn table(scores: &[Score]) {
    print_row(HEADS.map(|h| h[0]));
    print_row(HEADS.map(|h| h[1]));
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
        let percent = |n: usize, d: usize| format!("{:.1}", 100.0 * n as f64 / d.max(1) as f64);
        let sum = |f: &dyn Fn(&Score) -> (usize, usize)| {
            let add = |(a, b): (usize, usize), (c, d): (usize, usize)| (a + c, b + d);
            of.iter().map(|s| f(s)).fold((0, 0), add)
        };
        let (exact, lines) = sum(&|s| s.lines);
        let (accused, clean) = sum(&|s| s.accused);
        let damaged = count(&|s| s.caught.is_some());
        let (wrong, characters) = sum(&|s| s.characters);
        let confidences: Vec<(f64, bool)> = of.iter().flat_map(|s| s.confidences.clone()).collect();
        let mut times: Vec<u128> = of.iter().map(|s| s.time.as_millis()).collect();
        times.sort_unstable();
        let illegible = count(&|s| s.illegible);
        let cells = [
            grade.to_owned(),
            of.len().to_string(),
            percent(exact, lines),
            percent(count(&|s| s.marking_exact), of.len()),
            percent(wrong, characters),
            percent(count(&|s| s.fields_right), of.len()),
            percent(count(&|s| s.review), of.len()),
            format!("{}/{}", count(&Score::is_in_vain), count(&|s| s.sound)),
            count(&|s| s.confident_wrong).to_string(),
            count(&|s| s.not_admitted).to_string(),
            format!("{}/{illegible}", illegible - count(&|s| s.not_admitted)),
            count(&|s| s.invented).to_string(),
            count(&|s| s.too_mild).to_string(),
            format!("{}/{damaged}", count(&|s| s.caught == Some(true))),
            format!("{accused}/{clean}"),
            format!("{:.3}", calibration_error(&confidences)),
            times.get(times.len() / 2).copied().unwrap_or(0).to_string(),
        ];
        print_row(cells.iter().map(String::as_str));
    }
}

/// Highest resident memory of this process in MB, where the system tells.
fn peak_memory() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM"))?;
    let kilobytes: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024)
}
