//! The check, line by line.

use super::{Device, Exact, Line, Loop, LoopGroup, LoopVerdict, number};
use crate::marking::Level;
use num_traits::ToPrimitive;

fn whole(n: i128) -> Exact {
    Exact::from_integer(n)
}

/// Every device must endure what the source gives.
fn each(
    name: (&str, &str),
    given: Option<Exact>,
    limits: &[Option<Exact>],
    notes: &mut Vec<String>,
) -> Line {
    let (output, input) = name;
    let Some(given) = given else {
        notes.push(format!("{output} of the source is missing."));
        return Line::Undecided;
    };
    let mut line = Line::Pass;
    for (i, limit) in limits.iter().enumerate() {
        match limit {
            Some(limit) if given <= *limit => {}
            Some(limit) => {
                notes.push(format!(
                    "{output} {} is above {input} {} of device {}.",
                    shown(given),
                    shown(*limit),
                    i + 1
                ));
                line = Line::Fail;
            }
            None => {
                notes.push(format!("{input} of device {} is missing.", i + 1));
                line = line.min(Line::Undecided);
            }
        }
    }
    if limits.is_empty() {
        Line::Undecided
    } else {
        line
    }
}

fn shown(value: Exact) -> String {
    number(value).to_string()
}

/// Sum of what is known, and true if nothing is missing.
fn sum(values: impl Iterator<Item = Option<Exact>>) -> (Exact, bool) {
    values.fold((whole(0), true), |(total, complete), value| match value {
        Some(value) => (total + value, complete),
        None => (total, false),
    })
}

/// Does a sum reach 1 % of a limit? None where it cannot be told.
fn reaches(sum: (Exact, bool), limit: Option<Exact>) -> Option<bool> {
    let limit = limit?;
    if sum.0 * whole(100) >= limit {
        Some(true)
    } else if sum.1 {
        Some(false)
    } else {
        None
    }
}

/// Total against a limit that may be halved or not, or not known.
fn against(
    total: Option<Exact>,
    at_least: Exact,
    full: Option<Exact>,
    halved: Option<Exact>,
    halving: Option<bool>,
) -> Line {
    let (Some(full), Some(halved)) = (full, halved) else {
        return Line::Undecided;
    };
    let (least, most) = match halving {
        Some(true) => (halved, halved),
        Some(false) => (full, full),
        None => (halved.min(full), full.max(halved)),
    };
    match total {
        Some(total) if total <= least => Line::Pass,
        Some(total) if total > most => Line::Fail,
        None if at_least > most => Line::Fail,
        _ => Line::Undecided,
    }
}

fn longest(limit: Option<Exact>, lumped: (Exact, bool), per_metre: Option<Exact>) -> Option<u64> {
    let (limit, per_metre) = (limit?, per_metre?);
    if !lumped.1 || per_metre <= whole(0) {
        return None;
    }
    let room = (limit - lumped.0) / per_metre;
    if room < whole(0) {
        return None;
    }
    room.floor().to_integer().to_u64()
}

/// Checks a loop.
pub fn check(lp: &Loop) -> LoopVerdict {
    let mut notes = Vec::new();
    let (source, cable) = (&lp.source, &lp.cable);
    let of = |pick: fn(&Device) -> Option<Exact>| lp.devices.iter().map(pick).collect::<Vec<_>>();
    if lp.devices.is_empty() {
        notes.push("No device is given.".to_owned());
    }
    let voltage = each(("Uo", "Ui"), source.uo_v, &of(|d| d.ui_v), &mut notes);
    let current = each(("Io", "Ii"), source.io_ma, &of(|d| d.ii_ma), &mut notes);
    let power = each(("Po", "Pi"), source.po_mw, &of(|d| d.pi_mw), &mut notes);

    let mut default = |given: Option<Exact>, value: i128, what: &str| {
        if given.is_some() || !cable.ordinary {
            return given;
        }
        notes.push(format!(
            "{what} of the cable is not given: {value} taken for an ordinary cable (checked)."
        ));
        Some(whole(value))
    };
    let c_per_m = default(cable.c_pf_per_m, 200, "pF/m").map(|c| c / whole(1000));
    let l_per_m = default(cable.l_uh_per_m, 1, "µH/m");
    let l_r = match cable.l_r_uh_per_ohm {
        None if source.io_ma.is_some_and(|io| io <= whole(3000))
            && source.lo_ro_uh_per_ohm.is_some() =>
        {
            default(None, 30, "µH/Ω")
        }
        given => given,
    };

    let ci = sum(lp.devices.iter().map(|d| d.ci_nf));
    let li = sum(lp.devices.iter().map(|d| d.li_uh));
    for (name, lumped) in [("Ci", ci), ("Li", li)] {
        if !lumped.1 {
            notes.push(format!(
                "{name} of a device is missing; only what is printed as negligible counts as 0."
            ));
        }
    }
    let (c_one, l_one) = (reaches(ci, source.co_nf), reaches(li, source.lo_uh));
    let halving = match (source.matched_pair, c_one, l_one) {
        (true, ..) | (_, Some(false), _) | (_, _, Some(false)) => Some(false),
        (_, Some(true), Some(true)) => Some(true),
        _ => None,
    };
    let ceiling = match source.gas_group {
        Some(LoopGroup::IIC) | None => whole(600),
        Some(_) => whole(1000),
    };
    let half = |limit: Option<Exact>| limit.map(|v| v / whole(2));
    let co_halved = half(source.co_nf).map(|v| v.min(ceiling));
    let lo_halved = half(source.lo_uh);
    if halving == Some(true) {
        notes.push("Both lumped values reach 1 % of Co and Lo: the limits are halved.".to_owned());
    }
    let with_cable = |lumped: (Exact, bool), per_metre: Option<Exact>| {
        let cable = cable.length_m? * per_metre?;
        lumped.1.then_some(lumped.0 + cable)
    };
    let c_total = with_cable(ci, c_per_m);
    let l_total = with_cable(li, l_per_m);
    let some_devices = !lp.devices.is_empty();
    let mut capacitance = against(c_total, ci.0, source.co_nf, co_halved, halving);
    let mut inductance = against(l_total, li.0, source.lo_uh, lo_halved, halving);
    let by_ratio = matches!((l_r, source.lo_ro_uh_per_ohm), (Some(cable), Some(most)) if cable <= most)
        && l_one == Some(false);
    if by_ratio && inductance < Line::Pass {
        notes.push("Inductance passes by L/R of the cable against Lo/Ro.".to_owned());
        inductance = Line::Pass;
    }
    if !some_devices {
        capacitance = capacitance.min(Line::Undecided);
        inductance = inductance.min(Line::Undecided);
    }
    let chosen = |full: Option<Exact>, halved: Option<Exact>| match halving {
        Some(true) => halved,
        Some(false) => full,
        None => None,
    };
    let c_limit = chosen(source.co_nf, co_halved);
    let l_limit = chosen(source.lo_uh, lo_halved);

    let group = match (source.gas_group, lp.place_group) {
        (None, _) => {
            notes.push("The group of the Co and Lo column is missing.".to_owned());
            Line::Undecided
        }
        (Some(have), Some(need)) if have < need => {
            notes.push(format!(
                "Co and Lo are of group {have}, the place needs {need}."
            ));
            Line::Fail
        }
        _ => Line::Pass,
    };
    let levels: Vec<Option<Level>> = std::iter::once(source.level)
        .chain(lp.devices.iter().map(|d| d.level))
        .collect();
    let known_weakest = levels.iter().flatten().copied().max();
    let loop_level = if levels.iter().all(Option::is_some) {
        known_weakest
    } else {
        None
    };
    let level = match (lp.place_level, known_weakest, loop_level) {
        (Some(need), Some(weakest), _) if weakest > need => {
            notes.push(format!(
                "The loop is i{}, the place needs i{}.",
                weakest.letter(),
                need.letter()
            ));
            Line::Fail
        }
        (None, ..) | (Some(_), _, Some(_)) => Line::Pass,
        (Some(_), _, None) => {
            notes.push("A level (ia, ib, ic) of the loop is missing.".to_owned());
            Line::Undecided
        }
    };
    let mut overall = [
        voltage,
        current,
        power,
        capacitance,
        inductance,
        group,
        level,
    ]
    .into_iter()
    .min()
    .unwrap_or(Line::Undecided);
    if source.not_simple {
        notes.push(
            "Several sources or electronic limiting: this method does not cover it.".to_owned(),
        );
        overall = overall.min(Line::Undecided);
    }
    LoopVerdict {
        voltage,
        current,
        power,
        capacitance,
        inductance,
        group,
        level,
        overall,
        lumped_halving: halving,
        capacitance_limit_nf: c_limit,
        inductance_limit_uh: l_limit,
        capacitance_total_nf: c_total,
        inductance_total_uh: l_total,
        longest_by_capacitance_m: longest(c_limit, ci, c_per_m),
        longest_by_inductance_m: if by_ratio {
            None
        } else {
            longest(l_limit, li, l_per_m)
        },
        loop_level,
        notes,
    }
}
