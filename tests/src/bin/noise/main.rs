//! Reads damaged markings by the million and counts what comes out.
//!
//! `cargo run --release -p vetplate-tests --bin noise -- --count 200000 --seed 1`
//!
//! **The model of a doubtful glyph.** A character of the marking is doubtful with a given rate. Its
//! candidates are itself and up to three of the characters that cameras take for it
//! (`doubt.rs`). Each candidate gets a share, none under the floor of one in a hundred; the true
//! one is drawn with exactly those shares, so the shares are calibrated: a candidate of 0.7 is
//! right seven times in ten. The likeliest is what was read, the others are its runner-ups. Plates
//! on which a person would be asked even undamaged (a certificate that is missing) are left out.
//!
//! The same options give the same table on every machine, however many threads share the work.

mod doubt;
#[path = "../../../../parser/tests/markings_support/generate.rs"]
#[allow(dead_code, reason = "the property tests use the rest")]
mod generate;
mod outcome;
mod shapes;

use clap::Parser;
use doubt::{confused, damaged};
use generate::Dice;
use outcome::{Fields, Outcome, Tally, critical, outcome, withheld};
use shapes::SHAPES;
use std::collections::BTreeMap;
use std::io::Write;
use vetplate_parser::{Line, Reading, read};

/// Shares of doubtful characters.
const RATES: [f64; 6] = [0.01, 0.02, 0.05, 0.1, 0.2, 0.3];

#[derive(Parser)]
#[command(about = "Damaged markings: recovered, withheld, silently wrong")]
struct Options {
    /// Plates that are drawn for each of the six rates, for the shapes and for the wrong letters.
    #[arg(long, default_value_t = 20_000)]
    count: usize,
    /// Where the numbers start.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Cases that are printed for each part.
    #[arg(long, default_value_t = 10)]
    show: usize,
    /// Threads; all cores by default.
    #[arg(long)]
    threads: Option<usize>,
}

/// One plate that counts: what came of it, and its story where it is worth telling.
struct Case {
    outcome: Outcome,
    /// The best characters are the printed ones.
    unchanged: bool,
    kind: String,
    story: Option<String>,
}

/// Draws the plates of one part on all threads; answers the cases in the order of their numbers.
fn part(
    options: &Options,
    part: u64,
    draw: impl Fn(&mut Dice) -> Option<Case> + Sync,
) -> Vec<Case> {
    let threads = options
        .threads
        .or(std::thread::available_parallelism().ok().map(Into::into))
        .unwrap_or(1)
        .max(1);
    let (count, seed) = (options.count, options.seed);
    let draw = &draw;
    let mut found: Vec<(usize, Case)> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|first| {
                scope.spawn(move || {
                    (first..count)
                        .step_by(threads)
                        .filter_map(|index| {
                            let start = Dice::new(seed << 32 ^ part << 56 ^ index as u64).next();
                            draw(&mut Dice::new(start)).map(|case| (index, case))
                        })
                        .collect::<Vec<_>>()
                })
            })
            .collect();
        workers
            .into_iter()
            .flat_map(|worker| worker.join().unwrap_or_default())
            .collect()
    });
    found.sort_by_key(|(index, _)| *index);
    found.into_iter().map(|(_, case)| case).collect()
}

fn text(lines: &[Line]) -> String {
    lines.iter().map(Line::text).collect::<Vec<_>>().join(" ; ")
}

fn certain(lines: &[String]) -> Vec<Line> {
    lines.iter().map(|l| Line::certain(l)).collect()
}

/// A plate that nobody would be asked about undamaged, and what is printed on it.
fn sound(dice: &mut Dice) -> Option<(Vec<String>, Fields)> {
    let lines = generate::plate(dice);
    let clean = read(&certain(&lines));
    (!withheld(&clean)).then(|| {
        let truth = critical(&clean.best().plate);
        (lines, truth)
    })
}

fn story(lines: &[String], read: &[Line]) -> String {
    format!("{} read as {}", lines.join(" ; "), text(read))
}

fn doubtful(dice: &mut Dice, rate: f64) -> Option<Case> {
    let (lines, truth) = sound(dice)?;
    let (lines_read, wrong) = damaged(dice, &lines, rate);
    let outcome = outcome(&read(&lines_read), &truth);
    Some(Case {
        outcome,
        unchanged: !wrong,
        kind: String::new(),
        story: (outcome == Outcome::Silent).then(|| story(&lines, &lines_read)),
    })
}

fn misshapen(dice: &mut Dice) -> Option<Case> {
    let (lines, truth) = sound(dice)?;
    let shape = &SHAPES[dice.below(SHAPES.len())];
    let (at, changed) = lines
        .iter()
        .enumerate()
        .find_map(|(at, line)| Some((at, shape.misread(line)?)))?;
    let mut lines_read = lines.clone();
    lines_read[at] = changed;
    let lines_read = certain(&lines_read);
    let outcome = outcome(&read(&lines_read), &truth);
    Some(Case {
        outcome,
        unchanged: false,
        kind: shape.to_string(),
        story: (outcome != Outcome::Recovered).then(|| story(&lines, &lines_read)),
    })
}

/// The fields that a reading has otherwise than printed.
fn differing(reading: &Reading, truth: &Fields) -> String {
    critical(&reading.best().plate)
        .iter()
        .zip(truth)
        .filter(|(a, b)| a != b)
        .map(|(a, _)| a.0)
        .collect::<Vec<_>>()
        .join(", ")
}

fn wrong_letter(dice: &mut Dice) -> Option<Case> {
    let (lines, truth) = sound(dice)?;
    let mut letters: Vec<char> = lines[0].chars().collect();
    let at = dice.below(letters.len());
    let others: Vec<char> = confused(letters[at])?.chars().collect();
    letters[at] = others[dice.below(others.len())];
    let mut lines_read = lines.clone();
    lines_read[0] = letters.into_iter().collect();
    let lines_read = certain(&lines_read);
    let reading = read(&lines_read);
    let outcome = outcome(&reading, &truth);
    let silent = outcome == Outcome::Silent;
    Some(Case {
        outcome,
        unchanged: false,
        kind: differing(&reading, &truth),
        story: silent.then(|| story(&lines, &lines_read)),
    })
}

fn tally(cases: &[Case]) -> Tally {
    let mut tally = Tally::default();
    for case in cases {
        tally.count(case.outcome);
    }
    tally
}

fn tell(out: &mut impl Write, cases: &[Case], show: usize) -> std::io::Result<()> {
    for story in cases.iter().filter_map(|c| c.story.as_ref()).take(show) {
        writeln!(out, "  {story}")?;
    }
    Ok(())
}

fn rates(out: &mut impl Write, options: &Options) -> std::io::Result<()> {
    writeln!(
        out,
        "{:>6} {:>8} {:>9} {:>9} {:>15} {:>15} {:>14}",
        "rate",
        "plates",
        "unchanged",
        "recovered",
        "withheld, right",
        "withheld, wrong",
        "silently wrong"
    )?;
    let (mut plates, mut silent) = (0, 0);
    for (number, rate) in (0..).zip(RATES) {
        let cases = part(options, number, |dice| doubtful(dice, rate));
        let tally = tally(&cases);
        writeln!(
            out,
            "{rate:>6} {:>8} {:>9} {:>9} {:>15} {:>15} {:>14}",
            tally.all(),
            cases.iter().filter(|c| c.unchanged).count(),
            tally.recovered,
            tally.withheld_right,
            tally.withheld_wrong,
            tally.silent
        )?;
        tell(out, &cases, options.show)?;
        out.flush()?;
        plates += tally.all();
        silent += tally.silent;
    }
    writeln!(out, "\n{silent} of {plates} silently wrong")
}

fn shapes(out: &mut impl Write, options: &Options) -> std::io::Result<()> {
    let cases = part(options, 100, misshapen);
    let tally = tally(&cases);
    writeln!(
        out,
        "\none misread shape: {} of {} recovered ({:.2} %), {} withheld, {} silently wrong",
        tally.recovered,
        tally.all(),
        100.0 * tally.recovered as f64 / tally.all().max(1) as f64,
        tally.withheld_right + tally.withheld_wrong,
        tally.silent
    )?;
    let mut lost: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for case in &cases {
        let counts = lost.entry(&case.kind).or_default();
        counts.0 += usize::from(case.outcome != Outcome::Recovered);
        counts.1 += 1;
    }
    for (shape, (lost, all)) in lost.iter().filter(|(_, (lost, _))| *lost > 0) {
        writeln!(out, "  {shape}: {lost} of {all} not recovered")?;
    }
    tell(out, &cases, options.show)
}

/// One wrong letter that arrives with certainty: only a second fact of the plate can tell.
fn letters(out: &mut impl Write, options: &Options) -> std::io::Result<()> {
    let cases = part(options, 101, wrong_letter);
    let (harmless, harmful): (Vec<Case>, Vec<Case>) = cases
        .into_iter()
        .partition(|c| matches!(c.outcome, Outcome::Recovered | Outcome::WithheldRight));
    let tally = tally(&harmful);
    writeln!(
        out,
        "\none wrong letter read with certainty: {} repaired or without meaning; of {} that change a \
         critical field {} are caught ({:.1} %)",
        harmless.len(),
        tally.all(),
        tally.withheld_wrong,
        100.0 * tally.withheld_wrong as f64 / tally.all().max(1) as f64
    )?;
    let mut fields: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for case in &harmful {
        let counts = fields.entry(&case.kind).or_default();
        counts.0 += usize::from(case.outcome == Outcome::WithheldWrong);
        counts.1 += 1;
    }
    for (field, (caught, all)) in fields {
        writeln!(out, "  {field}: {caught} of {all} caught")?;
    }
    tell(out, &harmful, options.show)
}

fn main() -> std::io::Result<()> {
    let options = Options::parse();
    let out = std::io::stdout();
    let mut out = out.lock();
    writeln!(
        out,
        "{} plates drawn a rate, seed {}\n",
        options.count, options.seed
    )?;
    rates(&mut out, &options)?;
    shapes(&mut out, &options)?;
    letters(&mut out, &options)
}
