//! Puts together what belongs together: category lines, strings, and pieces that stand apart.

use super::text::Text;
use super::{American, Found, Item};
use crate::marking::{
    AmericanPlace, AtexLine, Atmosphere, Group, Marking, Plate, ProtectionType, Scheme, Temperature,
};
use crate::read::{Read, Span};

/// Which atmospheres a marking speaks of, in the order gas, dust, mine.
///
/// The group decides. Without one: the printed EPL, the temperatures, the category line, the
/// types, in this order.
pub(crate) fn atmospheres_of(marking: &Marking) -> Vec<Atmosphere> {
    let mut found: Vec<Atmosphere> = Vec::new();
    if let Some(group) = &marking.group {
        found.push(group.value.atmosphere());
        if marking.second_group == Some(Group::I) {
            found.push(Atmosphere::Mine);
        }
        // An old string for gas under a GD line, with a temperature for dust.
        if found == [Atmosphere::Gas] && old_dust_of_gas(marking) {
            found.push(Atmosphere::Dust);
        }
    } else if let Some(class) = marking.american.class {
        found.push(if class == 1 {
            Atmosphere::Gas
        } else {
            Atmosphere::Dust
        });
    } else if marking.unknown_group.is_some() || !marking.epl.is_empty() {
        found.extend(marking.epl.iter().map(|e| e.value.atmosphere));
    }
    if found.is_empty() {
        if marking.dust_temperature.is_some() {
            found.push(Atmosphere::Dust);
        }
        if marking.temperature.is_some() {
            found.push(Atmosphere::Gas);
        }
    }
    if found.is_empty()
        && let Some(line) = &marking.atex
    {
        if line.mining {
            found.push(Atmosphere::Mine);
        }
        found.extend(&line.atmospheres);
    }
    if found.is_empty()
        && marking
            .own_protections()
            .any(|p| speaks_of_dust(p.kind.value))
    {
        found.push(Atmosphere::Dust);
    }
    if found.is_empty() {
        found.extend(
            marking
                .protections
                .iter()
                .filter_map(|p| p.circuit_epl)
                .map(|e| e.atmosphere),
        );
    }
    found.sort();
    found.dedup();
    found
}

fn speaks_of_dust(kind: ProtectionType) -> bool {
    kind.is_old_dust() || kind == ProtectionType::DustEnclosure
}

/// A gas string that serves dust by its category line alone, as EN 50281 allowed: letter D,
/// and a surface temperature for dust.
fn old_dust_of_gas(marking: &Marking) -> bool {
    marking.dust_temperature.is_some()
        && marking
            .atex
            .as_ref()
            .is_some_and(|line| line.atmospheres.contains(&Atmosphere::Dust))
}

/// A marking with nothing in it yet.
fn blank(text: String, scheme: Scheme) -> Marking {
    Marking {
        text,
        read_as: None,
        spans: Vec::new(),
        scheme,
        eex: false,
        aex: false,
        protections: Vec::new(),
        combined: false,
        group: None,
        second_group: None,
        unknown_group: None,
        only_gas: None,
        temperature: None,
        unknown_class: None,
        class_celsius: None,
        dust_temperature: None,
        epl: Vec::new(),
        boundary: false,
        atex: None,
        american: AmericanPlace::default(),
        x: false,
        u: false,
        sensor: false,
        unbalanced: false,
        illegible: Vec::new(),
    }
}

/// A marking with the position of its first character, for putting neighbours together.
struct Placed {
    at: usize,
    marking: Marking,
}

pub(crate) fn assemble(text: &Text, mut plate: Plate, found: Found) -> Plate {
    let mut placed: Vec<Placed> = Vec::new();
    let mut lines: Vec<(usize, AtexLine)> = Vec::new();
    let mut celsius = Vec::new();
    let mut classes = Vec::new();
    let mut levels = Vec::new();
    for item in found.items {
        match item {
            Item::Category(at, line) => lines.push((at, line)),
            Item::String(draft) => {
                let at = draft.start;
                for marking in draft.into_markings(text) {
                    placed.push(Placed { at, marking });
                }
            }
            Item::American(american) => placed.extend(american_markings(text, &american)),
            Item::Celsius(at, end, read) => celsius.push((at, end, read)),
            Item::Class(at, end, read) => classes.push((at, end, read)),
            Item::Level(at, end, read) => levels.push((at, end, read)),
        }
    }
    share_codes(&mut placed);
    tie_categories(&mut placed, &lines);
    place_levels(text, &mut placed, levels, &mut plate.unread);
    place_classes(text, &mut placed, classes, &mut plate.unread);
    place_celsius(text, &mut placed, &mut lines, celsius, &mut plate.unread);
    for (at, line) in lines {
        // A category line with no string: dust of EN 50281, or a string that was lost.
        let mut marking = blank(line.raw.value.clone(), Scheme::AtexDirective);
        marking.spans = vec![line.raw.span];
        marking.atex = Some(line);
        placed.push(Placed { at, marking });
    }
    placed.sort_by_key(|p| p.at);
    for Placed { marking, .. } in &mut placed {
        confirm_category(marking);
    }
    let (sensor, component) = (plate.names_a_sensor(), plate.has_u());
    for Placed { marking, .. } in &mut placed {
        settle_worth(marking);
        marking.sensor = sensor;
        marking.u |= component;
    }
    plate.markings = placed.into_iter().map(|p| p.marking).collect();
    // The highest ambient of a table of classes is the plate's.
    if plate.ambient.is_none() {
        let table = plate.markings.iter().find_map(|m| match &m.temperature {
            Some(Read {
                value: Temperature::ByAmbient(table),
                raw,
                span,
                ..
            }) => table
                .iter()
                .map(|c| c.ambient_max_c)
                .reduce(f64::max)
                .map(|high| (high, raw.clone(), *span)),
            _ => None,
        });
        if let Some((high_c, raw, span)) = table {
            let ambient = crate::marking::Ambient {
                high_c,
                ..crate::marking::Ambient::DEFAULT
            };
            plate.ambient = Some(Read::strict(ambient, &raw, span));
        }
    }
    plate
}

/// One marking a class; letters go to the class that they belong to.
fn american_markings(text: &Text, found: &American) -> Vec<Placed> {
    let single = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ");
    let raw = single(&text.as_str()[found.start..found.end]);
    let mut tidy = String::new();
    let mut at = found.start;
    for (from, to, meant) in &found.repairs {
        tidy.push_str(&text.as_str()[at..*from]);
        tidy.push_str(meant);
        at = *to;
    }
    tidy.push_str(&text.as_str()[at..found.end]);
    let tidy = single(&tidy);
    let scheme = if found.place.zone.is_some() {
        Scheme::NecZone
    } else {
        Scheme::NecDivision
    };
    let several = found.classes.len() > 1;
    found
        .classes
        .iter()
        .map(|&class| {
            let mut marking = blank(tidy.clone(), scheme);
            marking.read_as = (raw != tidy).then(|| raw.clone());
            marking.unknown_group.clone_from(&found.unknown_group);
            marking.spans = text.spans(found.start, found.end);
            marking.american = AmericanPlace {
                class: Some(class),
                ..found.place.clone()
            };
            marking.group.clone_from(&found.group);
            if let Some(letters) = &found.letters {
                let own: Vec<char> = letters
                    .value
                    .iter()
                    .copied()
                    .filter(|l| {
                        !several
                            || match class {
                                1 => ('A'..='D').contains(l),
                                2 => ('E'..='G').contains(l),
                                _ => false,
                            }
                    })
                    .collect();
                if !own.is_empty() {
                    marking.group = Some(letters.clone().map(|_| Group::American(own.clone())));
                }
            }
            marking.temperature = found.class.clone().map(|c| c.map(Temperature::Class));
            marking.unknown_class.clone_from(&found.unknown_class);
            Placed {
                at: found.start,
                marking,
            }
        })
        .collect()
}

/// Gives each string the category line that belongs to it: the nearest before it that speaks of
/// its atmosphere, else the nearest behind it, else the one right beside it.
fn tie_categories(placed: &mut [Placed], lines: &[(usize, AtexLine)]) {
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

/// Adds a piece that stands apart to the text of its marking, as it was meant.
fn join(
    text: &Text,
    marking: &mut Marking,
    (start, end): (usize, usize),
    repairs: &[crate::Repair],
) {
    let single = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ");
    let piece = single(&text.as_str()[start..end]);
    let meant = match repairs.first() {
        // The T before a temperature is no part of what was repaired.
        Some(repair) if piece.starts_with('T') && !repair.to.starts_with('T') => {
            format!("T{}", repair.to)
        }
        Some(repair) => repair.to.clone(),
        None => piece.clone(),
    };
    if meant != piece || marking.read_as.is_some() {
        let before = marking
            .read_as
            .take()
            .unwrap_or_else(|| marking.text.clone());
        marking.read_as = Some(format!("{before} {piece}"));
    }
    marking.text.push(' ');
    marking.text.push_str(&meant);
    marking.spans.extend(text.spans(start, end));
}

fn place_levels(
    text: &Text,
    placed: &mut [Placed],
    levels: Vec<(usize, usize, Read<crate::marking::Epl>)>,
    unread: &mut Vec<Span>,
) {
    for (at, end, read) in levels {
        let target = placed.iter_mut().rfind(|p| {
            p.at < at
                && p.marking.epl.is_empty()
                && !p.marking.associated_only()
                && p.marking.scheme != Scheme::NecDivision
        });
        match target {
            Some(place) => {
                join(text, &mut place.marking, (at, end), &read.repairs);
                place.marking.epl.push(read);
            }
            None => unread.push(read.span),
        }
    }
}

/// A temperature code behind the last of several classes holds for those right before it.
fn share_codes(placed: &mut [Placed]) {
    for index in (1..placed.len()).rev() {
        let (before, after) = placed.split_at_mut(index);
        let (first, second) = (&mut before[index - 1].marking, &after[0].marking);
        if first.scheme == Scheme::NecDivision
            && second.scheme == Scheme::NecDivision
            && first.temperature.is_none()
            && first.unknown_class.is_none()
        {
            first.temperature.clone_from(&second.temperature);
        }
    }
}

fn place_classes(
    text: &Text,
    placed: &mut [Placed],
    classes: Vec<(usize, usize, Read<crate::marking::TClass>)>,
    unread: &mut Vec<Span>,
) {
    let lacks = |m: &Marking| {
        m.temperature.is_none()
            && m.unknown_class.is_none()
            && !m.associated_only()
            && (m.scheme == Scheme::NecDivision || m.speaks_of(Atmosphere::Gas))
    };
    for (at, end, read) in classes {
        let mut taken = false;
        // One code behind several classes holds for each of them.
        for place in placed.iter_mut().filter(|p| p.at < at && lacks(&p.marking)) {
            place.marking.temperature = Some(read.clone().map(Temperature::Class));
            join(text, &mut place.marking, (at, end), &read.repairs);
            taken = true;
        }
        if !taken {
            unread.push(read.span);
        }
    }
}

/// Surface temperatures that stand apart: to the dust string that lacks one, else to the category
/// line with D that has no dust string, else to the gas string that lacks a class.
fn place_celsius(
    text: &Text,
    placed: &mut Vec<Placed>,
    lines: &mut Vec<(usize, AtexLine)>,
    celsius: Vec<(usize, usize, Read<crate::marking::DustTemperature>)>,
    unread: &mut Vec<Span>,
) {
    // Lines that some string took are done; the others may be plates of EN 50281.
    lines.retain(|(_, line)| {
        !placed.iter().any(|p| {
            p.marking
                .atex
                .as_ref()
                .is_some_and(|l| l.raw.span == line.raw.span)
        })
    });
    for (at, end, read) in celsius {
        let dust = placed.iter_mut().filter(|p| {
            p.marking.dust_temperature.is_none()
                && !p.marking.associated_only()
                && p.marking.speaks_of(Atmosphere::Dust)
                && p.marking.scheme != Scheme::NecDivision
        });
        if let Some(place) = dust.min_by_key(|p| p.at.abs_diff(at)) {
            join(text, &mut place.marking, (at, end), &read.repairs);
            place.marking.dust_temperature = Some(read);
            continue;
        }
        if let Some(index) = lines
            .iter()
            .position(|(_, line)| line.atmospheres.contains(&Atmosphere::Dust))
        {
            let (line_at, line) = lines.remove(index);
            let mut marking = blank(String::new(), Scheme::AtexDirective);
            marking.spans = vec![line.raw.span];
            marking.text.clone_from(&line.raw.value);
            join(text, &mut marking, (at, end), &read.repairs);
            marking.atex = Some(line);
            marking.dust_temperature = Some(read);
            placed.push(Placed {
                at: line_at,
                marking,
            });
            continue;
        }
        let old = placed.iter_mut().find(|p| {
            p.marking.dust_temperature.is_none()
                && p.marking
                    .atex
                    .as_ref()
                    .is_some_and(|l| l.atmospheres.contains(&Atmosphere::Dust))
        });
        if let Some(place) = old {
            join(text, &mut place.marking, (at, end), &read.repairs);
            place.marking.dust_temperature = Some(read);
            continue;
        }
        let gas = placed.iter_mut().find(|p| {
            p.marking.temperature.is_none()
                && p.marking.unknown_class.is_none()
                && p.marking.speaks_of(Atmosphere::Gas)
                && !p.marking.associated_only()
                && p.marking.scheme != Scheme::NecDivision
        });
        if let Some(place) = gas {
            join(text, &mut place.marking, (at, end), &read.repairs);
            place.marking.temperature = Some(read.map(|d| Temperature::MaxSurface {
                celsius: d.celsius,
                class: None,
            }));
            continue;
        }
        unread.push(read.span);
    }
}

/// A category with rivals is settled where a second fact that was read clean names the same level:
/// the printed EPL or, where none is printed, types of which each is worth that level.
fn confirm_category(marking: &mut Marking) {
    let clean: Vec<_> = marking
        .epl
        .iter()
        .filter(|e| e.repairs.is_empty() && e.rivals.is_empty())
        .map(|e| e.value.level)
        .collect();
    let by_types = marking.epl.is_empty() && {
        let mut own = marking.own_protections().peekable();
        own.peek().is_some() && own.all(super::ex::worth_b)
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
    if line
        .raw
        .repairs
        .iter()
        .any(|r| r.name == super::atex::LETTER)
        && !gas
    {
        let raw = line.raw.clone().map(|_| line.raw.raw.clone());
        marking.illegible.push(raw);
    }
    let level = match clean.as_slice() {
        [level] if !marking.boundary => *level,
        [] if by_types => crate::marking::Level::B,
        _ => return,
    };
    for token in &mut line.categories {
        if let crate::marking::CategoryToken::Own(category) = token.value
            && category.level() == level
            && (!by_types || !token.repairs.is_empty())
        {
            token.rivals.clear();
        }
    }
}

/// Gives each type the EPL that it is worth in its marking.
pub(crate) fn settle_worth(marking: &mut Marking) {
    let atmosphere = atmospheres_of(marking)
        .into_iter()
        .find(|a| *a != Atmosphere::Mine)
        .or_else(|| atmospheres_of(marking).first().copied());
    let printed = marking.epl.first().map(|e| e.value);
    let boundary = marking.boundary;
    let sides: Vec<_> = marking.epl.iter().map(|e| e.value).collect();
    let category = marking
        .atex
        .as_ref()
        .and_then(|line| line.own_categories().into_iter().next());
    let mut own = 0;
    for protection in &mut marking.protections {
        let here = if protection.associated {
            protection
                .circuit_epl
                .map(|e| e.atmosphere)
                .or(protection.circuit_group.as_ref().map(Group::atmosphere))
                .or(atmosphere)
        } else {
            atmosphere
        };
        let printed = if protection.associated {
            protection.circuit_epl
        } else {
            let side = if boundary {
                sides.get(own).copied()
            } else {
                None
            };
            own += 1;
            side.or(printed)
        };
        protection.epl = crate::marking::worth(
            protection.kind.value,
            &protection.level,
            here,
            printed,
            category,
        );
    }
}
