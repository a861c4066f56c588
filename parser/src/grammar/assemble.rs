//! Puts together what belongs together: category lines, strings, and pieces that stand apart.

mod american;
mod categories;
mod pieces;

use super::text::Text;
use super::{Found, Item};
use crate::marking::{
    AmbientClass, AmericanPlace, AtexLine, Atmosphere, Group, Marking, Plate, ProtectionType,
    Scheme, Temperature,
};
use crate::read::Read;

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
    found.sort_unstable();
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
    let mut tables = Vec::new();
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
            Item::American(american) => {
                if !american::behind_string(text, &mut placed, &american) {
                    placed.extend(american::markings(text, &american));
                }
            }
            Item::Celsius(at, end, read) => celsius.push((at, end, read)),
            Item::Class(at, end, read) => classes.push((at, end, read)),
            Item::Table(at, end, read) => tables.push((at, end, read)),
            Item::Level(at, end, read) => levels.push((at, end, read)),
        }
    }
    american::share_codes(&mut placed);
    categories::tie(&mut placed, &lines);
    pieces::levels(text, &mut placed, levels, &mut plate.unread);
    pieces::tables(text, &mut placed, tables, &mut plate.unread);
    pieces::classes(text, &mut placed, classes, &mut plate.unread);
    pieces::celsius(text, &mut placed, &mut lines, celsius, &mut plate.unread);
    for (at, line) in lines {
        // A category line with no string: dust of EN 50281, or a string that was lost.
        let mut marking = blank(line.raw.value.clone(), Scheme::AtexDirective);
        marking.spans = vec![line.raw.span];
        marking.atex = Some(line);
        placed.push(Placed { at, marking });
    }
    placed.sort_by_key(|p| p.at);
    for Placed { marking, .. } in &mut placed {
        categories::confirm(marking);
    }
    let (sensor, component) = (plate.names_a_sensor(), plate.has_u());
    for Placed { marking, .. } in &mut placed {
        settle_worth(marking);
        marking.sensor = sensor;
        marking.u |= component;
    }
    plate.markings = placed.into_iter().map(|p| p.marking).collect();
    // The range of a table of classes is the plate's.
    if plate.ambient.is_none() {
        let table = plate.markings.iter().find_map(|m| match &m.temperature {
            Some(Read {
                value: Temperature::ByAmbient(table),
                raw,
                span,
                ..
            }) => AmbientClass::range(table).map(|range| (range, raw.clone(), *span)),
            _ => None,
        });
        if let Some((ambient, raw, span)) = table {
            plate.ambient = Some(Read::strict(ambient, &raw, span));
        }
    }
    plate
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
