//! Time from text to plate and to reading, one thread. The floors: 5,000 whole plates a second, and
//! 64 KB of the nastiest text in 50 ms.

use vetplate_parser::{Cover, Glyph, Hidden, Line, Missed, parse, read};

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

/// A text that begins everything and ends nothing, repeated. Named, because divan sorts by name
/// and does not take numbers among words.
struct Nasty {
    name: &'static str,
    piece: &'static str,
}

impl std::fmt::Display for Nasty {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

const fn nasty(name: &'static str, piece: &'static str) -> Nasty {
    Nasty { name, piece }
}

const NASTY: &[Nasty] = &[
    nasty("mark", "Ex "),
    nasty("bracket", "["),
    nasty("brackets", "[] () {} "),
    nasty("bracket and type", "[Ex ia "),
    nasty("category", "II 2 G "),
    nasty("category and string", "II 2 G Ex d "),
    nasty("glued types", "dededede"),
    nasty("mark and glued types", "Ex dededede "),
    nasty("class and slash", "T4/"),
    nasty("class", "T4 "),
    nasty("class with ambient", "T4 (Ta 40 °C) "),
    nasty("string", "Ex d IIC T4 Gb "),
    nasty("string a line", "Ex d IIC T4 Gb\n"),
    nasty("string without end", "Ex d IIC T4 Gb/"),
    nasty("class words", "CL I "),
    nasty("class words in full", "Class I, "),
    nasty("separators behind a class", "Class I ,;/&.:-"),
    nasty("group letters", "Class I Div 1 Groups ABCD "),
    nasty("enclosure", "IP66/"),
    nasty("caption", "Type "),
    nasty("serial", "S/N "),
    nasty("certificate", "Cert "),
    nasty("certificate number", "ABC 14 ATEX 1234 X "),
    nasty("ambient", "Ta -20 "),
    nasty("digits", "1"),
    nasty("letters O", "O"),
    nasty("strokes", "I"),
    nasty("small strokes", "l"),
    nasty("bars", "| "),
    nasty("round bracket", "( "),
    nasty("blanks", " "),
    nasty("line breaks", "\n"),
    nasty("separator signs", ",;:./|-"),
    nasty("entity", "Ui = 1 V "),
    nasty("one letter", "a "),
    nasty("capitals", "ABCDEF"),
    nasty("warning", "WARNING "),
    nasty("warning a line", "WARNING\n"),
    nasty("depth", "T200 "),
    nasty("gas and dust", "Ex d IIC T4 Gb T85 °C II 2 D "),
    nasty("wide letters", "Ｅｘ "),
    nasty("not readable", "\u{fffd}"),
    nasty("not readable in a marking", "Ex d \u{fffd} "),
    nasty("group alone", "IIC "),
    nasty("group alone a line", "IIC\n"),
    nasty("level alone", "Gb "),
    nasty("class alone", "T4 X "),
    nasty("short line", "abc 12\n"),
    nasty("empty caption", "Type\n"),
    nasty("caption without end", "S/N: "),
    nasty("unread and separators", "a/b, "),
    nasty("unread and read", "Qx 230 V "),
    nasty("degree signs", "Ta 40 °C °"),
    nasty("zone words", "Class I, Zone 1, AEx "),
    nasty("american types", "XP CL I DIV 1 GP ABCD T6 "),
    nasty(
        "list parted by strokes",
        "IS / I,II,III / 1 / ABCDEFG / T4 ",
    ),
    nasty("american words", "intrinsically safe "),
    nasty("certificate almost", "ABC ATEX "),
    nasty("half a mark", "E x ia "),
    nasty("dust and depth", "Ex tb IIIC T200 110 °C Db "),
    nasty("rivals", "Ex d llC Tl 6b "),
];

fn lines_of(piece: &str) -> Vec<String> {
    let text = piece.repeat(65_536 / piece.len());
    text.split('\n').map(str::to_owned).collect()
}

#[divan::bench(args = NASTY, sample_count = 10)]
fn certain_64_kb(bencher: divan::Bencher, nasty: &Nasty) {
    let lines: Vec<Line> = lines_of(nasty.piece)
        .iter()
        .map(|l| Line::certain(l))
        .collect();
    bencher.bench(|| read(&lines));
}

/// A doubt about every character, with so many runner-ups: what a recogniser gives of a dirty wall.
fn doubtful(piece: &str, runners_up: usize) -> Vec<Line> {
    const OTHERS: [char; 12] = ['B', 'l', 'I', '1', 'C', 'x', 'T', 'D', 'G', '4', ' ', 'b'];
    let also: Vec<_> = OTHERS
        .iter()
        .take(runners_up)
        .map(|other| (Some(*other), 0.2 / runners_up as f32))
        .chain([(None, 0.02)])
        .collect();
    let glyph = |ch| Glyph {
        ch,
        probability: 0.75,
        also: also.clone(),
    };
    lines_of(piece)
        .iter()
        .map(|l| Line::new(l.chars().map(glyph).collect()))
        .collect()
}

#[divan::bench(args = NASTY, sample_count = 10)]
fn doubtful_64_kb(bencher: divan::Bencher, nasty: &Nasty) {
    let lines = doubtful(nasty.piece, 2);
    bencher.bench(|| read(&lines));
}

#[divan::bench(args = NASTY, sample_count = 10)]
fn many_runner_ups_64_kb(bencher: divan::Bencher, nasty: &Nasty) {
    let lines = doubtful(nasty.piece, 12);
    bencher.bench(|| read(&lines));
}

/// Something hidden, and something overlooked, before every character.
#[divan::bench(args = NASTY, sample_count = 10)]
fn hidden_64_kb(bencher: divan::Bencher, nasty: &Nasty) {
    let lines: Vec<Line> = doubtful(nasty.piece, 2)
        .into_iter()
        .map(|line| {
            let places = 0..line.glyphs().len();
            let hidden = places.clone().map(|before| Hidden {
                before,
                fits: 8,
                why: Cover::Patch,
            });
            let missed = places.map(|before| Missed {
                before,
                ch: 'X',
                probability: 0.3,
            });
            let (hidden, missed) = (hidden.collect(), missed.collect());
            line.with_hidden(hidden).with_missed(missed)
        })
        .collect();
    bencher.bench(|| read(&lines));
}

/// One character in a hundred doubtful: more of the budget goes into whole texts.
#[divan::bench(args = NASTY, sample_count = 10)]
fn a_little_doubtful_64_kb(bencher: divan::Bencher, nasty: &Nasty) {
    let lines: Vec<Line> = doubtful(nasty.piece, 2)
        .into_iter()
        .map(|line| {
            let mut glyphs = line.glyphs().to_vec();
            for (at, glyph) in glyphs.iter_mut().enumerate() {
                if at % 100 != 7 {
                    (glyph.probability, glyph.also) = (1.0, Vec::new());
                }
            }
            Line::new(glyphs)
        })
        .collect();
    bencher.bench(|| read(&lines));
}
