//! Laws that hold for every text, drawn and damaged at random.

#[path = "markings_support/generate.rs"]
mod generate;

use generate::Dice;
use proptest::prelude::*;
use vetplate_parser::marking::Marking;
use vetplate_parser::{Glyph, Line, Plate, Span, parse, read};

/// Pieces that markings are made of, and signs that are close to them.
const PIECES: &[&str] = &[
    "Ex",
    "EEx",
    "AEx",
    "EX",
    " ",
    "  ",
    "\n",
    "[",
    "]",
    "(",
    ")",
    "db",
    "eb",
    "ia",
    "ib",
    "nA",
    "tD",
    "A21",
    "op is",
    "h",
    "t",
    "b",
    "II",
    "IIC",
    "IIB",
    "IIB+H2",
    "IIIC",
    "I",
    "l",
    "1",
    "T4",
    "T6...T4",
    "T120 °C",
    "T200 110 °C",
    "°",
    "C",
    "Ga",
    "Gb",
    "Db",
    "Ga/Gb",
    "II 2 G",
    "II 2(1) GD",
    "I M2",
    "/",
    "+",
    "-",
    "−",
    "—",
    "X",
    "U",
    "Ta",
    "-20 °C ≤ Ta ≤ +40 °C",
    "≤",
    "IP66",
    "CE",
    "9999",
    "UKCA",
    "ABC 14 ATEX 1234 X",
    "IECEx ABC 12.0034X",
    "Issue 2",
    "Ui = 30 V",
    "Lo = 3,050 mH",
    "Class I",
    "Division 1",
    "Zone O",
    "XP ",
    "IS / I,II / 1 / ABCDEF",
    "intrinsically safe for ",
    "Groups A, B",
    "S/N",
    "Type",
    "Typ 4×",
    "made 2012",
    "WARNING",
    "é",
    "Ω",
    "₂",
    "𝔘",
    "\u{301}",
    "\u{200b}",
    "ﬀ",
    "ẞ",
    "İ",
    "ſ",
    "Ⅱ",
    "℃",
    "🧨",
    "!",
    "|",
    "_",
    "?",
    ".",
    ",",
    ";",
];

fn mixed() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        proptest::collection::vec(proptest::sample::select(PIECES), 0..24).prop_map(|p| p.concat()),
        (
            any::<u64>(),
            proptest::collection::vec((any::<u16>(), any::<char>(), 0..4_u8), 0..6)
        )
            .prop_map(|(seed, edits)| {
                let mut text: Vec<char> = generate::plate(&mut Dice::new(seed))
                    .join("\n")
                    .chars()
                    .collect();
                for (at, ch, how) in edits {
                    let at = usize::from(at) % (text.len() + 1);
                    match how {
                        0 => text.insert(at, ch),
                        1 if at < text.len() => text[at] = ch,
                        2 if at < text.len() => drop(text.remove(at)),
                        _ => text.truncate(at),
                    }
                }
                text.into_iter().collect()
            }),
    ]
}

/// Every span that a plate holds.
fn spans(plate: &Plate) -> Vec<Span> {
    let mut all: Vec<Span> = plate.unread.clone();
    all.extend(&plate.understood);
    for m in &plate.markings {
        all.extend(&m.spans);
        all.extend(m.protections.iter().map(|p| p.kind.span));
        all.extend(m.group.iter().map(|r| r.span));
        all.extend(m.unknown_group.iter().map(|r| r.span));
        all.extend(m.only_gas.iter().map(|r| r.span));
        all.extend(m.temperature.iter().map(|r| r.span));
        all.extend(m.unknown_class.iter().map(|r| r.span));
        all.extend(m.dust_temperature.iter().map(|r| r.span));
        all.extend(m.epl.iter().map(|r| r.span));
        all.extend(m.illegible.iter().map(|r| r.span));
        all.extend(m.american.division.iter().map(|r| r.span));
        all.extend(m.american.zone.iter().map(|r| r.span));
        if let Some(line) = &m.atex {
            all.push(line.raw.span);
            all.extend(line.categories.iter().map(|r| r.span));
        }
    }
    all.extend(plate.certificates.iter().map(|c| c.number.span));
    all.extend(
        plate
            .marks
            .iter()
            .filter_map(|m| m.body.as_ref())
            .map(|r| r.span),
    );
    all.extend(plate.ambient.iter().map(|r| r.span));
    all.extend(plate.ip.iter().map(|r| r.span));
    all.extend(plate.enclosure.iter().map(|r| r.span));
    all.extend(plate.entity.iter().map(|e| e.value.span));
    all.extend(plate.ratings.iter().map(|r| r.span));
    all.extend(plate.warnings.iter().map(|r| r.span));
    for text in [&plate.maker, &plate.kind, &plate.serial] {
        all.extend(text.iter().map(|r| r.span));
    }
    all.extend(plate.year.iter().map(|r| r.span));
    all
}

/// What a marking says, without where it stands.
fn says(marking: &Marking) -> String {
    format!(
        "{} {:?} {:?} {:?} {:?} {:?} {} {} {}",
        marking,
        marking.scheme,
        marking.atex.as_ref().map(|l| (
            l.mining,
            l.categories.iter().map(|c| c.value).collect::<Vec<_>>(),
            l.atmospheres.clone()
        )),
        marking
            .protections
            .iter()
            .map(|p| (p.kind.value, p.epl, p.associated))
            .collect::<Vec<_>>(),
        marking.levels(),
        marking.zones(),
        marking.x,
        marking.u,
        marking.boundary,
    )
}

/// The same for the whole plate.
fn plate_says(plate: &Plate) -> String {
    format!(
        "{:?} {:?} {:?} {:?}",
        plate.markings.iter().map(says).collect::<Vec<_>>(),
        plate
            .certificates
            .iter()
            .map(|c| (&c.number.value, c.suffix, c.year))
            .collect::<Vec<_>>(),
        plate.ambient.as_ref().map(|a| a.value),
        plate.ip.as_ref().map(|i| &i.value.text),
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    /// Always an answer; each span is a range of characters of its line; no byte is lost.
    #[test]
    fn every_byte_is_read_or_unread(text in mixed()) {
        let lines: Vec<&str> = text.split('\n').collect();
        let plate = parse(&lines);
        for span in spans(&plate) {
            let line = lines.get(span.line);
            prop_assert!(line.is_some_and(|l| l.get(span.start..span.end).is_some()), "{span:?}");
        }
        for (index, line) in lines.iter().enumerate() {
            for (at, ch) in line.char_indices() {
                let inside = |s: &&Span| s.line == index && s.start <= at && at + ch.len_utf8() <= s.end;
                let known = plate.understood.iter().find(inside).or(plate.unread.iter().find(inside));
                prop_assert!(
                    ch.is_whitespace() || known.is_some(),
                    "{ch:?} at {at} of {line:?} is nowhere: {:?} {:?}", plate.understood, plate.unread
                );
            }
        }
        // What is decoded was understood.
        for marking in &plate.markings {
            for span in marking.protections.iter().map(|p| p.kind.span) {
                let line = lines[span.line];
                let all = line[span.start..span.end].char_indices().all(|(i, c)| {
                    c.is_whitespace() || plate.understood.iter().any(|s| {
                        s.line == span.line && s.start <= span.start + i && span.start + i < s.end
                    })
                });
                prop_assert!(all, "{span:?} of {line:?}");
            }
        }
    }

    /// Reading with doubt always answers too, and its weights are shares.
    #[test]
    fn doubtful_text_always_answers(text in mixed(), doubts in proptest::collection::vec((any::<u16>(), any::<Option<char>>(), 0.0..1.0_f32), 0..8)) {
        let mut lines: Vec<Vec<Glyph>> = text
            .split('\n')
            .map(|l| Line::certain(l).glyphs().to_vec())
            .collect();
        for (at, to, share) in doubts {
            let line = usize::from(at) % lines.len();
            if lines[line].is_empty() {
                continue;
            }
            let index = usize::from(at / 7) % lines[line].len();
            let glyph = &mut lines[line][index];
            glyph.probability = 1.0 - share / 2.0;
            glyph.also = vec![(to, share / 2.0)];
        }
        let lines: Vec<Line> = lines.into_iter().map(Line::new).collect();
        let reading = read(&lines);
        let total: f64 = reading.readings.iter().map(|r| r.weight).sum();
        prop_assert!((total - 1.0).abs() < 1e-6, "{total}");
        for field in &reading.fields {
            prop_assert!((0.0..=1.0).contains(&field.confidence.get()));
        }
    }

    /// A marking written down and read again says the same.
    #[test]
    fn written_and_read_again(seed in any::<u64>()) {
        let lines = generate::marking(&mut Dice::new(seed));
        for marking in parse(&lines).markings {
            let written = marking.to_string();
            if written.is_empty() {
                continue;
            }
            let category = marking.atex.as_ref().map(|l| l.raw.value.clone());
            let whole = format!("{}{written}", category.map_or(String::new(), |c| format!("{} ", c.trim())));
            let again = parse(&[whole.as_str()]);
            prop_assert_eq!(again.markings.len(), 1, "{} from {:?}", whole, lines);
            // A line for gas and dust gives each string its own letter.
            let mut first = marking.clone();
            if let (Some(own), Some(other)) = (&mut first.atex, &again.markings[0].atex) {
                own.atmospheres.clone_from(&other.atmospheres);
            }
            prop_assert_eq!(says(&again.markings[0]), says(&first), "{} from {:?}", whole, lines);
        }
    }

    /// Doubt about a character never makes a marking surer.
    #[test]
    fn doubt_never_raises_confidence(seed in any::<u64>(), at in any::<u16>(), share in 0.001..0.45_f32, to in proptest::sample::select(&['a', 'b', 'c', 'B', 'C', 'I', '1', 'l', '4', '5', '6', 'G', 'D', '8', '#', 'x'][..])) {
        let lines = generate::plate(&mut Dice::new(seed));
        let certain: Vec<Line> = lines.iter().map(|l| Line::certain(l)).collect();
        let before = read(&certain);
        let index = usize::from(at) % certain[0].glyphs().len();
        let mut glyphs = certain[0].glyphs().to_vec();
        prop_assume!(glyphs[index].ch != to);
        glyphs[index].probability = 1.0 - share;
        glyphs[index].also = vec![(Some(to), share)];
        let mut doubtful = certain.clone();
        doubtful[0] = Line::new(glyphs);
        let after = read(&doubtful);
        for marking in 0..before.best().plate.markings.len().min(after.best().plate.markings.len()) {
            prop_assert!(
                after.confidence(marking).get() <= before.confidence(marking).get() + 1e-9,
                "{lines:?} at {index} {to}: {} then {}", before.confidence(marking), after.confidence(marking)
            );
        }
    }

    /// The order of lines that do not depend on one another means nothing.
    #[test]
    fn independent_lines_may_change_places(seed in any::<u64>(), turn in 0..6_usize) {
        let mut dice = Dice::new(seed);
        let marking = generate::marking(&mut dice);
        let tail = generate::tail(&mut dice, true);
        let order = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]][turn];
        let plain: Vec<String> = marking.iter().cloned().chain(tail.iter().cloned()).collect();
        let turned: Vec<String> =
            marking.iter().cloned().chain(order.iter().map(|i| tail[*i].clone())).collect();
        prop_assert_eq!(plate_says(&parse(&plain)), plate_says(&parse(&turned)), "{:?}", turned);
    }

    /// Every plate that the notation allows reads without a finding and with nothing left over.
    #[test]
    fn generated_plates_are_sound(seed in any::<u64>()) {
        let lines = generate::plate(&mut Dice::new(seed));
        let certain: Vec<Line> = lines.iter().map(|l| Line::certain(l)).collect();
        let reading = read(&certain);
        prop_assert!(reading.review.is_empty(), "{lines:?}: {:?}", reading.review);
        prop_assert!(reading.readings.len() == 1, "{lines:?}");
        prop_assert!(reading.best().plate.unread.is_empty(), "{lines:?}: {:?}", reading.best().plate.unread);
    }
}
