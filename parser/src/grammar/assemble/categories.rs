//! Category lines to strings.

use super::{Placed, atmospheres_of};
use crate::grammar::{atex, ex};
use crate::marking::{AtexLine, Atmosphere, CategoryToken, Group, Level, Marking, Scheme};

/// Gives each string the category line that belongs to it: the nearest before it that speaks of
/// its atmosphere, else the nearest behind it, else the one right beside it.
pub(super) fn tie(placed: &mut Vec<Placed>, lines: &[(usize, AtexLine)]) {
    if lines.is_empty() {
        return;
    }
    let fits = |line: &AtexLine, marking: &Marking| {
        let atmospheres = atmospheres_of(marking);
        if line.mining {
            atmospheres.contains(&Atmosphere::Mine)
        } else {
            atmospheres.iter().any(|a| line.atmospheres.contains(a))
        }
    };
    let eligible = |marking: &Marking| {
        !matches!(marking.scheme, Scheme::NecDivision)
            && !marking.aex
            && marking.american.zone.is_none()
    };
    let mut used = vec![false; lines.len()];
    for place in placed.iter_mut().filter(|p| eligible(&p.marking)) {
        let before = |(_, (at, _)): &(usize, &(usize, AtexLine))| *at < place.at;
        let candidates = || lines.iter().enumerate();
        let chosen = candidates()
            .filter(before)
            .rfind(|(_, (_, line))| fits(line, &place.marking))
            .or_else(|| {
                candidates()
                    .filter(|c| !before(c))
                    .find(|(_, (_, line))| fits(line, &place.marking))
            });
        if let Some((index, (_, line))) = chosen {
            used[index] = true;
            place.marking.atex = Some(line.clone());
        }
    }
    for (index, (_, line)) in lines.iter().enumerate() {
        if !used[index] && line.mining {
            used[index] = mine_apart(placed, line);
        }
    }
    // A line that fits no string still stands beside one: the contradiction must be seen.
    for (index, (at, line)) in lines.iter().enumerate() {
        if used[index] {
            continue;
        }
        let next = placed
            .iter_mut()
            .filter(|p| eligible(&p.marking) && p.marking.atex.is_none())
            .min_by_key(|p| (p.at < *at, p.at.abs_diff(*at)));
        if let Some(place) = next {
            place.marking.atex = Some(line.clone());
        }
    }
    // Where a GD line serves a gas string and a dust string, each takes its own letter.
    let served: Vec<Vec<Atmosphere>> = placed.iter().map(|p| atmospheres_of(&p.marking)).collect();
    for index in 0..placed.len() {
        let Some(line) = placed[index].marking.atex.clone() else {
            continue;
        };
        if line.atmospheres.len() < 2 {
            continue;
        }
        let own = &served[index];
        let others_served = line
            .atmospheres
            .iter()
            .filter(|a| !own.contains(a))
            .all(|a| {
                placed.iter().enumerate().any(|(other, p)| {
                    other != index
                        && served[other].contains(a)
                        && p.marking
                            .atex
                            .as_ref()
                            .is_some_and(|l| l.raw.span == line.raw.span)
                })
            });
        if others_served && let Some(atex) = &mut placed[index].marking.atex {
            atex.atmospheres.retain(|a| served[index].contains(a));
        }
    }
    for place in placed.iter_mut() {
        if place.marking.atex.is_some() {
            place.marking.scheme = Scheme::AtexDirective;
        }
    }
}

/// `I M2 / II 2 G Ex d I/IIC T6`: one string with a line for mines and a line for the surface is two
/// markings. True where there was such a string.
fn mine_apart(placed: &mut Vec<Placed>, line: &AtexLine) -> bool {
    let both = |m: &Marking| m.second_group == Some(Group::I) && m.atex.is_some();
    let Some(index) = placed.iter().position(|p| both(&p.marking)) else {
        return false;
    };
    let surface = &mut placed[index].marking;
    let mut mine = surface.clone();
    surface.second_group = None;
    mine.second_group = None;
    mine.group = surface.group.clone().map(|g| g.map(|_| Group::I));
    mine.temperature = None;
    mine.atex = Some(line.clone());
    // `Mb/Gb`: each keeps its own, and neither is a wall any more.
    mine.epl.retain(|e| e.value.atmosphere == Atmosphere::Mine);
    surface
        .epl
        .retain(|e| e.value.atmosphere != Atmosphere::Mine);
    mine.boundary = false;
    surface.boundary = false;
    let at = placed[index].at;
    placed.insert(index, Placed { at, marking: mine });
    true
}

/// A category with rivals is settled where a second fact that was read clean names the same level:
/// the printed EPL or, where none is printed, types of which each is worth that level.
pub(super) fn confirm(marking: &mut Marking) {
    let clean: Vec<_> = marking
        .epl
        .iter()
        .filter(|e| e.repairs.is_empty() && e.rivals.is_empty())
        .map(|e| e.value.level)
        .collect();
    let by_types = marking.epl.is_empty() && {
        let mut own = marking.own_protections().peekable();
        own.peek().is_some() && own.all(ex::worth_b)
    };
    let gas = marking
        .group
        .as_ref()
        .is_some_and(|g| g.repairs.is_empty() && g.value.atmosphere() == Atmosphere::Gas);
    let Some(line) = &mut marking.atex else {
        return;
    };
    // The letter of the line was read as another sign: without a gas group beside it, it may be
    // any letter.
    if line.raw.repairs.iter().any(|r| r.name == atex::LETTER) && !gas {
        let raw = line.raw.clone().map(|_| line.raw.raw.clone());
        marking.illegible.push(raw);
    }
    let level = match clean.as_slice() {
        [level] if !marking.boundary => *level,
        [] if by_types => Level::B,
        _ => return,
    };
    for token in &mut line.categories {
        if let CategoryToken::Own(category) = token.value
            && category.level() == level
            && (!by_types || !token.repairs.is_empty())
        {
            token.rivals.clear();
        }
    }
}
