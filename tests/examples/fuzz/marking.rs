use vetplate_parser::{Line, parse, read};

/// Words of the notations.
pub(crate) const WORDS: &[&str] = &[
    "Ex ",
    "EEx ",
    "AEx ",
    "db ",
    "eb ",
    "ia ",
    "[ia] ",
    "nA ",
    "tb ",
    "tD A21 ",
    "op is ",
    "pxb ",
    "h ",
    "IIC ",
    "IIB+H2 ",
    "IIIC ",
    "T4 ",
    "T135°C ",
    "Gb ",
    "Da ",
    "II 2 G ",
    "I M1 ",
    "2(1)G ",
    "ATEX ",
    "IECEx ",
    "X",
    "U",
    "Class I, Division 1, ",
    "Groups A, B ",
    "Zone 0 ",
    "-20 °C ≤ Ta ≤ +40 °C",
    "IP66 ",
    "Ui = 28 V",
    "Ci ≤ 1,2 nF ",
    "CE 0123 ",
    "; ",
    "\n",
    "⬢ ",
    "/",
    "(",
    ")",
    "\u{fffd}",
];

pub(crate) fn seeds() -> Vec<Vec<u8>> {
    [
        "II 2 G Ex db eb IIC T4 Gb\nII 2 D Ex tb IIIC T80°C Db\nABC 14 ATEX 1234 X",
        "EEx d IIB T6\nPTB 99 ATEX 2000\n-20 °C ≤ Ta ≤ +40 °C",
        "Class I, Division 1, Groups C, D T3C\nClass I, Zone 1, AEx d IIB T4",
        "II (1) G [Ex ia Ga] IIC\nUi = 28 V Ii = 93 mA Pi = 0,65 W Ci = 5 nF Li = 0",
        "I M2 Ex db I Mb\nII 3 G Ex ec IIC T3 Gc IP54",
    ]
    .iter()
    .map(|text| text.as_bytes().to_vec())
    .collect()
}

/// Any text parses; each span lies in its line; what is written down parses again; what is doubtful
/// is weighed within bounds.
pub(crate) fn marking(bytes: &[u8]) -> String {
    let text = String::from_utf8_lossy(bytes);
    let lines: Vec<&str> = text.split('\n').collect();
    let plate = parse(&lines);
    for span in plate.unread.iter().chain(&plate.understood) {
        assert!(lines[span.line].get(span.start..span.end).is_some());
    }
    for marking in &plate.markings {
        let written = marking.to_string();
        for again in &parse(&[written.as_str()]).markings {
            let _ = again.to_string();
        }
    }
    let doubtful: Vec<Line> = lines.iter().map(|line| Line::certain(line)).collect();
    let reading = read(&doubtful);
    format!(
        "{} {} {} {}",
        plate.markings.len(),
        plate.certificates.len(),
        plate.unread.len().min(9),
        reading.best().plate.markings.len(),
    )
}
