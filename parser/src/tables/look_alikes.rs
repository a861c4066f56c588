//! Generated from `parser/data/look_alikes.csv` by `parser/tests/tables.rs`; do not edit by hand.

use super::LookAlike;

/// Characters that look the same or mean the same, in order.
#[rustfmt::skip]
pub(crate) const CHARACTER: &[(char, char)] = &[
    ('º', '°'),
    ('˚', '°'),
    ('μ', 'µ'),
    ('Є', 'E'),
    ('І', 'I'),
    ('А', 'A'),
    ('В', 'B'),
    ('Е', 'E'),
    ('К', 'K'),
    ('М', 'M'),
    ('Н', 'H'),
    ('О', 'O'),
    ('Р', 'P'),
    ('С', 'C'),
    ('Т', 'T'),
    ('Х', 'X'),
    ('Ь', 'b'),
    ('а', 'a'),
    ('е', 'e'),
    ('о', 'o'),
    ('р', 'p'),
    ('с', 'c'),
    ('х', 'x'),
    ('ь', 'b'),
    ('і', 'i'),
    ('ᵒ', '°'),
    ('‐', '-'),
    ('‑', '-'),
    ('‒', '-'),
    ('–', '-'),
    ('‚', ','),
    ('⁰', '°'),
    ('−', '-'),
    ('∘', '°'),
    ('∼', '~'),
    ('∽', '~'),
    ('≦', '≤'),
    ('⩽', '≤'),
    ('～', '~'),
];

/// What is misread at the place: mark.
#[rustfmt::skip]
pub(crate) const MARK: &[LookAlike] = &[
    LookAlike { read: "E Ex", meant: "EEx", rivals: &[], repair: "" },
    LookAlike { read: "EEX", meant: "EEx", rivals: &[], repair: "" },
    LookAlike { read: "EE×", meant: "EEx", rivals: &[], repair: "" },
    LookAlike { read: "EFx", meant: "EEx", rivals: &[], repair: "" },
    LookAlike { read: "FEx", meant: "EEx", rivals: &[], repair: "" },
    LookAlike { read: "eex", meant: "EEx", rivals: &[], repair: "" },
    LookAlike { read: "A Ex", meant: "AEx", rivals: &[], repair: "" },
    LookAlike { read: "AEX", meant: "AEx", rivals: &[], repair: "" },
    LookAlike { read: "AFx", meant: "AEx", rivals: &[], repair: "" },
    LookAlike { read: "aex", meant: "AEx", rivals: &[], repair: "" },
    LookAlike { read: "E x", meant: "Ex", rivals: &[], repair: "" },
    LookAlike { read: "EX", meant: "Ex", rivals: &[], repair: "" },
    LookAlike { read: "E×", meant: "Ex", rivals: &[], repair: "" },
    LookAlike { read: "Fx", meant: "Ex", rivals: &[], repair: "" },
    LookAlike { read: "£x", meant: "Ex", rivals: &[], repair: "" },
    LookAlike { read: "€x", meant: "Ex", rivals: &[], repair: "" },
    LookAlike { read: "Ɛx", meant: "Ex", rivals: &[], repair: "" },
    LookAlike { read: "εx", meant: "Ex", rivals: &[], repair: "" },
    LookAlike { read: "ξx", meant: "Ex", rivals: &[], repair: "" },
    LookAlike { read: "ex", meant: "Ex", rivals: &[], repair: "" },
];

/// What is misread at the place: type.
#[rustfmt::skip]
pub(crate) const TYPE: &[LookAlike] = &[
    LookAlike { read: "la", meant: "ia", rivals: &["ta"], repair: "stroke for i" },
    LookAlike { read: "1a", meant: "ia", rivals: &["ta"], repair: "stroke for i" },
    LookAlike { read: "|a", meant: "ia", rivals: &["ta"], repair: "stroke for i" },
    LookAlike { read: "Ia", meant: "ia", rivals: &["ta"], repair: "stroke for i" },
    LookAlike { read: "lb", meant: "ib", rivals: &["tb"], repair: "stroke for i" },
    LookAlike { read: "1b", meant: "ib", rivals: &["tb"], repair: "stroke for i" },
    LookAlike { read: "|b", meant: "ib", rivals: &["tb"], repair: "stroke for i" },
    LookAlike { read: "Ib", meant: "ib", rivals: &["tb"], repair: "stroke for i" },
    LookAlike { read: "lc", meant: "ic", rivals: &["tc"], repair: "stroke for i" },
    LookAlike { read: "1c", meant: "ic", rivals: &["tc"], repair: "stroke for i" },
    LookAlike { read: "|c", meant: "ic", rivals: &["tc"], repair: "stroke for i" },
    LookAlike { read: "Ic", meant: "ic", rivals: &["tc"], repair: "stroke for i" },
    LookAlike { read: "!a", meant: "ia", rivals: &["ta"], repair: "stroke for i" },
    LookAlike { read: "p×b", meant: "pxb", rivals: &[], repair: "letter x" },
    LookAlike { read: "Pxb", meant: "pxb", rivals: &[], repair: "letter x" },
    LookAlike { read: "P×b", meant: "pxb", rivals: &[], repair: "letter x" },
    LookAlike { read: "p2c", meant: "pzc", rivals: &[], repair: "letter z" },
    LookAlike { read: "pvb", meant: "pyb", rivals: &["vb"], repair: "letter y" },
    LookAlike { read: "na", meant: "nA", rivals: &[], repair: "capital A" },
    LookAlike { read: "hA", meant: "nA", rivals: &[], repair: "capital A" },
    LookAlike { read: "nr", meant: "nR", rivals: &[], repair: "capital R" },
    LookAlike { read: "g", meant: "q", rivals: &[], repair: "tail of q" },
];

/// What is misread at the place: optical letters.
#[rustfmt::skip]
pub(crate) const OPTICAL_LETTERS: &[LookAlike] = &[
    LookAlike { read: "ls", meant: "is", rivals: &[], repair: "letters behind op" },
    LookAlike { read: "1s", meant: "is", rivals: &[], repair: "letters behind op" },
    LookAlike { read: "sn", meant: "sh", rivals: &[], repair: "letters behind op" },
];

/// What is misread at the place: zone figure.
#[rustfmt::skip]
pub(crate) const ZONE_FIGURE: &[LookAlike] = &[
    LookAlike { read: "l", meant: "1", rivals: &[], repair: "zone number" },
    LookAlike { read: "I", meant: "1", rivals: &[], repair: "zone number" },
    LookAlike { read: "Z", meant: "2", rivals: &[], repair: "zone number" },
    LookAlike { read: "O", meant: "0", rivals: &[], repair: "zone number" },
];

/// What is misread at the place: class figure.
#[rustfmt::skip]
pub(crate) const CLASS_FIGURE: &[LookAlike] = &[
    LookAlike { read: "l", meant: "1", rivals: &[], repair: "digit of the class" },
    LookAlike { read: "I", meant: "1", rivals: &[], repair: "digit of the class" },
    LookAlike { read: "|", meant: "1", rivals: &[], repair: "digit of the class" },
    LookAlike { read: "Z", meant: "2", rivals: &[], repair: "digit of the class" },
    LookAlike { read: "S", meant: "5", rivals: &["6", "3"], repair: "digit of the class" },
];

/// What is misread at the place: group stroke.
#[rustfmt::skip]
pub(crate) const GROUP_STROKE: &[LookAlike] = &[
    LookAlike { read: "l", meant: "I", rivals: &[], repair: "strokes of the group" },
    LookAlike { read: "1", meant: "I", rivals: &[], repair: "strokes of the group" },
    LookAlike { read: "|", meant: "I", rivals: &[], repair: "strokes of the group" },
    LookAlike { read: "!", meant: "I", rivals: &[], repair: "strokes of the group" },
    LookAlike { read: "í", meant: "I", rivals: &[], repair: "strokes of the group" },
    LookAlike { read: "ï", meant: "I", rivals: &[], repair: "strokes of the group" },
    LookAlike { read: "i", meant: "I", rivals: &[], repair: "strokes of the group" },
];

/// What is misread at the place: group letter.
#[rustfmt::skip]
pub(crate) const GROUP_LETTER: &[LookAlike] = &[
    LookAlike { read: "8", meant: "B", rivals: &[], repair: "strokes of the group" },
];

/// What is misread at the place: EPL gas letter.
#[rustfmt::skip]
pub(crate) const EPL_GAS_LETTER: &[LookAlike] = &[
    LookAlike { read: "6", meant: "G", rivals: &[], repair: "first letter of the EPL" },
    LookAlike { read: "C", meant: "G", rivals: &[], repair: "first letter of the EPL" },
];

/// What is misread at the place: EPL dust letter.
#[rustfmt::skip]
pub(crate) const EPL_DUST_LETTER: &[LookAlike] = &[
    LookAlike { read: "0", meant: "D", rivals: &[], repair: "first letter of the EPL" },
    LookAlike { read: "O", meant: "D", rivals: &[], repair: "first letter of the EPL" },
];

/// What is misread at the place: EPL level.
#[rustfmt::skip]
pub(crate) const EPL_LEVEL: &[LookAlike] = &[
    LookAlike { read: "h", meant: "b", rivals: &["a", "c"], repair: "closed b" },
    LookAlike { read: "6", meant: "b", rivals: &["a", "c"], repair: "closed b" },
];

/// What is misread at the place: EPL letter.
#[rustfmt::skip]
pub(crate) const EPL_LETTER: &[LookAlike] = &[
    LookAlike { read: "6", meant: "G", rivals: &["D", "M"], repair: "" },
    LookAlike { read: "C", meant: "G", rivals: &["D", "M"], repair: "" },
    LookAlike { read: "0", meant: "G", rivals: &["D", "M"], repair: "" },
    LookAlike { read: "O", meant: "G", rivals: &["D", "M"], repair: "" },
    LookAlike { read: "Q", meant: "G", rivals: &["D", "M"], repair: "" },
    LookAlike { read: "U", meant: "G", rivals: &["D", "M"], repair: "" },
    LookAlike { read: "8", meant: "G", rivals: &["D", "M"], repair: "" },
    LookAlike { read: "B", meant: "G", rivals: &["D", "M"], repair: "" },
    LookAlike { read: "N", meant: "G", rivals: &["D", "M"], repair: "" },
    LookAlike { read: "H", meant: "G", rivals: &["D", "M"], repair: "" },
    LookAlike { read: "W", meant: "G", rivals: &["D", "M"], repair: "" },
];

/// What is misread at the place: category figure.
#[rustfmt::skip]
pub(crate) const CATEGORY_FIGURE: &[LookAlike] = &[
    LookAlike { read: "Z", meant: "2", rivals: &["1", "3"], repair: "category figure" },
];

/// What is misread at the place: category letter.
#[rustfmt::skip]
pub(crate) const CATEGORY_LETTER: &[LookAlike] = &[
    LookAlike { read: "6", meant: "G", rivals: &[], repair: "atmosphere letter" },
    LookAlike { read: "C", meant: "G", rivals: &[], repair: "atmosphere letter" },
];

/// What is misread at the place: hexagon letter.
#[rustfmt::skip]
pub(crate) const HEXAGON_LETTER: &[LookAlike] = &[
    LookAlike { read: "e", meant: "E", rivals: &[], repair: "" },
    LookAlike { read: "Ɛ", meant: "E", rivals: &[], repair: "" },
    LookAlike { read: "ε", meant: "E", rivals: &[], repair: "" },
    LookAlike { read: "ξ", meant: "E", rivals: &[], repair: "" },
    LookAlike { read: "£", meant: "E", rivals: &[], repair: "" },
    LookAlike { read: "€", meant: "E", rivals: &[], repair: "" },
    LookAlike { read: "F", meant: "E", rivals: &[], repair: "" },
    LookAlike { read: "G", meant: "E", rivals: &[], repair: "" },
];

/// What is misread at the place: hexagon x.
#[rustfmt::skip]
pub(crate) const HEXAGON_X: &[LookAlike] = &[
    LookAlike { read: "X", meant: "x", rivals: &[], repair: "" },
    LookAlike { read: "×", meant: "x", rivals: &[], repair: "" },
];

/// What is misread at the place: certificate word.
#[rustfmt::skip]
pub(crate) const CERTIFICATE_WORD: &[LookAlike] = &[
    LookAlike { read: "ATFX", meant: "ATEX", rivals: &[], repair: "certificate number" },
    LookAlike { read: "AT EX", meant: "ATEX", rivals: &[], repair: "certificate number" },
    LookAlike { read: "ATEx", meant: "ATEX", rivals: &[], repair: "certificate number" },
    LookAlike { read: "Atex", meant: "ATEX", rivals: &[], repair: "certificate number" },
    LookAlike { read: "UKFX", meant: "UKEX", rivals: &[], repair: "certificate number" },
    LookAlike { read: "UK EX", meant: "UKEX", rivals: &[], repair: "certificate number" },
    LookAlike { read: "UKEx", meant: "UKEX", rivals: &[], repair: "certificate number" },
];

/// What is misread at the place: IECEx word.
#[rustfmt::skip]
pub(crate) const IECEX_WORD: &[LookAlike] = &[
    LookAlike { read: "lECEx", meant: "IECEx", rivals: &[], repair: "certificate number" },
    LookAlike { read: "|ECEx", meant: "IECEx", rivals: &[], repair: "certificate number" },
    LookAlike { read: "1ECEx", meant: "IECEx", rivals: &[], repair: "certificate number" },
    LookAlike { read: "lECEX", meant: "IECEx", rivals: &[], repair: "certificate number" },
    LookAlike { read: "1ECEX", meant: "IECEx", rivals: &[], repair: "certificate number" },
    LookAlike { read: "IEC Ex", meant: "IECEx", rivals: &[], repair: "certificate number" },
    LookAlike { read: "IECE×", meant: "IECEx", rivals: &[], repair: "certificate number" },
    LookAlike { read: "IECFx", meant: "IECEx", rivals: &[], repair: "certificate number" },
];

/// What is misread at the place: certificate figure.
#[rustfmt::skip]
pub(crate) const CERTIFICATE_FIGURE: &[LookAlike] = &[
    LookAlike { read: "O", meant: "0", rivals: &[], repair: "certificate number" },
    LookAlike { read: "l", meant: "1", rivals: &[], repair: "certificate number" },
    LookAlike { read: "I", meant: "1", rivals: &[], repair: "certificate number" },
];

/// What is misread at the place: certificate suffix.
#[rustfmt::skip]
pub(crate) const CERTIFICATE_SUFFIX: &[LookAlike] = &[
    LookAlike { read: "x", meant: "X", rivals: &[], repair: "certificate number" },
    LookAlike { read: "×", meant: "X", rivals: &[], repair: "certificate number" },
    LookAlike { read: "u", meant: "U", rivals: &[], repair: "certificate number" },
    LookAlike { read: "V", meant: "U", rivals: &[], repair: "certificate number" },
];

/// What is misread at the place: IP prefix.
#[rustfmt::skip]
pub(crate) const IP_PREFIX: &[LookAlike] = &[
    LookAlike { read: "lP", meant: "IP", rivals: &[], repair: "IP code" },
    LookAlike { read: "1P", meant: "IP", rivals: &[], repair: "IP code" },
    LookAlike { read: "I P", meant: "IP", rivals: &[], repair: "IP code" },
    LookAlike { read: "Ip", meant: "IP", rivals: &[], repair: "IP code" },
];

/// What is misread at the place: IP figure.
#[rustfmt::skip]
pub(crate) const IP_FIGURE: &[LookAlike] = &[
    LookAlike { read: "S", meant: "5", rivals: &[], repair: "IP code" },
];

/// What is misread at the place: division word.
#[rustfmt::skip]
pub(crate) const DIVISION_WORD: &[LookAlike] = &[
    LookAlike { read: "DLVISION", meant: "DIVISION", rivals: &[], repair: "" },
    LookAlike { read: "DLV", meant: "DIV", rivals: &[], repair: "" },
    LookAlike { read: "D1V", meant: "DIV", rivals: &[], repair: "" },
];

/// What is misread at the place: degree sign.
#[rustfmt::skip]
pub(crate) const DEGREE_SIGN: &[LookAlike] = &[
    LookAlike { read: "*", meant: "°", rivals: &[], repair: "degree sign" },
    LookAlike { read: "'", meant: "°", rivals: &[], repair: "degree sign" },
    LookAlike { read: "´", meant: "°", rivals: &[], repair: "degree sign" },
    LookAlike { read: "`", meant: "°", rivals: &[], repair: "degree sign" },
];

/// What is misread at the place: at most.
#[rustfmt::skip]
pub(crate) const AT_MOST: &[LookAlike] = &[
    LookAlike { read: "s", meant: "≤", rivals: &[], repair: "" },
    LookAlike { read: "S", meant: "≤", rivals: &[], repair: "" },
];

/// What is misread at the place: American type.
#[rustfmt::skip]
pub(crate) const AMERICAN_TYPE: &[LookAlike] = &[
    LookAlike { read: "lS", meant: "IS", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "1S", meant: "IS", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "|S", meant: "IS", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "I5", meant: "IS", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "Nl", meant: "NI", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "N1", meant: "NI", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "N|", meant: "NI", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "AlS", meant: "AIS", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "A1S", meant: "AIS", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "AN1", meant: "ANI", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "ANl", meant: "ANI", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "DlP", meant: "DIP", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "D1P", meant: "DIP", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "X P", meant: "XP", rivals: &[], repair: "letters of an American type" },
    LookAlike { read: "xp", meant: "XP", rivals: &[], repair: "letters of an American type" },
];
