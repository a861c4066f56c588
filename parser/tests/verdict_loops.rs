//! Intrinsically safe loops, with every sum made anew in whole numbers.

use proptest::prelude::*;
use vetplate_parser::loops::{
    Cable, Device, Exact, Line, Loop, LoopGroup, Source, check, exact, exact_of,
};
use vetplate_parser::marking::Level;

#[expect(clippy::unnecessary_wraps, reason = "reads well in a table")]
fn n(text: &str) -> Option<Exact> {
    Some(exact(text).expect(text))
}

fn source(group: LoopGroup, values: [&str; 5]) -> Source {
    let [uo, io, po, co, lo] = values;
    Source {
        gas_group: Some(group),
        uo_v: n(uo),
        io_ma: n(io),
        po_mw: n(po),
        co_nf: n(co),
        lo_uh: n(lo),
        ..Source::default()
    }
}

fn device(values: [&str; 5]) -> Device {
    let [ui, ii, pi, ci, li] = values;
    Device {
        ui_v: n(ui),
        ii_ma: n(ii),
        pi_mw: n(pi),
        ci_nf: n(ci),
        li_uh: n(li),
        ..Device::default()
    }
}

fn cable(length: &str, c: &str, l: &str) -> Cable {
    Cable {
        length_m: n(length),
        c_pf_per_m: n(c),
        l_uh_per_m: n(l),
        ..Cable::default()
    }
}

/// Source: IEC 60079-14 16.2.4, worked example of an ordinary loop; longest cable 566 m.
#[test]
fn ordinary_loop() {
    let lp = Loop {
        source: source(LoopGroup::IIC, ["25.2", "93", "586", "107", "4100"]),
        devices: vec![device(["30", "120", "900", "5", "20"])],
        cable: cable("350", "180", "0.7"),
        ..Loop::default()
    };
    let v = check(&lp);
    assert_eq!((v.overall, v.lumped_halving), (Line::Pass, Some(false)));
    assert_eq!(
        (v.capacitance_total_nf, v.inductance_total_uh),
        (n("68"), n("265"))
    );
    assert_eq!(v.longest_by_capacitance_m, Some(566));
}

/// Source: IEC 60079-14, worked example of halving: 1500 m pass, 1800 m fail by inductance.
#[test]
fn halved_loop() {
    let mut lp = Loop {
        source: source(LoopGroup::IIB, ["24", "180", "1080", "930", "4400"]),
        devices: vec![device(["26", "200", "1200", "60", "500"])],
        cable: cable("1500", "200", "1"),
        ..Loop::default()
    };
    let v = check(&lp);
    assert_eq!((v.overall, v.lumped_halving), (Line::Pass, Some(true)));
    assert_eq!(
        (v.capacitance_limit_nf, v.inductance_limit_uh),
        (n("465"), n("2200"))
    );
    lp.cable.length_m = n("1800");
    let v = check(&lp);
    assert_eq!(
        (v.capacitance, v.inductance, v.overall),
        (Line::Pass, Line::Fail, Line::Fail)
    );
    // A matched pair is never halved.
    lp.source.matched_pair = true;
    assert_eq!(check(&lp).overall, Line::Pass);
}

/// Source: IEC 60079-25, worked example of the L/R way.
#[test]
fn loop_by_ratio() {
    let mut lp = Loop {
        source: Source {
            lo_ro_uh_per_ohm: n("28"),
            ..source(LoopGroup::IIC, ["15", "300", "1125", "480", "350"])
        },
        devices: vec![device(["20", "350", "1300", "0", "0"])],
        cable: Cable {
            l_r_uh_per_ohm: n("20"),
            ..cable("700", "150", "0.8")
        },
        ..Loop::default()
    };
    assert_eq!(check(&lp).overall, Line::Pass);
    lp.cable.l_r_uh_per_ohm = n("28.000000001");
    assert_eq!(check(&lp).inductance, Line::Fail);
    // With Li at 1 % of Lo the L/R way is closed.
    lp.cable.l_r_uh_per_ohm = n("20");
    lp.devices[0].li_uh = n("3.5");
    assert_eq!(check(&lp).inductance, Line::Fail);
    lp.devices[0].li_uh = n("3.499999999");
    assert_eq!(check(&lp).inductance, Line::Pass);
}

#[test]
fn a_missing_value_is_never_a_pass() {
    let full = Loop {
        source: source(LoopGroup::IIC, ["25.2", "93", "586", "107", "4100"]),
        devices: vec![device(["30", "120", "900", "5", "20"])],
        cable: cable("350", "180", "0.7"),
        ..Loop::default()
    };
    assert_eq!(check(&full).overall, Line::Pass);
    let without: [fn(&mut Loop); 14] = [
        |l| l.source.gas_group = None,
        |l| l.source.uo_v = None,
        |l| l.source.io_ma = None,
        |l| l.source.po_mw = None,
        |l| l.source.co_nf = None,
        |l| l.source.lo_uh = None,
        |l| l.devices[0].ui_v = None,
        |l| l.devices[0].ii_ma = None,
        |l| l.devices[0].pi_mw = None,
        |l| l.devices[0].ci_nf = None,
        |l| l.devices[0].li_uh = None,
        |l| l.cable.length_m = None,
        |l| l.cable.c_pf_per_m = None,
        |l| l.devices.clear(),
    ];
    for (i, remove) in without.iter().enumerate() {
        let mut lp = full.clone();
        remove(&mut lp);
        assert_eq!(check(&lp).overall, Line::Undecided, "{i}");
    }
    let mut lp = full.clone();
    lp.source.not_simple = true;
    assert_eq!(check(&lp).overall, Line::Undecided);
    // An ordinary cable has stated values.
    let mut lp = full;
    lp.cable = Cable {
        length_m: n("350"),
        ordinary: true,
        ..Cable::default()
    };
    assert_eq!(check(&lp).overall, Line::Pass);
    assert!(check(&lp).notes.iter().any(|t| t.contains("200")));
}

#[test]
fn group_and_level_of_the_place() {
    let mut lp = Loop {
        source: Source {
            level: Some(Level::A),
            ..source(LoopGroup::IIB, ["25.2", "93", "586", "107", "4100"])
        },
        devices: vec![Device {
            level: Some(Level::B),
            ..device(["30", "120", "900", "5", "20"])
        }],
        cable: cable("35", "180", "0.7"),
        place_group: Some(LoopGroup::III),
        place_level: Some(Level::B),
    };
    assert_eq!(check(&lp).overall, Line::Pass);
    assert_eq!(check(&lp).loop_level, Some(Level::B));
    lp.place_level = Some(Level::A);
    assert_eq!(check(&lp).level, Line::Fail);
    lp.place_group = Some(LoopGroup::IIC);
    assert_eq!(check(&lp).group, Line::Fail);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, failure_persistence: None, ..ProptestConfig::default() })]

    /// The same lines, in thousandths and whole numbers. Limits are met and missed by one step.
    #[test]
    fn whole_numbers_agree(
        co in 1..2_000_000_i64,
        lo in 1..5_000_000_i64,
        ci in (1..200_i64, -2..=2_i64),
        li in (1..200_i64, -2..=2_i64),
        length in 0..3000_i64,
        c in 1..400_i64,
        l in 1..3_i64,
        iic in any::<bool>(),
    ) {
        // Lumped values near 1 % of the limit: percent of it in ten-thousandths, plus a step.
        let ci = (co * ci.0 / 10_000 + ci.1).max(0);
        let li = (lo * li.0 / 10_000 + li.1).max(0);
        let milli = |v: i64| Some(Exact::new(i128::from(v), 1000));
        let unit = |v: i64| Some(Exact::from_integer(i128::from(v)));
        let lp = Loop {
            source: Source {
                co_nf: milli(co),
                lo_uh: milli(lo),
                ..source(if iic { LoopGroup::IIC } else { LoopGroup::IIB }, ["20", "90", "500", "1", "1"])
            },
            devices: vec![Device { ci_nf: milli(ci), li_uh: milli(li), ..device(["20", "90", "500", "0", "0"]) }],
            cable: Cable { length_m: unit(length), c_pf_per_m: unit(c), l_uh_per_m: unit(l), ..Cable::default() },
            ..Loop::default()
        };
        // Thousandths of nF are pF, thousandths of µH are nH.
        let halved = 100 * ci >= co && 100 * li >= lo;
        let ceiling = if iic { 1_200_000 } else { 2_000_000 };
        let c_limit = if halved { co.min(ceiling) } else { 2 * co };
        let l_limit = if halved { lo } else { 2 * lo };
        let c_passes = 2 * (ci + length * c) <= c_limit;
        let l_passes = 2 * (li + length * l * 1000) <= l_limit;
        let v = check(&lp);
        prop_assert_eq!(v.lumped_halving, Some(halved));
        prop_assert_eq!(v.capacitance == Line::Pass, c_passes);
        prop_assert_eq!(v.inductance == Line::Pass, l_passes);
        prop_assert_eq!(v.overall == Line::Pass, c_passes && l_passes);
        if let Some(most) = v.longest_by_capacitance_m {
            let most = i64::try_from(most).unwrap();
            prop_assert!(2 * (ci + most * c) <= c_limit && 2 * (ci + (most + 1) * c) > c_limit);
        }
    }

    /// Decimals survive the way through binary numbers.
    #[test]
    fn decimals_survive_binary(whole in 0..1_000_000_u32, part in 0..1000_u32) {
        let text = format!("{whole}.{part:03}");
        prop_assert_eq!(exact_of(text.parse().unwrap()), exact(&text));
    }
}
