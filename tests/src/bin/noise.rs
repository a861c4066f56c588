//! Reads damaged markings by the thousand and counts what comes out.
//!
//! `cargo run --release -p vetplate-tests --bin noise -- --count 1000000 --seed 1`
//!
//! **The model of a doubtful glyph.** A character of the marking is doubtful with a given rate. Its
//! candidates are itself and up to three of the characters that cameras take for it (the pairs
//! below). Each candidate gets a share, none under the floor of one in a hundred; the true one is
//! drawn with exactly those shares, so the shares are calibrated: a candidate of 0.7 is right seven
//! times in ten. The likeliest is what was read, the others are its runner-ups. Plates on which a
//! person would be asked even undamaged (a certificate that is missing) are left out.

#[path = "../../../parser/tests/markings_support/generate.rs"]
#[allow(dead_code, reason = "the property tests use the rest")]
mod generate;

use clap::Parser;
use generate::Dice;
use std::io::Write;
use vetplate_parser::marking::Marking;
use vetplate_parser::{Glyph, Line, Plate, Reading, Severity, read};

/// Characters that are taken for one another. Practice of reading plates, no source.
const CONFUSED: &[(char, &str)] = &[
    ('I', "l1|"),
    ('A', "B4"),
    ('B', "8AC"),
    ('C', "GOB"),
    ('D', "OGB"),
    ('G', "C6D"),
    ('H', "N"),
    ('M', "N"),
    ('P', "R"),
    ('T', "I7"),
    ('X', "×x"),
    ('U', "V"),
    ('O', "0D"),
    ('Z', "2"),
    ('a', "bce"),
    ('b', "ha6"),
    ('c', "abe"),
    ('d', "eb"),
    ('e', "dc"),
    ('i', "lt1"),
    ('m', "n"),
    ('n', "m"),
    ('o', "q0"),
    ('p', "q"),
    ('q', "og"),
    ('t', "il"),
    ('x', "z×"),
    ('y', "vx"),
    ('z', "x2"),
    ('h', "bn"),
    ('0', "O68"),
    ('1', "lI7"),
    ('2', "Z37"),
    ('3', "82"),
    ('4', "A1"),
    ('5', "S6"),
    ('6', "58G"),
    ('7', "12"),
    ('8', "3B6"),
    ('9', "08"),
    ('+', "-"),
    ('-', "—+"),
    ('[', "(|"),
    (']', ")|"),
    ('(', "["),
    (')', "]"),
    ('/', "|1"),
    ('.', ","),
    ('°', "o*"),
];

/// Shapes that the grammar repairs: as printed, as read. One is put into a plate at a time.
const SHAPES: &[(&str, &str)] = &[
    ("Ex ", "EX "),
    ("Ex ", "Fx "),
    ("Ex ", "£x "),
    (" IIC T", " llC T"),
    (" IIC T", " 1IC T"),
    (" IIB T", " llB T"),
    (" IIB T", " II8 T"),
    (" IIA T", " l1A T"),
    (" IIC T", " IICT"),
    ("IIIC T", "lllC T"),
    ("T4 Gb", "T4Gb"),
    ("b IIC T4 Gb", "b IIC T4 Gh"),
    ("°C Db", "*C Db"),
    ("Ex ia II", "Ex la II"),
    ("Ex ib II", "Ex 1b II"),
    ("Ex ic II", "Ex lc II"),
    ("pxb", "p×b"),
    ("nA ", "NA "),
    ("op is", "op ls"),
    ("op sh", "op sn"),
    ("tD A21", "tD A2l"),
    ("T1 ", "Tl "),
    ("T2 ", "TZ "),
    ("...T", "..T"),
    ("+H2", "+HZ"),
    ("II 2 G", "ll 2 G"),
    ("II 1 G", "II1G"),
    ("I M2", "I MZ"),
    ("CE 9999", "C E 9999"),
    ("ATEX", "ATFX"),
    ("IECEx", "lECEx"),
    ("IP66", "lP66"),
    (" ≤ Ta ≤ ", " < Ta < "),
    ("Tamb", "T amb"),
    ("Zone 0, AEx ia", "Zone O, AEx ia"),
    ("Division 2", "Division II"),
    ("EEx ", "EEX "),
    ("AEx ", "AEX "),
    ("[Ex ia", "(Ex ia"),
    (" X", " x"),
];

/// Least share of a candidate.
const FLOOR: f64 = 0.01;

#[derive(Parser)]
#[command(about = "Damaged markings: recovered, withheld, silently wrong")]
struct Options {
    /// Markings for each rate.
    #[arg(long, default_value_t = 20_000)]
    count: usize,
    /// Where the numbers start.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Silently wrong readings that are printed.
    #[arg(long, default_value_t = 10)]
    show: usize,
}

#[derive(Default, Clone, Copy)]
struct Tally {
    recovered: usize,
    withheld_right: usize,
    withheld_wrong: usize,
    silent: usize,
    undamaged: usize,
}

/// The values whose misreading would be dangerous.
fn critical(plate: &Plate) -> String {
    let marking = |m: &Marking| {
        format!(
            "{:?} {:?} {:?} {:?} {:?} {:?} {:?} {} {} {}",
            m.protections
                .iter()
                .map(|p| (p.kind.value, &p.level, p.associated, p.circuit_epl))
                .collect::<Vec<_>>(),
            m.group.as_ref().map(|g| &g.value),
            m.temperature.as_ref().map(|t| &t.value),
            m.dust_temperature.as_ref().map(|d| d.value),
            m.epl.iter().map(|e| e.value).collect::<Vec<_>>(),
            m.atex.as_ref().map(|l| (
                l.mining,
                l.categories.iter().map(|c| c.value).collect::<Vec<_>>(),
                &l.atmospheres
            )),
            (
                m.american.class,
                m.american.division.as_ref().map(|d| d.value),
                m.american.zone.as_ref().map(|z| z.value)
            ),
            m.combined,
            m.boundary,
            m.aex,
        )
    };
    format!(
        "{:?} {:?} {} {}",
        plate.markings.iter().map(marking).collect::<Vec<_>>(),
        plate.ambient.as_ref().map(|a| a.value),
        plate.has_x(),
        plate.has_u(),
    )
}

/// True where a person is asked, or where a verdict would be given on more than one reading.
fn withheld(reading: &Reading) -> bool {
    !reading.review.is_empty()
        || reading.readings.len() > 1
        || reading
            .best()
            .suspicions
            .iter()
            .any(|s| s.severity != Severity::Note)
}

/// Draws the shares of the candidates, the true one among them; answers the glyph.
fn doubtful(dice: &mut Dice, truth: char, others: &str) -> Glyph {
    let mut candidates: Vec<char> = others.chars().collect();
    while candidates.len() > 1 && dice.chance(0.4) {
        candidates.remove(dice.below(candidates.len()));
    }
    let number = candidates.len() + 1;
    let mut shares: Vec<f64> = (0..number).map(|_| dice.share().powi(3)).collect();
    let total: f64 = shares.iter().sum();
    let free = 1.0 - FLOOR * number as f64;
    for share in &mut shares {
        *share = FLOOR + free * *share / total.max(1e-9);
    }
    let mut rest = dice.share();
    let at = shares
        .iter()
        .position(|share| {
            rest -= share;
            rest < 0.0
        })
        .unwrap_or(number - 1);
    candidates.insert(at, truth);
    let mut ranked: Vec<(char, f64)> = candidates.into_iter().zip(shares).collect();
    ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
    Glyph {
        ch: ranked[0].0,
        probability: ranked[0].1 as f32,
        also: ranked[1..]
            .iter()
            .map(|(c, p)| (Some(*c), *p as f32))
            .collect(),
    }
}

/// The lines with doubt at a rate, and whether any character came out wrong.
fn damaged(dice: &mut Dice, lines: &[String], rate: f64) -> (Vec<Line>, bool) {
    let mut wrong = false;
    let damaged = lines
        .iter()
        .map(|line| {
            let glyphs = line.chars().map(|truth| {
                let others = CONFUSED.iter().find(|(c, _)| *c == truth);
                match others {
                    Some((_, others)) if dice.chance(rate) => {
                        let glyph = doubtful(dice, truth, others);
                        wrong |= glyph.ch != truth;
                        glyph
                    }
                    _ => Glyph {
                        ch: truth,
                        probability: 1.0,
                        also: Vec::new(),
                    },
                }
            });
            Line::new(glyphs.collect())
        })
        .collect();
    (damaged, wrong)
}

fn text(lines: &[Line]) -> String {
    lines.iter().map(Line::text).collect::<Vec<_>>().join(" ; ")
}

fn certain(lines: &[String]) -> Vec<Line> {
    lines.iter().map(|l| Line::certain(l)).collect()
}

/// What came of one plate.
fn count(tally: &mut Tally, reading: &Reading, truth: &str) -> bool {
    let right = critical(&reading.best().plate) == truth;
    match (right, withheld(reading)) {
        (true, false) => tally.recovered += 1,
        (true, true) => tally.withheld_right += 1,
        (false, true) => tally.withheld_wrong += 1,
        (false, false) => tally.silent += 1,
    }
    !right && !withheld(reading)
}

fn main() -> std::io::Result<()> {
    let options = Options::parse();
    let out = std::io::stdout();
    let mut out = out.lock();
    writeln!(
        out,
        "{} plates a rate, seed {}\n\n{:>6} {:>10} {:>10} {:>15} {:>15} {:>14}",
        options.count,
        options.seed,
        "rate",
        "unchanged",
        "recovered",
        "withheld, right",
        "withheld, wrong",
        "silently wrong"
    )?;
    let mut shown = 0;
    for rate in [0.01, 0.02, 0.05, 0.1, 0.2, 0.3] {
        let mut tally = Tally::default();
        for index in 0..options.count {
            let mut dice = Dice::new(options.seed.wrapping_mul(1_000_003) ^ (index as u64) << 8);
            let lines = generate::plate(&mut dice);
            let (lines_read, wrong) = damaged(&mut dice, &lines, rate);
            tally.undamaged += usize::from(!wrong);
            let clean = read(&certain(&lines));
            if withheld(&clean) {
                continue;
            }
            let truth = critical(&clean.best().plate);
            let silent = count(&mut tally, &read(&lines_read), &truth);
            if silent && shown < options.show {
                shown += 1;
                writeln!(
                    out,
                    "  silent: {} read as {}",
                    lines.join(" ; "),
                    text(&lines_read)
                )?;
            }
        }
        writeln!(
            out,
            "{rate:>6} {:>10} {:>10} {:>15} {:>15} {:>14}",
            tally.undamaged,
            tally.recovered,
            tally.withheld_right,
            tally.withheld_wrong,
            tally.silent
        )?;
    }
    let mut tally = Tally::default();
    for index in 0..options.count {
        let mut dice = Dice::new(options.seed.wrapping_mul(3_000_017) ^ (index as u64) << 8);
        let lines = generate::plate(&mut dice);
        let clean = read(&certain(&lines));
        if withheld(&clean) {
            continue;
        }
        let truth = critical(&clean.best().plate);
        let (printed, shape) = SHAPES[dice.below(SHAPES.len())];
        // A word of its own: `Ex` in `EEx` is none, and the X of conditions stands at the end.
        let fits = |line: &String| {
            line.find(printed).is_some_and(|at| {
                let apart = !line[..at].ends_with(char::is_alphabetic);
                (apart || !printed.starts_with('E')) && (printed != " X" || line.ends_with(printed))
            })
        };
        let Some(at) = lines.iter().position(fits) else {
            continue;
        };
        let mut changed = lines.clone();
        changed[at] = changed[at].replacen(printed, shape, 1);
        let reading = read(&certain(&changed));
        let silent = count(&mut tally, &reading, &truth);
        if (silent || withheld(&reading)) && shown < 2 * options.show {
            shown += 1;
            writeln!(
                out,
                "  not recovered: {} read as {}",
                lines.join(" ; "),
                changed.join(" ; ")
            )?;
        }
    }
    let all = tally.recovered + tally.withheld_right + tally.withheld_wrong + tally.silent;
    writeln!(
        out,
        "\none misread shape: {} of {all} recovered ({:.2} %), {} withheld, {} silently wrong",
        tally.recovered,
        100.0 * tally.recovered as f64 / all.max(1) as f64,
        tally.withheld_right + tally.withheld_wrong,
        tally.silent
    )?;
    // One wrong letter that arrives with certainty: only a second fact of the plate can tell.
    let mut tally = Tally::default();
    let mut harmless = 0;
    for index in 0..options.count {
        let mut dice = Dice::new(options.seed.wrapping_mul(7_000_003) ^ (index as u64) << 8);
        let lines = generate::plate(&mut dice);
        let clean = read(&certain(&lines));
        if withheld(&clean) {
            continue;
        }
        let truth = critical(&clean.best().plate);
        let mut glyphs: Vec<char> = lines[0].chars().collect();
        let at = dice.below(glyphs.len());
        let Some((_, others)) = CONFUSED.iter().find(|(c, _)| *c == glyphs[at]) else {
            continue;
        };
        let others: Vec<char> = others.chars().collect();
        glyphs[at] = others[dice.below(others.len())];
        let mut changed = lines.clone();
        changed[0] = glyphs.into_iter().collect();
        let reading = read(&certain(&changed));
        if critical(&reading.best().plate) == truth {
            harmless += 1;
        } else {
            count(&mut tally, &reading, &truth);
        }
    }
    let caught = tally.withheld_wrong;
    let all = caught + tally.silent;
    writeln!(
        out,
        "\none wrong letter read with certainty: {harmless} repaired or without meaning; of {all} that change a \
         critical field {caught} are caught ({:.1} %)",
        100.0 * caught as f64 / all.max(1) as f64
    )?;
    Ok(())
}
