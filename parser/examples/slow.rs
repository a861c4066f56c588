//! Looks for short and long texts that take long: `cargo run --release -p vetplate-parser --example
//! slow -- [--draws N] [--seed N] [--length BYTES] [--only PIECE]`.
//!
//! Every piece of the nasty texts is repeated to each length and put in with every kind of doubt; then so many
//! texts are drawn from the pieces at random. It prints the slowest of each length and fails where one
//! takes longer than its length may. `--length` and `--only` keep to one length and to one piece.
#![expect(clippy::print_stdout, reason = "a command for people")]

#[path = "../benches/nasty/mod.rs"]
mod nasty;

use nasty::NASTY;
use std::process::ExitCode;
use std::time::{Duration, Instant};
use vetplate_parser::{Line, read};

/// Lengths in bytes, each with the milliseconds that a text of it may take.
const LENGTHS: [(usize, u64); 7] = [
    (64, 50),
    (256, 50),
    (1_024, 50),
    (4_096, 50),
    (16_384, 50),
    (32_768, 50),
    (65_536, 50),
];
/// How sure a reader is of the characters of its lines.
type Doubt = fn(&[String]) -> Vec<Line>;

/// Every kind of doubt with its name.
const DOUBTS: [(&str, Doubt); 6] = [
    ("certain", nasty::certain),
    ("doubtful", |lines| nasty::doubtful(lines, 2)),
    ("many runner-ups", |lines| nasty::doubtful(lines, 12)),
    ("a little doubtful", nasty::a_little_doubtful),
    ("hidden", nasty::hidden),
    ("hidden and certain", nasty::hidden_and_certain),
];

/// The slowest texts that are printed of each length.
const SHOWN: usize = 5;

/// Time of this thread on a core, where the system tells; the clock's where it does not.
fn spent(begun: Instant) -> Duration {
    // What was spent is written down when the core is given up.
    std::thread::yield_now();
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanos = told.and_then(|text| text.split(' ').next()?.parse().ok());
    nanos.map_or_else(|| begun.elapsed(), Duration::from_nanos)
}

/// The shorter of three: what else runs on the machine is no cost of the text.
fn time(lines: &[Line], begun: Instant) -> Duration {
    let once = || {
        let before = spent(begun);
        std::hint::black_box(read(lines));
        spent(begun).saturating_sub(before)
    };
    let first = once();
    if first < Duration::from_millis(10) {
        return first;
    }
    first.min(once()).min(once())
}

fn argument(name: &str, default: u64) -> u64 {
    let mut given = std::env::args().skip_while(|a| a != name).skip(1);
    given.next().and_then(|v| v.parse().ok()).unwrap_or(default)
}

fn main() -> ExitCode {
    let (draws, mut seed) = (argument("--draws", 0), argument("--seed", 1));
    let mut next = move |below: usize| {
        // The generator of Knuth's MMIX: good enough to draw pieces.
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % below
    };
    let only = std::env::args().skip_while(|a| a != "--only").nth(1);
    let begun = Instant::now();
    let mut over = false;
    let lengths = argument("--length", 0) as usize;
    for (length, limit) in LENGTHS
        .into_iter()
        .filter(|(l, _)| lengths == 0 || lengths == *l)
    {
        let mut found: Vec<(Duration, String)> = Vec::new();
        for piece in NASTY
            .iter()
            .filter(|p| only.as_ref().is_none_or(|o| o == p.name))
        {
            let lines = nasty::lines_of(piece.piece, length);
            for (name, doubt) in DOUBTS {
                let time = time(&doubt(&lines), begun);
                found.push((time, format!("{}, {name}", piece.name)));
            }
        }
        for _ in 0..draws {
            let repeated: String = (0..=next(4))
                .map(|_| NASTY[next(NASTY.len())].piece)
                .collect();
            let mut text = repeated.repeat(length / repeated.len() + 1);
            while text.len() > length {
                text.pop();
            }
            let lines: Vec<String> = text.split('\n').map(str::to_owned).collect();
            let (name, doubt) = DOUBTS[next(DOUBTS.len())];
            let time = time(&doubt(&lines), begun);
            found.push((time, format!("{repeated:?}, {name}")));
        }
        found.sort_by(|a, b| b.cmp(a));
        for (time, text) in found.iter().take(SHOWN) {
            println!(
                "{length:6} bytes  {:8.1} ms  {text}",
                time.as_secs_f64() * 1e3
            );
        }
        over |= found
            .iter()
            .any(|(time, _)| time.as_millis() as u64 > limit);
    }
    if over {
        ExitCode::FAILURE
    } else {
        ExitCode::SUCCESS
    }
}
