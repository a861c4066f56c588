//! Texts that begin everything and end nothing, and the doubt that they are put in with.

use vetplate_parser::{Cover, Glyph, Hidden, Line, Missed};

/// A text that begins everything and ends nothing, repeated. Named, because divan sorts by name
/// and does not take numbers among words.
pub(crate) struct Nasty {
    /// What it is.
    pub(crate) name: &'static str,
    /// What is repeated.
    pub(crate) piece: &'static str,
}

impl std::fmt::Display for Nasty {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

const fn nasty(name: &'static str, piece: &'static str) -> Nasty {
    Nasty { name, piece }
}

/// The pieces.
pub(crate) const NASTY: &[Nasty] = &[
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

/// A piece repeated to a length in bytes, line by line.
pub(crate) fn lines_of(piece: &str, length: usize) -> Vec<String> {
    let text = piece.repeat((length / piece.len()).max(1));
    text.split('\n').map(str::to_owned).collect()
}

/// Every character is sure.
pub(crate) fn certain(lines: &[String]) -> Vec<Line> {
    lines.iter().map(|l| Line::certain(l)).collect()
}

/// A doubt about every character, with so many runner-ups: what a recogniser gives of a dirty wall.
pub(crate) fn doubtful(lines: &[String], runners_up: usize) -> Vec<Line> {
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
    lines
        .iter()
        .map(|l| Line::new(l.chars().map(glyph).collect()))
        .collect()
}

/// One character in a hundred doubtful: more of the budget goes into whole texts.
pub(crate) fn a_little_doubtful(lines: &[String]) -> Vec<Line> {
    doubtful(lines, 2)
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
        .collect()
}

/// Something hidden, and something overlooked, before every character, and each doubtful.
pub(crate) fn hidden(lines: &[String]) -> Vec<Line> {
    covered(doubtful(lines, 2))
        .into_iter()
        .map(|line| {
            let missed = (0..line.glyphs().len()).map(|before| Missed {
                before,
                ch: 'X',
                probability: 0.3,
            });
            let missed = missed.collect();
            line.with_missed(missed)
        })
        .collect()
}

/// Something hidden before every character, and each sure.
pub(crate) fn hidden_and_certain(lines: &[String]) -> Vec<Line> {
    covered(certain(lines))
}

fn covered(lines: Vec<Line>) -> Vec<Line> {
    lines
        .into_iter()
        .map(|line| {
            let hidden = (0..line.glyphs().len()).map(|before| Hidden {
                before,
                fits: 8,
                why: Cover::Patch,
            });
            let hidden = hidden.collect();
            line.with_hidden(hidden)
        })
        .collect()
}
