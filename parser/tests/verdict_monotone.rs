//! Laws that hold for every plate and place: nothing stronger makes a verdict worse, nothing
//! harsher, less known or less legible makes it better.

use proptest::prelude::*;
use vetplate_parser::place::{Place, PlaceFields};
use vetplate_parser::verdict::{Outcome, judge};
use vetplate_parser::{Line, Reading, read};

const TYPES: [&str; 3] = ["ic", "ib", "ia"];
const EPLS: [&str; 3] = ["Gc", "Gb", "Ga"];
const GROUPS: [&str; 4] = ["IIA", "IIB", "IIB+H2", "IIC"];
const CLASSES: [&str; 6] = ["T1", "T2", "T3", "T4", "T5", "T6"];
const ZONES: [&str; 3] = ["2", "1", "0"];
const PLACE_GROUPS: [&str; 3] = ["IIA", "IIB", "IIC"];
const GASES: [&str; 7] = [
    "",
    "ethanol",
    "hydrogen",
    "acetylene",
    "methane",
    "carbon disulphide",
    "diesel",
];
const DUST_EPLS: [&str; 3] = ["Dc", "Db", "Da"];
const DUST_TYPES: [&str; 3] = ["tc", "tb", "ta"];
const DUST_GROUPS: [&str; 3] = ["IIIA", "IIIB", "IIIC"];
const DUST_ZONES: [&str; 3] = ["22", "21", "20"];

fn plate(text: &str) -> Reading {
    read(&[Line::certain(text)])
}

fn outcome(text: &str, fields: &PlaceFields) -> Outcome {
    let place = Place::from_fields(fields).unwrap_or_else(|e| panic!("{e:?}"));
    judge(&plate(text), &place).outcome
}

fn gas_text(level: usize, group: usize, class: usize) -> String {
    format!(
        "Ex {} {} {} {}",
        TYPES[level], GROUPS[group], CLASSES[class], EPLS[level]
    )
}

fn dust_text(level: usize, group: usize, surface: u32, ip: u32) -> String {
    format!(
        "Ex {} {} T{surface} °C {} IP{ip}5",
        DUST_TYPES[level], DUST_GROUPS[group], DUST_EPLS[level]
    )
}

fn gas_place() -> impl Strategy<Value = PlaceFields> {
    (
        prop::option::weighted(0.9, 0..3_usize),
        prop::option::weighted(0.8, 0..3_usize),
        prop::option::weighted(0.8, 80..620_u32),
        0..GASES.len(),
        prop::option::of((-50..10_i32, 20..70_i32)),
        prop::option::weighted(0.2, 0..6_usize),
    )
        .prop_map(|(zone, group, ignition, gas, ambient, class)| PlaceFields {
            zone: zone.map(|z| ZONES[z].to_owned()),
            gas_group: group.map(|g| PLACE_GROUPS[g].to_owned()),
            ignition_c: ignition.map(|c| c.to_string()),
            gas: vec![GASES[gas].to_owned()],
            ambient_c: ambient.map(|(low, high)| format!("{low}..{high}")),
            t_class: class.map(|c| CLASSES[c].to_owned()),
            ..PlaceFields::default()
        })
}

fn dust_place() -> impl Strategy<Value = PlaceFields> {
    (
        prop::option::weighted(0.9, 0..3_usize),
        prop::option::weighted(0.8, 0..3_usize),
        prop::option::weighted(0.8, 200..600_u32),
        prop::option::weighted(0.8, 200..500_u32),
        prop::option::weighted(0.8, 0..60_u32),
        prop::option::weighted(0.2, 80..250_u32),
        prop::sample::select(vec![
            "",
            "flour",
            "aluminium",
            "wood",
            "polyethylene",
            "hard coal",
        ]),
    )
        .prop_map(
            |(zone, group, cloud, layer, depth, surface, dust)| PlaceFields {
                zone: zone.map(|z| DUST_ZONES[z].to_owned()),
                dust_group: group.map(|g| DUST_GROUPS[g].to_owned()),
                cloud_ignition_c: cloud.map(|c| c.to_string()),
                layer_ignition_c: layer.map(|c| c.to_string()),
                layer_mm: depth.map(|d| d.to_string()),
                max_surface_c: surface.map(|c| c.to_string()),
                dust: vec![dust.to_owned()],
                ..PlaceFields::default()
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    /// A stronger EPL, group or class of a gas marking never worsens the verdict.
    #[test]
    fn stronger_gas_marking(
        place in gas_place(),
        a in (0..3_usize, 0..4_usize, 0..6_usize),
        b in (0..3_usize, 0..4_usize, 0..6_usize),
    ) {
        let weak = gas_text(a.0.min(b.0), a.1.min(b.1), a.2.min(b.2));
        let strong = gas_text(a.0.max(b.0), a.1.max(b.1), a.2.max(b.2));
        prop_assert!(outcome(&strong, &place) >= outcome(&weak, &place), "{strong} worse than {weak}");
    }

    /// A stronger level, group or IP and a cooler surface never worsen a dust verdict.
    #[test]
    fn stronger_dust_marking(
        place in dust_place(),
        level in 0..3_usize,
        group in 0..3_usize,
        a in (80..260_u32, 5..=6_u32),
        b in (80..260_u32, 5..=6_u32),
    ) {
        let weak = dust_text(level, group, a.0.max(b.0), a.1.min(b.1));
        let strong = dust_text(level, group, a.0.min(b.0), a.1.max(b.1));
        prop_assert!(outcome(&strong, &place) >= outcome(&weak, &place), "{strong} worse than {weak}");
        // With IP6X no group or level asks for more, so both may rise as well.
        let low = dust_text(level, group, a.0, 6);
        let high = dust_text((level + 1).min(2), (group + 1).min(2), a.0, 6);
        prop_assert!(outcome(&high, &place) >= outcome(&low, &place), "{high} worse than {low}");
    }

    /// A harsher gas place never improves the verdict.
    #[test]
    fn harsher_gas_place(
        place in gas_place(),
        marking in (0..3_usize, 0..4_usize, 0..6_usize),
        kelvin in 0..200_u32,
        wider in 0..40_i32,
    ) {
        let text = gas_text(marking.0, marking.1, marking.2);
        let before = outcome(&text, &place);
        let mut harsh = place.clone();
        harsh.zone = Some("0".to_owned()).filter(|_| place.zone.is_some());
        prop_assert!(outcome(&text, &harsh) <= before, "zone 0 improves {text}");
        if let Some(ignition) = &place.ignition_c {
            let cooler = ignition.parse::<u32>().unwrap().saturating_sub(kelvin).max(1);
            let harsh = PlaceFields { ignition_c: Some(cooler.to_string()), ..place.clone() };
            prop_assert!(outcome(&text, &harsh) <= before, "{cooler} °C improves {text}");
        }
        if let Some((low, high)) = place.ambient_c.as_ref().and_then(|a| a.split_once("..")) {
            let (low, high): (i32, i32) = (low.parse().unwrap(), high.parse().unwrap());
            let harsh = PlaceFields { ambient_c: Some(format!("{}..{}", low - wider, high + wider)), ..place.clone() };
            prop_assert!(outcome(&text, &harsh) <= before, "wider ambient improves {text}");
        }
        let second = PlaceFields { gas: vec![place.gas[0].clone(), "acetylene".to_owned()], ..place.clone() };
        if !place.gas[0].is_empty() {
            prop_assert!(outcome(&text, &second) <= before, "a second gas improves {text}");
        }
    }

    /// A harsher dust place never improves the verdict.
    #[test]
    fn harsher_dust_place(
        place in dust_place(),
        marking in (0..3_usize, 0..3_usize, 80..260_u32, 5..=6_u32),
        kelvin in 0..150_u32,
    ) {
        let text = dust_text(marking.0, marking.1, marking.2, marking.3);
        let before = outcome(&text, &place);
        let harsh = PlaceFields { zone: place.zone.as_ref().map(|_| "20".to_owned()), ..place.clone() };
        prop_assert!(outcome(&text, &harsh) <= before);
        let cooler = |field: &Option<String>| {
            field.as_ref().map(|t| t.parse::<u32>().unwrap().saturating_sub(kelvin).max(1).to_string())
        };
        let harsh = PlaceFields {
            cloud_ignition_c: cooler(&place.cloud_ignition_c),
            layer_ignition_c: cooler(&place.layer_ignition_c),
            max_surface_c: cooler(&place.max_surface_c),
            ..place.clone()
        };
        prop_assert!(outcome(&text, &harsh) <= before);
        if let Some(depth) = &place.layer_mm {
            let deeper = depth.parse::<u32>().unwrap() + kelvin;
            let harsh = PlaceFields { layer_mm: Some(deeper.to_string()), ..place.clone() };
            prop_assert!(outcome(&text, &harsh) <= before);
        }
        if place.dust_group.is_some() {
            let harsh = PlaceFields { dust_group: Some("IIIC".to_owned()), ..place.clone() };
            // A group that the table knows better takes the doubt about the given one away.
            if place.dust[0].is_empty() {
                prop_assert!(outcome(&text, &harsh) <= before);
            }
        }
    }

    /// Leaving out what has no stated default never gives a milder verdict than giving it.
    #[test]
    fn a_missing_fact_is_never_milder(
        gas in gas_place(),
        dust in dust_place(),
        marking in (0..3_usize, 0..3_usize, 0..6_usize, 80..260_u32),
    ) {
        // The group and ignition temperature of a named gas stand in the table.
        let gas = PlaceFields { gas: Vec::new(), ..gas };
        let text = gas_text(marking.0, marking.1, marking.2);
        let before = outcome(&text, &gas);
        if before < Outcome::Undecided {
            // What fails may fail for the very fact that is left out: then undecided is right.
            return Ok(());
        }
        for without in [
            PlaceFields { zone: None, ..gas.clone() },
            PlaceFields { gas_group: None, ..gas.clone() },
            PlaceFields { ignition_c: None, ..gas.clone() },
        ] {
            let place = Place::from_fields(&without);
            if let Ok(place) = place {
                prop_assert!(judge(&plate(&text), &place).outcome <= before, "{text}: {without:?}");
            }
        }
        let dust = PlaceFields { dust: Vec::new(), ..dust };
        let text = dust_text(marking.0, marking.1, marking.3, 6);
        let before = outcome(&text, &dust);
        if before < Outcome::Undecided {
            return Ok(());
        }
        for without in [
            PlaceFields { zone: None, ..dust.clone() },
            PlaceFields { dust_group: None, ..dust.clone() },
            PlaceFields { cloud_ignition_c: None, ..dust.clone() },
            PlaceFields { layer_ignition_c: None, ..dust.clone() },
            PlaceFields { layer_mm: None, ..dust.clone() },
            PlaceFields { max_surface_c: None, ..dust.clone() },
        ] {
            if let Ok(place) = Place::from_fields(&without) {
                prop_assert!(judge(&plate(&text), &place).outcome <= before, "{text}: {without:?}");
            }
        }
    }

    /// One more plausible reading never improves a verdict, and never raises its probability
    /// above what the readings that agree weigh.
    #[test]
    fn doubt_never_improves(
        place in gas_place(),
        a in (0..3_usize, 0..4_usize, 0..6_usize),
        b in (0..3_usize, 0..4_usize, 0..6_usize),
        weight in 0.0..0.5_f64,
    ) {
        let place = Place::from_fields(&place).unwrap();
        let sure = plate(&gas_text(a.0, a.1, a.2));
        let mut doubtful = sure.clone();
        let mut rival = plate(&gas_text(b.0, b.1, b.2)).readings.remove(0);
        rival.weight = weight;
        rival.changes = vec![(doubtful.best().plate.markings[0].spans[0], gas_text(b.0, b.1, b.2))];
        doubtful.readings.truncate(1);
        doubtful.readings[0].weight = 1.0 - weight;
        doubtful.readings.push(rival);
        let before = judge(&sure, &place);
        let after = judge(&doubtful, &place);
        prop_assert!(after.outcome <= before.outcome);
        prop_assert!((0.0..=1.0).contains(&after.probability));
        if weight >= 0.01 && after.outcome < before.outcome {
            prop_assert!(!after.decided_by.is_empty());
            prop_assert!(after.grounds.iter().any(|g| g.rule == "reading"));
        }
    }

    /// A second marking without a finding never worsens what the first one reaches.
    #[test]
    fn a_second_marking_never_worsens(
        place in gas_place(),
        a in (0..3_usize, 0..4_usize, 0..6_usize),
        b in (0..3_usize, 0..4_usize, 0..6_usize),
    ) {
        let (first, second) = (gas_text(a.0, a.1, a.2), gas_text(b.0, b.1, b.2));
        let both = read(&[Line::certain(&first), Line::certain(&second)]);
        prop_assume!(both.best().suspicions.iter().all(|s| s.severity != vetplate_parser::Severity::Critical));
        prop_assume!(both.best().plate.markings.len() == 2);
        let place_ = Place::from_fields(&place).unwrap();
        prop_assert!(judge(&both, &place_).outcome >= outcome(&first, &place).max(outcome(&second, &place)));
    }

    /// A second dust marking without a critical finding never worsens what the first reaches, and
    /// neither does a marking for an atmosphere that is not there.
    #[test]
    fn a_second_dust_marking_never_worsens(
        place in dust_place(),
        a in (0..3_usize, 0..3_usize, 80..260_u32),
        b in (0..3_usize, 0..3_usize, 80..260_u32),
        gas in (0..3_usize, 0..4_usize, 0..6_usize),
    ) {
        let first = dust_text(a.0, a.1, a.2, 6);
        let second = dust_text(b.0, b.1, b.2, 6);
        let place_ = Place::from_fields(&place).unwrap();
        for other in [second.clone(), gas_text(gas.0, gas.1, gas.2)] {
            let both = read(&[Line::certain(&first), Line::certain(&other)]);
            let critical = both
                .best()
                .suspicions
                .iter()
                .any(|s| s.severity == vetplate_parser::Severity::Critical);
            if critical || both.best().plate.markings.len() != 2 {
                continue;
            }
            let alone = outcome(&first, &place);
            prop_assert!(judge(&both, &place_).outcome >= alone, "{first} worse with {other}");
        }
    }

    /// No field of a place, however odd, makes anything panic: it is refused or it is judged.
    #[test]
    fn any_field_of_a_place(
        odd in proptest::collection::vec(
            prop_oneof![
                Just(String::new()),
                r"\PC{0,12}",
                r"[-+.0-9]{1,14}(\.\.)?[-0-9]{0,6}",
                prop::sample::select(vec![
                    "1", "21", "1 + 21", "mine-M1", "Class I, Division 1", "IIB", "IIIC", "B", "E",
                    "T3", "T3B", "Gb", "Db", "ethanol", "wood", "melts", "-20..40", "65", "5",
                ]).prop_map(ToOwned::to_owned),
            ],
            14,
        ),
        text in prop::sample::select(vec![
            "Ex db IIC T4 Gb", "Ex tb IIIC T100 °C Db; IP66", "Class I, Div 1, Groups B,C,D T4A",
            "I M2 Ex db I Mb", "[Ex ia Ga] IIC", "",
        ]),
    ) {
        let mut odd = odd.into_iter();
        let mut next = || odd.next().filter(|t| !t.is_empty());
        let fields = PlaceFields {
            zone: next(), epl: next(), gas: next().into_iter().collect(), gas_group: next(),
            ignition_c: next(), t_class: next(), dust: next().into_iter().collect(),
            dust_group: next(), cloud_ignition_c: next(), layer_ignition_c: next(),
            layer_mm: next(), max_surface_c: next(), ambient_c: next(), ip: next(),
        };
        match Place::from_fields(&fields) {
            Ok(place) => {
                prop_assert!(!judge(&plate(text), &place).grounds.is_empty());
                prop_assert!(!vetplate_parser::require(&place).order_line.to_string().is_empty());
            }
            Err(errors) => {
                prop_assert!(!errors.is_empty());
                prop_assert!(errors.iter().all(|e| !e.message.is_empty()));
            }
        }
    }

    /// No text and no place makes the verdict panic.
    #[test]
    fn any_text_any_place(
        text in r"[ExdibnAICGDTa-c0-9 /\[\]().°+XU-]{0,40}",
        zone in prop::sample::select(vec!["0", "1", "2", "20", "21", "22", "mine-M1", "non-hazardous", "Class I, Division 1", "Class II, Division 2", "1 + 21"]),
    ) {
        let place = Place::from_fields(&PlaceFields { zone: Some(zone.to_owned()), ..PlaceFields::default() }).unwrap();
        let verdict = judge(&plate(&text), &place);
        prop_assert!((0.0..=1.0).contains(&verdict.probability));
        prop_assert!(!verdict.grounds.is_empty());
    }
}
