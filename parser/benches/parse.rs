//! Time from text to plate and to reading, one thread. The floors: 5,000 whole plates a second, and
//! 64 KB of the nastiest text in 50 ms.

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

/// Repeated pieces that begin everything and end nothing.
const NASTY: &[&str] = &[
    "Ex ",
    "[",
    "[Ex ia ",
    "II 2 G ",
    "II 2 G Ex d ",
    "dededede",
    "Ex dededede ",
    "T4/",
    "T4 ",
    "Ex d IIC T4 Gb ",
    "CL I ",
    "Class I, ",
    "IP66/",
    "Type ",
    "S/N ",
    "Cert ",
    "Ta -20 ",
    "1",
    "I",
    "( ",
    "Ui = 1 V ",
    "a ",
    "WARNING ",
    "T200 ",
    "Ex d IIC T4 Gb T85 °C II 2 D ",
];

#[divan::bench(args = NASTY, sample_count = 10)]
fn nasty_64_kb(bencher: divan::Bencher, piece: &str) {
    let text = piece.repeat(65_536 / piece.len());
    let lines = [Line::certain(&text)];
    bencher.bench(|| read(&lines));
}
