//! What people read, in every language, kept as it was last read with care by a person:
//! `tests/snapshots/`. `INSTA_UPDATE=always cargo test -p vetplate-parser --test golden` writes
//! it again; read the difference before it is committed.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use std::fmt::Write as _;
use vetplate_parser::loops::{Cable, Device, Loop, LoopGroup, Source, check, exact_of};
use vetplate_parser::place::{Place, PlaceFields};
use vetplate_parser::verdict::{cautions, judge};
use vetplate_parser::{
    Glyph, Language, Line, Message, Reading, explain, explain_rest, parse, read, require,
};

/// Plates of many kinds, their lines separated by `;`.
const PLATES: [&str; 16] = [
    "II 2(1) G Ex db [ia Ga] IIC T4 Gb",
    "Ex db eb IIC T6...T4 Gb; IECEx XYZ 19.0001X; -40 °C ≤ Ta ≤ +60 °C; IP66",
    "CE 9999; II 2 GD EEx de IIB T4 T135 °C IP54; ABC 02 ATEX 1234 X",
    "Ex tb IIIC T85 °C Db IP66",
    "Ex tD A21 T120 °C IP65",
    "II 3 G Ex nA nC IIC T3 X",
    "II 1/2 G Ex ia/db IIB+H2 T4 Ga/Gb",
    "Ex db+mb IIB T4 Ga",
    "[Ex ia Ga] IIC Uo = 28 V",
    "I M2 Ex db I Mb",
    "II 2 G c k T4",
    "II 2 G Ex h IIC T200 °C Gb",
    "Class I, Division 2, Groups A, B, C, D T4A",
    "Class I, Zone 1, AEx pxb IIC T4 Gb",
    "Ex d II (NH3)",
    "Ex eb IIC Gb; IECEx XYZ 16.0102U",
];

/// A plate at a place, the place as `key=value`.
const VERDICTS: [(&str, &str); 10] = [
    ("Ex db IIC T4 Gb", "zone=1 gas=ethanol"),
    (
        "ABC 19 ATEX 1234 X; II 2 G Ex db IIB T4 Gb; Ta -20 °C to +40 °C",
        "zone=1 gas=hydrogen ambient_c=-30..55",
    ),
    (
        "II 3 G Ex nA IIC T6...T4 Gc",
        "zone=2 gas=carbon_disulphide",
    ),
    (
        "Ex tb IIIC T135 °C Db IP65",
        "zone=21 dust=wheat_flour layer_mm=5",
    ),
    (
        "Ex tD B21 T120 °C IP55",
        "zone=20 dust_group=IIIC cloud_ignition_c=380 layer_ignition_c=300.5",
    ),
    (
        "Ex ia IIC T4 Gb; Ex ia IIC T4",
        "zone=0 gas_group=IIB ignition_c=300",
    ),
    ("[Ex ia Ga] IIC", "zone=1 gas=methane"),
    ("Class I, Division 2, Groups C, D T3C", "zone=2 gas=ethanol"),
    ("Ex db I Mb", "zone=mine-M1"),
    ("Serial 4711", "zone=1 gas=ethanol"),
];

fn place(text: &str) -> Place {
    let mut fields = PlaceFields::default();
    for pair in text.split(' ') {
        let (key, value) = pair.split_once('=').unwrap();
        let value = value.replace('_', " ");
        match key {
            "zone" => fields.zone = Some(value),
            "gas" => fields.gas = vec![value],
            "dust" => fields.dust = vec![value],
            "gas_group" => fields.gas_group = Some(value),
            "dust_group" => fields.dust_group = Some(value),
            "ignition_c" => fields.ignition_c = Some(value),
            "cloud_ignition_c" => fields.cloud_ignition_c = Some(value),
            "layer_ignition_c" => fields.layer_ignition_c = Some(value),
            "layer_mm" => fields.layer_mm = Some(value),
            "ambient_c" => fields.ambient_c = Some(value),
            other => panic!("no key {other}"),
        }
    }
    Place::from_fields(&fields).unwrap()
}

fn lines(text: &str) -> Vec<&str> {
    text.split(';').map(str::trim).collect()
}

/// Lets a snapshot be written for every language.
fn in_every_language(name: &str, write: impl Fn(Language) -> String) {
    for language in Language::ALL {
        insta::assert_snapshot!(format!("{name}_{language}"), write(language));
    }
}

#[test]
fn explanations() {
    in_every_language("explanations", |language| {
        let mut out = String::new();
        for text in PLATES {
            let plate = parse(&lines(text));
            writeln!(out, "## {text}").unwrap();
            for marking in &plate.markings {
                for piece in explain(&plate, marking) {
                    writeln!(
                        out,
                        "{}: {}",
                        piece.text.text(language),
                        piece.meaning.text(language)
                    )
                    .unwrap();
                }
            }
            for piece in explain_rest(&plate) {
                writeln!(
                    out,
                    "{}: {}",
                    piece.text.text(language),
                    piece.meaning.text(language)
                )
                .unwrap();
            }
            out.push('\n');
        }
        out
    });
}

fn verdict(out: &mut String, reading: &Reading, place: &Place, language: Language) {
    let verdict = judge(reading, place);
    writeln!(out, "{}", verdict.outcome.said().text(language)).unwrap();
    for ground in &verdict.grounds {
        let source = Message::citation(ground.source).text(language);
        writeln!(
            out,
            "- {}: {} [{source}]",
            ground.outcome.said().text(language),
            ground.detail.text(language)
        )
        .unwrap();
    }
    let mut list = |name: &str, messages: &[Message]| {
        for message in messages {
            writeln!(out, "{name} {}", message.text(language)).unwrap();
        }
    };
    list("*", &verdict.notes);
    list("→", &verdict.next_steps);
    let review: Vec<Message> = reading.review.iter().map(|r| r.text.clone()).collect();
    list("!", &review);
    out.push('\n');
}

#[test]
fn verdicts() {
    in_every_language("verdicts", |language| {
        let mut out = String::new();
        for (text, at) in VERDICTS {
            writeln!(out, "## {text} @ {at}").unwrap();
            let typed: Vec<Line> = lines(text).into_iter().map(Line::certain).collect();
            verdict(&mut out, &read(&typed), &place(at), language);
        }
        // A group letter that may be another.
        let mut glyphs = Line::certain("Ex db IIC T4 Gb").glyphs().to_vec();
        glyphs[8] = Glyph {
            ch: 'C',
            probability: 0.7,
            also: vec![(Some('B'), 0.25)],
        };
        writeln!(out, "## Ex db II? T4 Gb").unwrap();
        let doubtful = read(&[Line::new(glyphs)]);
        verdict(&mut out, &doubtful, &place("zone=1 gas=hydrogen"), language);
        for caution in cautions() {
            writeln!(out, "{}", caution.text(language)).unwrap();
        }
        out
    });
}

#[test]
fn requirements() {
    in_every_language("requirements", |language| {
        let mut out = String::new();
        for at in [
            "zone=1 gas=hydrogen",
            "zone=21 dust=wheat_flour",
            "zone=mine-M2",
            "zone=2 gas_group=IIB",
        ] {
            let asked = require(&place(at));
            writeln!(out, "## {at}\n{}", asked.order_line.text(language)).unwrap();
            for need in &asked.needs {
                for option in &need.types {
                    writeln!(out, "{}: {}", option.symbol, option.name.text(language)).unwrap();
                }
            }
            for message in asked.missing.iter().chain(&asked.notes) {
                writeln!(out, "- {}", message.text(language)).unwrap();
            }
            out.push('\n');
        }
        out
    });
}

#[test]
fn loops() {
    in_every_language("loops", |language| {
        let value = |v: f64| exact_of(v);
        let device = Device {
            ui_v: value(26.5),
            ii_ma: None,
            ci_nf: value(12.5),
            ..Device::default()
        };
        let source = Source {
            gas_group: Some(LoopGroup::IIB),
            uo_v: value(28.5),
            io_ma: value(93.0),
            ..Source::default()
        };
        let checked = check(&Loop {
            source,
            devices: vec![device],
            cable: Cable {
                ordinary: true,
                ..Cable::default()
            },
            place_group: Some(LoopGroup::IIC),
            place_level: None,
        });
        let mut out = String::new();
        for note in &checked.notes {
            writeln!(out, "- {}", note.text(language)).unwrap();
        }
        out
    });
}
