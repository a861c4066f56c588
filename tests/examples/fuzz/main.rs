//! Feeds changed inputs to a part of the program that strangers reach, and stops at the first
//! panic, wrong answer, or input that takes too long:
//!
//! `cargo run -p vetplate-tests --example fuzz -- picture --seconds 600 --seed 1`
//!
//! Inputs come from `fixtures/hostile` (or `--corpus DIR`), from words of the trade, and from inputs
//! that were answered as none was before. The same seed makes the same inputs; give each of several
//! processes its own. What breaks something is left in the folder where the program runs: put it into
//! `fixtures/hostile`, so that every run of the tests sends it.
#![expect(clippy::print_stdout, reason = "a program for the terminal")]

mod archive;
mod http;
mod marking;
mod mutate;
mod picture;
mod site;

use clap::Parser;
use mutate::{Dice, mutated};
use std::collections::HashSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};
use vetplate::answer::ModelDto;
use vetplate::pipeline::PhotoReader;
use vetplate_ocr::{Glyph, Limits, OcrError, Photo, PhotoLines, TextLine};

/// What a photo may cost here: enough for every decoder, little enough for many tries.
const LIMITS: Limits = Limits {
    bytes: 1 << 20,
    pixels: 1_000_000,
    decoder_bytes: 64 << 20,
};
/// No input takes longer on a machine that does other things besides.
const PATIENCE: Duration = Duration::from_secs(30);
/// Most inputs that are kept because they were answered anew.
const KEPT: usize = 20_000;
/// Larger files of the fixtures are left to the tests.
const LARGEST: u64 = 64 << 10;

/// Fuzzes one part of the program.
#[derive(Parser)]
struct Args {
    /// archive, http, marking, picture or site.
    target: String,
    /// How long.
    #[arg(long, default_value_t = 60)]
    seconds: u64,
    /// Makes the inputs.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Folder of the inputs to begin with, one folder in it for each kind.
    #[arg(long)]
    corpus: Option<PathBuf>,
    /// Sends this file once, and nothing else.
    #[arg(long)]
    once: Option<PathBuf>,
}

/// A part of the program: it answers how it answered, in a word or two that tell ways through the
/// code apart.
struct Target {
    run: fn(&[u8]) -> String,
    seeds: fn(&Path) -> Vec<Vec<u8>>,
    words: &'static [&'static str],
}

fn target(name: &str) -> Option<Target> {
    let target = match name {
        "archive" => Target {
            run: archive::archive,
            seeds: |corpus| files(corpus, "archives"),
            words: &[
                "PK\u{1}\u{2}",
                "PK\u{3}\u{4}",
                "PK\u{5}\u{6}",
                "../",
                "ustar",
                ".zip",
                ".tar",
                ".png",
            ],
        },
        "http" => Target {
            run: http::http,
            seeds: http::seeds,
            words: http::WORDS,
        },
        "marking" => Target {
            run: marking::marking,
            seeds: |_| marking::seeds(),
            words: marking::WORDS,
        },
        "picture" => Target {
            run: picture::picture,
            seeds: |corpus| files(corpus, "pictures"),
            words: &[
                "IHDR", "IDAT", "PLTE", "tRNS", "eXIf", "iCCP", "IEND", "Exif\0\0", "RIFF", "WEBP",
                "VP8 ", "VP8L", "VP8X", "ALPH", "II*\0", "MM\0*",
            ],
        },
        "site" => Target {
            run: site::site,
            seeds: |corpus| files(corpus, "sites"),
            words: &[
                "tag",
                "zone",
                "gas",
                "location",
                "number",
                "\"",
                ",",
                ";",
                "\n",
                "[[location]]",
                "= ",
                "-20..40",
                "IIC",
                "T4",
                "ethanol",
                "ATEX",
                "\u{feff}",
            ],
        },
        _ => return None,
    };
    Some(target)
}

fn main() {
    let args = Args::parse();
    let Some(target) = target(&args.target) else {
        eprintln!(
            "{}: there are archive, http, marking, picture and site",
            args.target
        );
        std::process::exit(2);
    };
    if let Some(path) = &args.once {
        let bytes = fs::read(path).expect("the file can be read");
        println!("{}", (target.run)(&bytes));
        return;
    }
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/hostile");
    let mut corpus = (target.seeds)(args.corpus.as_deref().unwrap_or(&here));
    let current = Arc::new(Mutex::new((Instant::now(), Vec::new())));
    let name = format!("{}-{}", args.target, args.seed);
    leave_what_breaks(&name, &current);
    let mut dice = Dice::new(args.seed);
    let mut known = HashSet::new();
    let (begun, mut count, mut told) = (Instant::now(), 0_u64, Instant::now());
    let seeds = corpus.len();
    while begun.elapsed() < Duration::from_secs(args.seconds) {
        let bytes = match corpus.get(count as usize).filter(|_| count < seeds as u64) {
            Some(seed) => seed.clone(),
            None => mutated(&mut dice, &corpus, target.words),
        };
        *current.lock().unwrap_or_else(PoisonError::into_inner) = (Instant::now(), bytes.clone());
        let answered = (target.run)(&bytes);
        if known.len() < KEPT && known.insert(answered) && count >= seeds as u64 {
            corpus.push(bytes);
        }
        count += 1;
        if told.elapsed() > Duration::from_mins(1) {
            told = Instant::now();
            println!("{name}: {count} inputs, {} kinds of answers", known.len());
        }
    }
    println!(
        "{name}: {count} inputs in {} s, {} kinds of answers, nothing broke",
        begun.elapsed().as_secs(),
        known.len()
    );
}

/// On a panic anywhere, and where an input takes too long, writes it to a file and ends.
fn leave_what_breaks(name: &str, current: &Arc<Mutex<(Instant, Vec<u8>)>>) {
    let file = format!("broke-{name}");
    let leave = {
        let (file, current) = (file.clone(), Arc::clone(current));
        move |why: &str| {
            let current = current.lock().unwrap_or_else(PoisonError::into_inner);
            let written = fs::write(&file, &current.1);
            eprintln!("{why}: the input is in {file} ({written:?})");
            std::process::exit(1);
        }
    };
    let on_panic = leave.clone();
    std::panic::set_hook(Box::new(move |panic| on_panic(&panic.to_string())));
    let current = Arc::clone(current);
    std::thread::spawn(move || {
        loop {
            std::thread::sleep(Duration::from_secs(1));
            let since = current.lock().unwrap_or_else(PoisonError::into_inner).0;
            if since.elapsed() > PATIENCE {
                leave("it takes too long");
            }
        }
    });
}

/// The files of a folder of inputs, by name.
fn files(corpus: &Path, folder: &str) -> Vec<Vec<u8>> {
    let entries = fs::read_dir(corpus.join(folder)).expect("the folder of inputs is there");
    let mut paths: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
    paths.sort();
    paths
        .iter()
        .filter(|path| fs::metadata(path).is_ok_and(|m| m.len() <= LARGEST))
        .filter_map(|path| fs::read(path).ok())
        .collect()
}

/// A sentence without its numbers and quoted parts, so that sentences of one kind are alike.
fn kind_of(sentence: &str) -> String {
    let mut kind = String::new();
    let mut quoted = false;
    for ch in sentence.chars() {
        quoted ^= matches!(ch, '"' | '`');
        if !quoted && !ch.is_ascii_digit() {
            kind.push(ch);
        }
    }
    kind.truncate(kind.char_indices().nth(120).map_or(kind.len(), |(i, _)| i));
    kind
}

/// A reader that sees the same plate on everything that can be decoded.
struct Fake;

impl PhotoReader for Fake {
    fn lines(&self, photo: &Photo) -> Result<PhotoLines, OcrError> {
        // The picture of the service's self-check is the only one of this size.
        let text = if photo.width() == 760 {
            "Ex db IIC T4 Gb"
        } else {
            "II 2 G Ex db IIC T4 Gb"
        };
        let count = text.chars().count() as f32;
        let glyphs = text.chars().enumerate().map(|(i, ch)| Glyph {
            ch,
            probability: 0.9,
            also: Vec::new(),
            x: (i as f32 + 0.5) / count,
        });
        Ok(PhotoLines {
            lines: vec![TextLine {
                glyphs: glyphs.collect(),
                quad: [[0.0, 0.0], [50.0, 0.0], [50.0, 10.0], [0.0, 10.0]],
                ..TextLine::default()
            }],
            ..PhotoLines::default()
        })
    }

    fn models(&self) -> Vec<ModelDto> {
        Vec::new()
    }
}

/// A folder in memory, where there is such a thing.
fn folder() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .expect("a folder can be made")
}
