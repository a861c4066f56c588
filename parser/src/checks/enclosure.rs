//! IP codes against the type of protection and the dust group.

use super::{Check, Finding, Severity};
use crate::marking::{Atmosphere, Group, Protection};
use crate::tables::{IP_BY_TYPE, IP_FOR_DUST, IpRow};
use crate::{Plate, message};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "IP below minimum for type of protection",
        question: "Is the printed IP code enough for the type of protection?",
        source: "IEC 60079-7, -15, -5, -2, -11, -6 (IP54 checked, the others memory)",
        severity: Severity::Review,
        passing: "Ex eb IIC T6 Gb IP66",
        failing: "Ex eb IIC T6 Gb IP20",
        find: for_type,
    },
    Check {
        name: "IP below minimum for dust group",
        question: "Is the printed IP code enough for the dust group?",
        source: "IEC 60079-31 table on IP; IEC 61241-1 (memory)",
        severity: Severity::Critical,
        passing: "Ex tc IIIB T95 °C Dc IP54",
        failing: "Ex tb IIIC T80 °C Db IP54",
        find: for_dust,
    },
];

/// First figure that a dust type asks for with the group that is marked; 0 for types that ask
/// for none. Without a group that of dust which does not conduct is taken: its lack is a finding
/// of its own.
///
/// **Source:** `parser/data/ip_minima.csv`, row by row.
pub(crate) fn dust_first_figure(protection: &Protection, group: Option<&Group>) -> u8 {
    let group = match group {
        Some(letter @ (Group::IIIA | Group::IIIC)) => letter,
        _ => &Group::IIIB,
    };
    IpRow::of(IP_FOR_DUST, protection.kind.value, &protection.level, group)
        .map_or(0, |row| row.solids)
}

/// Lowest figures (solids, water) that pass for a type whatever is inside. Where a standard asks
/// for more with bare live parts, the lower figure is taken: the plate does not say which holds.
fn minimum(p: &Protection, mine: bool) -> Option<(u8, u8)> {
    let group = if mine { &Group::I } else { &Group::II };
    IpRow::of(IP_BY_TYPE, p.kind.value, &p.level, group).map(|row| (row.solids, row.water))
}

fn for_type(plate: &Plate) -> Vec<Finding> {
    let Some(ip) = &plate.ip else {
        return Vec::new();
    };
    let best = |figures: &[Option<u8>]| figures.iter().flatten().copied().max();
    let (first, second) = (best(&ip.value.first), best(&ip.value.second));
    let motor = plate.lines.iter().any(|l| {
        let l = l.to_lowercase();
        l.contains("motor") || l.contains("moteur") || l.contains("rpm") || l.contains("min-1")
    });
    let mut found = Vec::new();
    for (index, m) in plate.markings.iter().enumerate() {
        let mine = m.speaks_of(Atmosphere::Mine);
        let short = m.own_protections().find(|p| {
            minimum(p, mine).is_some_and(|(solid, water)| {
                first.is_some_and(|f| f < solid) || second.is_some_and(|s| s < water)
            })
        });
        if let Some(p) = short {
            let mut finding = Finding::on(
                index,
                m,
                message!(
                    "check-ip-low-for-type",
                    ip = &ip.value.text,
                    kind = p.printed()
                ),
            );
            finding.spans.push(ip.span);
            // The main body of a motor may have a low code; its terminal box may not.
            found.push(if motor {
                finding.weighing(Severity::Note)
            } else {
                finding
            });
        }
    }
    found
}

fn for_dust(plate: &Plate) -> Vec<Finding> {
    let Some((ip, best)) = plate
        .ip
        .as_ref()
        .and_then(|ip| ip.value.best_first().map(|best| (ip, best)))
    else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for (index, m) in plate.markings.iter().enumerate() {
        let group = m.group.as_ref().map(|g| &g.value);
        let need = m
            .own_protections()
            .map(|p| dust_first_figure(p, group))
            .max()
            .unwrap_or(0);
        if best < need {
            let mut finding = Finding::on(
                index,
                m,
                message!("check-ip-low-for-dust", ip = &ip.value.text, need = need),
            );
            finding.spans.push(ip.span);
            found.push(finding);
        }
    }
    found
}
