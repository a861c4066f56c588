//! The check, line by line.

use super::{Device, Exact, Line, Loop, LoopGroup, LoopVerdict, number};
use crate::marking::Level;
use crate::{Message, message};
use num_traits::ToPrimitive;

fn whole(n: i128) -> Exact {
    Exact::from_integer(n)
}

/// Every device must endure what the source gives.
fn each(
    name: (&str, &str),
    given: Option<Exact>,
    limits: &[Option<Exact>],
    notes: &mut Vec<Message>,
) -> Line {
    let (output, input) = name;
    let Some(given) = given else {
        notes.push(message!("loop-source-missing", quantity = output));
        return Line::Undecided;
    };
    let mut line = Line::Pass;
    for (i, limit) in limits.iter().enumerate() {
        match limit {
            Some(limit) if given <= *limit => {}
            Some(limit) => {
                notes.push(message!(
                    "loop-above",
                    output = output,
                    value = number(given),
                    input = input,
                    limit = number(*limit),
                    device = i + 1
                ));
                line = Line::Fail;
            }
            None => {
                notes.push(message!(
                    "loop-device-missing",
                    quantity = input,
                    device = i + 1
                ));
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
        notes.push(message!("loop-no-device"));
    }
    let voltage = each(("Uo", "Ui"), source.uo_v, &of(|d| d.ui_v), &mut notes);
    let current = each(("Io", "Ii"), source.io_ma, &of(|d| d.ii_ma), &mut notes);
    let power = each(("Po", "Pi"), source.po_mw, &of(|d| d.pi_mw), &mut notes);

    let mut default = |given: Option<Exact>, value: i128, what: &str| {
        if given.is_some() || !cable.ordinary {
            return given;
        }
        notes.push(message!(
            "loop-cable-default",
            unit = what,
            value = value.to_string()
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
            notes.push(message!("loop-lumped-missing", quantity = name));
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
        notes.push(message!("loop-halved"));
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
        notes.push(message!("loop-by-ratio"));
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
            notes.push(message!("loop-no-group"));
            Line::Undecided
        }
        (Some(have), Some(need)) if have < need => {
            notes.push(message!(
                "loop-group",
                have = have.to_string(),
                need = need.to_string()
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
            notes.push(message!(
                "loop-level",
                have = weakest.letter(),
                need = need.letter()
            ));
            Line::Fail
        }
        (None, ..) | (Some(_), _, Some(_)) => Line::Pass,
        (Some(_), _, None) => {
            notes.push(message!("loop-no-level"));
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
        notes.push(message!("loop-not-simple"));
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
