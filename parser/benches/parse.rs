//! Time from text to plate and to reading, one thread. The floors: 5,000 whole plates a second, and
//! the nastiest text of any length up to 64 KB in 50 ms.

mod nasty;

use nasty::{NASTY, Nasty};
use vetplate_parser::{Line, parse, read};

fn main() {
    divan::main();
}

const PLATE: [&str; 6] = [
    "CE 9999 II 2 G Ex db eb [ia Ga] IIC T4 Gb",
    "II 2 D Ex tb IIIC T130 °C Db",
    "ABC 18 ATEX 1234 X  IECEx ABC 18.0055X Issue 2",
    "-20 °C ≤ Ta ≤ +55 °C  IP66  Type KL-7  S/N 8254573  made 2019",
    "Ui = 30 V Ii = 120 mA Pi = 0.8 W Ci = 5 nF Li = 10 µH",
    "WARNING - DO NOT OPEN WHEN ENERGIZED",
];

#[divan::bench]
fn parse_whole_plate(bencher: divan::Bencher) {
    bencher.bench(|| {
        let plate = parse(&PLATE);
        assert_eq!(plate.markings.len(), 2);
        plate
    });
}

#[divan::bench]
fn read_whole_plate(bencher: divan::Bencher) {
    let lines: Vec<Line> = PLATE.iter().map(|l| Line::certain(l)).collect();
    bencher.bench(|| {
        let reading = read(&lines);
        assert_eq!(reading.readings.len(), 1);
        reading
    });
}

/// The lengths that a text is repeated to: a short text leaves more of the budget to each character.
const LENGTHS: [usize; 3] = [1_024, 4_096, 65_536];

#[divan::bench(args = NASTY, consts = LENGTHS, sample_count = 10)]
fn certain<const LENGTH: usize>(bencher: divan::Bencher, nasty: &Nasty) {
    let lines = nasty::lines_of(nasty.piece, LENGTH);
    let lines = nasty::certain(&lines);
    bencher.bench(|| read(&lines));
}

#[divan::bench(args = NASTY, consts = LENGTHS, sample_count = 10)]
fn doubtful<const LENGTH: usize>(bencher: divan::Bencher, nasty: &Nasty) {
    let lines = nasty::lines_of(nasty.piece, LENGTH);
    let lines = nasty::doubtful(&lines, 2);
    bencher.bench(|| read(&lines));
}

#[divan::bench(args = NASTY, consts = LENGTHS, sample_count = 10)]
fn many_runner_ups<const LENGTH: usize>(bencher: divan::Bencher, nasty: &Nasty) {
    let lines = nasty::lines_of(nasty.piece, LENGTH);
    let lines = nasty::doubtful(&lines, 12);
    bencher.bench(|| read(&lines));
}

#[divan::bench(args = NASTY, consts = LENGTHS, sample_count = 10)]
fn hidden<const LENGTH: usize>(bencher: divan::Bencher, nasty: &Nasty) {
    let lines = nasty::lines_of(nasty.piece, LENGTH);
    let lines = nasty::hidden(&lines);
    bencher.bench(|| read(&lines));
}

#[divan::bench(args = NASTY, consts = LENGTHS, sample_count = 10)]
fn hidden_and_certain<const LENGTH: usize>(bencher: divan::Bencher, nasty: &Nasty) {
    let lines = nasty::lines_of(nasty.piece, LENGTH);
    let lines = nasty::hidden_and_certain(&lines);
    bencher.bench(|| read(&lines));
}

#[divan::bench(args = NASTY, consts = LENGTHS, sample_count = 10)]
fn a_little_doubtful<const LENGTH: usize>(bencher: divan::Bencher, nasty: &Nasty) {
    let lines = nasty::lines_of(nasty.piece, LENGTH);
    let lines = nasty::a_little_doubtful(&lines);
    bencher.bench(|| read(&lines));
}
