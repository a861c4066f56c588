//! Plates that the notation allows, drawn from a seed. Invented throughout.

/// A small source of numbers: the same seed gives the same plates on every machine.
///
/// **Source:** the splitmix64 generator of Steele, Lea and Flood (public domain).
#[derive(Debug, Clone)]
pub(crate) struct Dice(u64);

impl Dice {
    /// Starts from a seed.
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number.
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 up to, but not reaching, `end`.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        (self.next() % end.max(1) as u64) as usize
    }

    /// From 0 to 1.
    pub(crate) fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// True with a probability.
    pub(crate) fn chance(&mut self, probability: f64) -> bool {
        self.share() < probability
    }

    /// One of a list.
    pub(crate) fn pick<'a, T: ?Sized>(&mut self, from: &[&'a T]) -> &'a T {
        from[self.below(from.len())]
    }
}

/// A plate: its lines, the marking first.
pub(crate) fn plate(dice: &mut Dice) -> Vec<String> {
    let mut lines = marking(dice);
    let line_printed = ["II 1", "II 2", "II 3", "II (", "I M1", "I M2"]
        .iter()
        .any(|start| lines[0].contains(start));
    for line in tail(dice, line_printed) {
        if dice.chance(0.5) {
            lines.push(line);
        }
    }
    lines
}

/// The lines of one marking or of a pair for gas and dust.
pub(crate) fn marking(dice: &mut Dice) -> Vec<String> {
    match dice.below(12) {
        0..=2 => vec![today(dice)],
        3 | 4 => directive(dice),
        5 => vec![wall(dice)],
        6 => vec![associated(dice)],
        7 => vec![older(dice)],
        8 => vec![cenelec(dice)],
        9 => vec![american(dice)],
        10 => vec![non_electrical(dice)],
        _ => {
            let (gas, dust) = pair(dice);
            vec![gas, dust]
        }
    }
}

const GROUPS: [&str; 4] = ["IIA", "IIB", "IIC", "IIB+H2"];
const DUSTS: [&str; 3] = ["IIIA", "IIIB", "IIIC"];

fn gas_temperature(dice: &mut Dice) -> String {
    match dice.below(8) {
        0 => dice
            .pick(&["T6...T4", "T6...T3", "T5...T4", "T4...T1"])
            .to_owned(),
        1 => dice
            .pick(&["95 °C (T5)", "240 °C (T2)", "150 °C (T3)", "120 °C"])
            .to_owned(),
        _ => format!("T{}", dice.below(6) + 1),
    }
}

fn dust_temperature(dice: &mut Dice) -> String {
    match dice.below(8) {
        0 => format!("T200 {} °C", 85 + 5 * dice.below(12)),
        _ => format!("T{} °C", 70 + 5 * dice.below(30)),
    }
}

/// Types of each level for gas.
fn gas_types(level: char) -> &'static [&'static str] {
    match level {
        'a' => &["ia", "ma", "op is", "sa"],
        'b' => &[
            "db",
            "eb",
            "ib",
            "mb",
            "ob",
            "pxb",
            "pyb",
            "q",
            "op is",
            "op pr",
            "op sh",
            "sb",
            "db eb",
            "db eb mb",
            "db ib",
            "eb mb",
            "eb ia mb",
            "h",
            "db h",
            "60079-30-1",
        ],
        _ => &[
            "ec", "ic", "mc", "nC", "nR", "pzc", "dc", "oc", "sc", "ec nC", "h",
        ],
    }
}

fn dust_types(level: char) -> &'static [&'static str] {
    match level {
        'a' => &["ta", "ia", "ma", "op is", "sa"],
        'b' => &["tb", "ib", "mb", "pxb", "tb mb", "h", "sb", "op is"],
        _ => &["tc", "ic", "mc", "pzc", "h", "sc"],
    }
}

fn level(dice: &mut Dice) -> char {
    ['a', 'b', 'b', 'b', 'c'][dice.below(5)]
}

fn gas(dice: &mut Dice, level: char) -> String {
    let types = dice.pick(gas_types(level));
    let bracket = if dice.chance(0.15) && level != 'a' {
        dice.pick(&[" [ia Ga]", " [ib Gb]", " [ia IIC Ga]"])
    } else {
        ""
    };
    let group = dice.pick(&GROUPS);
    format!(
        "Ex {types}{bracket} {group} {} G{level}",
        gas_temperature(dice)
    )
}

fn dust(dice: &mut Dice, level: char) -> String {
    let types = dice.pick(dust_types(level));
    let group = dice.pick(&DUSTS);
    format!("Ex {types} {group} {} D{level}", dust_temperature(dice))
}

fn mine(dice: &mut Dice, level: char) -> String {
    let types = if level == 'a' {
        dice.pick(&["ia", "ma", "op is"])
    } else {
        dice.pick(&["db", "eb", "ib", "mb", "db ia", "pxb", "q"])
    };
    format!("Ex {types} I M{level}")
}

fn today(dice: &mut Dice) -> String {
    let level = level(dice);
    match dice.below(6) {
        0 | 1 => dust(dice, level),
        2 => mine(dice, if level == 'c' { 'b' } else { level }),
        _ => gas(dice, level),
    }
}

fn pair(dice: &mut Dice) -> (String, String) {
    let level = level(dice);
    (gas(dice, level), dust(dice, level))
}

fn category(level: char) -> char {
    match level {
        'a' => '1',
        'b' => '2',
        _ => '3',
    }
}

fn directive(dice: &mut Dice) -> Vec<String> {
    let level = level(dice);
    let figure = category(level);
    let mark = match (dice.below(4), level) {
        (0, _) => "",
        (1, 'c') => "CE ",
        (1, _) => "CE 9999 ",
        (2, 'c') => "UKCA ",
        (_, 'c') => "CE ",
        (2, _) => "UKCA 9998 ",
        _ => "CE 0000 ",
    };
    match dice.below(6) {
        0 => vec![
            format!("{mark}II {figure} G {}", gas(dice, level)),
            format!("II {figure} D {}", dust(dice, level)),
        ],
        1 => vec![format!("{mark}II {figure} D {}", dust(dice, level))],
        2 if level != 'c' => {
            let figure = if level == 'a' { "M1" } else { "M2" };
            vec![format!("{mark}I {figure} {}", mine(dice, level))]
        }
        3 => {
            let temperature = dice.pick(&["T85 °C", "T100 °C", "T120 °C", "T135 °C"]);
            let ip = if level == 'c' { "IP54" } else { "IP65" };
            vec![format!("{mark}II {figure} D {temperature} {ip}")]
        }
        _ => vec![format!("{mark}II {figure} G {}", gas(dice, level))],
    }
}

fn wall(dice: &mut Dice) -> String {
    match dice.below(5) {
        0 => {
            let (types, levels) = [("ia/ec", "Ga/Gc"), ("db/ec", "Gb/Gc")][dice.below(2)];
            format!(
                "Ex {types} {} {} {levels}",
                dice.pick(&GROUPS),
                gas_temperature(dice)
            )
        }
        1 => format!(
            "Ex {} {} {} Da/Db",
            dice.pick(&["ia/tb", "ta/tb", "ma/tb"]),
            dice.pick(&DUSTS),
            dust_temperature(dice)
        ),
        2 => format!(
            "Ex {} {} {} Ga",
            dice.pick(&["db+mb", "db+eb", "eb+mb"]),
            dice.pick(&GROUPS),
            gas_temperature(dice)
        ),
        3 => format!(
            "II 1/2 G Ex {} {} {} Ga/Gb",
            dice.pick(&["ia/db", "ia/eb", "ma/db"]),
            dice.pick(&GROUPS),
            gas_temperature(dice)
        ),
        _ => format!(
            "Ex {} {} {} Ga/Gb",
            dice.pick(&["ia/db", "ia/eb", "ma/db", "ia/mb"]),
            dice.pick(&GROUPS),
            gas_temperature(dice)
        ),
    }
}

fn associated(dice: &mut Dice) -> String {
    let group = dice.pick(&["IIA", "IIB", "IIC"]);
    let dust = dice.pick(&DUSTS);
    match dice.below(7) {
        0 => format!("[Ex ia Ga] {group}"),
        1 => format!("[Ex ib Gb] {group}"),
        2 => format!("[Ex ia Da] {dust}"),
        3 => "[Ex ia Ma] I".to_owned(),
        4 => format!("II (1) G [Ex ia Ga] {group}"),
        5 => format!("II (1) D [Ex ia Da] {dust}"),
        _ => format!("II (2) G [Ex ib Gb] {group}"),
    }
}

fn older(dice: &mut Dice) -> String {
    let class = format!("T{}", dice.below(6) + 1);
    let lettered = dice.pick(&["IIA", "IIB", "IIC"]);
    match dice.below(7) {
        0 => format!(
            "Ex {} {lettered} {class}",
            dice.pick(&["d", "de", "d e", "ia", "ib", "db", "nC", "nL", "d [ia]"])
        ),
        1 => format!(
            "Ex {} II {class}",
            dice.pick(&[
                "e", "m", "nA", "nR", "o", "p", "px", "pz", "q", "ma", "nAc", "n"
            ])
        ),
        2 => format!(
            "Ex tD {} T{} °C IP65",
            dice.pick(&["A20", "A21", "B21", "A22", "B22"]),
            80 + 5 * dice.below(12)
        ),
        3 => format!(
            "DIP {} T{} °C IP66",
            dice.pick(&["A20", "A21", "B21", "A22"]),
            80 + 5 * dice.below(12)
        ),
        4 => format!(
            "Ex {} T{} °C",
            dice.pick(&["iaD 20", "ibD 21", "maD 20", "mbD 21", "pD 21", "pD 22"]),
            80 + 5 * dice.below(12)
        ),
        5 => format!(
            "Ex {} {lettered} {class} Gb",
            dice.pick(&["d", "de", "d e", "ib"])
        ),
        _ => format!("Ex {} II {class} Gc", dice.pick(&["nA", "nR"])),
    }
}

fn cenelec(dice: &mut Dice) -> String {
    let class = format!("T{}", dice.below(6) + 1);
    let lettered = dice.pick(&["IIA", "IIB", "IIC"]);
    let line = if dice.chance(0.4) { "II 2 G " } else { "" };
    match dice.below(5) {
        0 => format!(
            "{line}EEx {} II {class}",
            dice.pick(&["e", "m", "o", "p", "q"])
        ),
        1 => format!("[EEx {}] {lettered}", dice.pick(&["ia", "ib"])),
        2 => "EEx d I".to_owned(),
        _ => format!(
            "{line}EEx {} {lettered} {class}",
            dice.pick(&["d", "de", "ib", "d [ia]", "e [ib]", "dem"])
        ),
    }
}

fn american(dice: &mut Dice) -> String {
    let class = dice.pick(&[
        "T1", "T2", "T2A", "T2B", "T2C", "T2D", "T3", "T3A", "T3B", "T3C", "T4", "T4A", "T5", "T6",
    ]);
    let division = dice.below(2) + 1;
    match dice.below(10) {
        7 => format!(
            "{} Class I, Division {division}, Groups {} {class}",
            dice.pick(if division == 2 {
                &["NI", "IS", "XP"]
            } else {
                &["XP", "IS", "PX"]
            }),
            dice.pick(&["A, B, C, D", "B, C, D", "C, D"])
        ),
        8 => format!(
            "IS / I,II,III / {division} / {} / {class}",
            dice.pick(&["ABCDEFG", "BCDEFG", "CDEFG"])
        ),
        9 => format!(
            "DIP / II,III / {division} / {} / {class}",
            dice.pick(&["EFG", "FG", "G"])
        ),
        0 => format!(
            "Class I, Division {division}, Groups {} {class}",
            dice.pick(&["A, B, C, D", "B, C, D", "C, D", "D"])
        ),
        1 => format!(
            "CL I DIV {division} GP {} {class}",
            dice.pick(&["ABCD", "BCD", "CD"])
        ),
        2 => format!(
            "Class II, Division {division}, Groups {} {class}",
            dice.pick(&["E, F, G", "F, G", "G"])
        ),
        3 => format!(
            "Class I, Zone 1, AEx {} {} {class} Gb",
            dice.pick(&["db", "eb", "db eb", "mb"]),
            dice.pick(&GROUPS)
        ),
        4 => format!("Class I, Zone 0, AEx ia {} {class} Ga", dice.pick(&GROUPS)),
        5 => format!(
            "Zone 21, AEx tb {} T{} °C Db",
            dice.pick(&DUSTS),
            80 + 5 * dice.below(12)
        ),
        _ => format!(
            "Class I, Zone 1, Ex {} {} {class} Gb",
            dice.pick(&["db", "eb"]),
            dice.pick(&GROUPS)
        ),
    }
}

fn non_electrical(dice: &mut Dice) -> String {
    let group = dice.pick(&["IIA", "IIB", "IIC"]);
    match dice.below(4) {
        0 => format!(
            "II {} G {} {group} T{}",
            dice.pick(&["2", "3"]),
            dice.pick(&["c", "b", "k", "c k", "b c", "d", "p", "fr"]),
            dice.below(6) + 1
        ),
        1 => format!("II 2 D c T{} °C", 80 + 5 * dice.below(12)),
        2 => format!("Ex h {group} {} Gb", gas_temperature(dice)),
        _ => format!("Ex h {} {} Db", dice.pick(&DUSTS), dust_temperature(dice)),
    }
}

/// Lines that do not depend on one another: certificate, ambient, enclosure. A certificate of the
/// directives stands only beside a category line.
pub(crate) fn tail(dice: &mut Dice, category_line: bool) -> Vec<String> {
    let suffix = dice.pick(&["", " X"]);
    let number = 1000 + dice.below(9000);
    let certificate = match dice.below(3) {
        0 if category_line => format!("ABC {} ATEX {number}{suffix}", 10 + dice.below(12)),
        0 | 1 => format!(
            "IECEx XYZ {}.{number}{}",
            10 + dice.below(12),
            suffix.trim()
        ),
        _ if !category_line => format!("IECEx ABC {}.{number}", 10 + dice.below(12)),
        _ => format!("ABC {} UKEX {number}{suffix}", 21 + dice.below(4)),
    };
    let low = dice.pick(&["-20", "-25", "-40", "-50"]);
    let high = dice.pick(&["40", "50", "55", "60"]);
    let ambient = match dice.below(4) {
        0 => format!("Ta {low} °C to +{high} °C"),
        1 => format!("{low} °C ≤ Ta ≤ +{high} °C"),
        2 => format!("Tamb {low}...+{high} °C"),
        _ => format!("Ta ≤ +{high} °C"),
    };
    vec![certificate, ambient, "IP66".to_owned()]
}
