//! How the quick judgement takes photos as they are and the same photos blurred by known amounts.
//!
//! `cargo run --release -p vetplate-tests --bin judgement -- FOLDER`
//!
//! The folder is one that `vetplate-fixtures` wrote. The amounts are shares of the height of the
//! marking's capitals: the deviation of the blur that is added to what the photo has. The same photos
//! are also cut off at four fifths of the plate's width.

#![expect(clippy::print_stdout, reason = "a command for people")]

use clap::Parser;
use image::RgbImage;
use serde::Deserialize;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Instant;
use vetplate_ocr::{FlawKind, JUDGED_AT, Judgement, Limits, Photo, Reduced, judge};

/// Judges the photos of a folder, as they are and blurred.
#[derive(Debug, Parser)]
struct Arguments {
    /// Folders with photos and a truth.jsonl.
    #[arg(required = true)]
    folders: Vec<PathBuf>,
    /// Blur to add, shares of the height of the marking's capitals.
    #[arg(long, value_delimiter = ',', default_value = "0.06,0.1,0.14,0.2,0.3")]
    blur: Vec<f32>,
    /// Print every photo's flaws.
    #[arg(long)]
    details: bool,
}

/// What is needed of a line of `truth.jsonl`.
#[derive(Debug, Deserialize)]
struct Truth {
    file: String,
    difficulty: String,
    marking_cap_px: Option<f32>,
    legibility: f32,
    quad: [[f32; 2]; 4],
}

/// What a judgement said, in one row of the table.
#[derive(Default)]
struct Row {
    photos: usize,
    good: usize,
    told: [usize; KINDS.len()],
}

const KINDS: [&str; 6] = ["no text", "small", "blurred", "glare", "cut", "dark"];

fn kind(flaw: FlawKind) -> usize {
    match flaw {
        FlawKind::NoText => 0,
        FlawKind::Small { .. } => 1,
        FlawKind::Blurred => 2,
        FlawKind::Glare => 3,
        FlawKind::Cut => 4,
        FlawKind::Dark => 5,
    }
}

impl Row {
    fn add(&mut self, judged: &Judgement) {
        self.photos += 1;
        self.good += usize::from(judged.flaws.is_empty());
        for (index, told) in self.told.iter_mut().enumerate() {
            *told += usize::from(judged.flaws.iter().any(|f| kind(f.kind) == index));
        }
    }

    fn print(&self, name: &str) {
        let cells: Vec<String> = std::iter::once(self.good)
            .chain(self.told)
            .map(|n| format!("{:>8.1}", 100.0 * n as f64 / self.photos.max(1) as f64))
            .collect();
        println!("{name:<22} {:>6} {}", self.photos, cells.join(" "));
    }
}

/// The photo up to four fifths of the plate's width.
fn cut_off(photo: &RgbImage, plate: &[[f32; 2]; 4]) -> RgbImage {
    let xs = plate.map(|p| p[0]);
    let left = xs.iter().copied().fold(f32::INFINITY, f32::min);
    let right = xs.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let width = ((left + 0.8 * (right - left)) as u32).clamp(1, photo.width());
    image::imageops::crop_imm(photo, 0, 0, width, photo.height()).to_image()
}

fn main() -> ExitCode {
    match run(&Arguments::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("judgement: {message}");
            ExitCode::from(2)
        }
    }
}

fn run(arguments: &Arguments) -> Result<(), String> {
    let mut by_grade: Vec<(String, Row)> = Vec::new();
    let mut blurred: Vec<Row> = arguments.blur.iter().map(|_| Row::default()).collect();
    let mut cut = Row::default();
    let mut times = Vec::new();
    for folder in &arguments.folders {
        let path = folder.join("truth.jsonl");
        let text =
            std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
        for line in text.lines().filter(|l| !l.trim().is_empty()) {
            let truth: Truth =
                serde_json::from_str(line).map_err(|e| format!("{}: {e}", path.display()))?;
            let fault = |e: &dyn std::fmt::Display| format!("{}: {e}", truth.file);
            let bytes = std::fs::read(folder.join(&truth.file)).map_err(|e| fault(&e))?;
            let start = Instant::now();
            let reduced = Reduced::decode(&bytes, &Limits::default(), JUDGED_AT);
            let judged = judge(&reduced.map_err(|e| fault(&e))?);
            times.push(start.elapsed().as_secs_f64() * 1000.0);
            if arguments.details {
                println!("{} {:?}", truth.file, judged);
            }
            if let Some((_, row)) = by_grade.iter_mut().find(|g| g.0 == truth.difficulty) {
                row.add(&judged);
            } else {
                let mut row = Row::default();
                row.add(&judged);
                by_grade.push((truth.difficulty.clone(), row));
            }
            // Blur is added where letters are clear without it.
            let Some(cap) = truth.marking_cap_px.filter(|_| truth.legibility > 0.97) else {
                continue;
            };
            let photo = Photo::decode(&bytes, &Limits::default()).map_err(|e| fault(&e))?;
            let part = cut_off(photo.image(), &truth.quad);
            cut.add(&judge(&Reduced::of(&Photo::from_image(part), JUDGED_AT)));
            for (share, row) in arguments.blur.iter().zip(&mut blurred) {
                let picture: RgbImage = image::imageops::fast_blur(photo.image(), share * cap);
                row.add(&judge(&Reduced::of(&Photo::from_image(picture), JUDGED_AT)));
            }
        }
    }
    let heads: Vec<String> = std::iter::once("good")
        .chain(KINDS)
        .map(|k| format!("{k:>8}"))
        .collect();
    println!(
        "{:<22} {:>6} {}",
        "share of photos in %",
        "photos",
        heads.join(" ")
    );
    for (grade, row) in &by_grade {
        row.print(grade);
    }
    for (share, row) in arguments.blur.iter().zip(&blurred) {
        row.print(&format!("clear, blurred by {share}"));
    }
    cut.print("clear, cut off");
    times.sort_by(f64::total_cmp);
    let at = |share: usize| times.get(times.len() * share / 100).copied().unwrap_or(0.0);
    println!(
        "ms a photo: median {:.1}, 95 of 100 within {:.1}",
        at(50),
        at(95)
    );
    Ok(())
}
