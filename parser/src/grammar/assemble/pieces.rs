//! Pieces that stand away from their string: levels, classes, surface temperatures.

use super::{Placed, blank};
use crate::Repair;
use crate::grammar::text::Text;
use crate::marking::{
    AmbientClass, AtexLine, Atmosphere, DustTemperature, Epl, Marking, Scheme, TClass, Temperature,
};
use crate::read::{Read, Span};

/// Adds a piece that stands apart to the text of its marking, as it was meant.
fn join(text: &Text, marking: &mut Marking, (start, end): (usize, usize), repairs: &[Repair]) {
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

pub(super) fn levels(
    text: &Text,
    placed: &mut [Placed],
    found: Vec<(usize, usize, Read<Epl>)>,
    unread: &mut Vec<Span>,
) {
    for (at, end, read) in found {
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

/// A table of classes by ambient belongs to the gas markings before it whose own classes stand in it. Where
/// it does not fit all of them it stays unread, and each keeps its class.
pub(super) fn tables(
    text: &Text,
    placed: &mut [Placed],
    found: Vec<(usize, usize, Read<Vec<AmbientClass>>)>,
    unread: &mut Vec<Span>,
) {
    for (at, end, read) in found {
        let named = |class: &TClass| read.value.iter().any(|row| row.class == *class);
        let fits = |m: &Marking| match m.temperature.as_ref().map(|t| &t.value) {
            None => m.unknown_class.is_none(),
            Some(Temperature::Class(class)) => named(class) && m.class_celsius.is_none(),
            Some(Temperature::Range(first, last)) => named(first) && named(last),
            Some(Temperature::MaxSurface { .. } | Temperature::ByAmbient(_)) => false,
        };
        let concerned = |p: &Placed| {
            p.at < at
                && !p.marking.associated_only()
                && (p.marking.scheme == Scheme::NecDivision || p.marking.speaks_of(Atmosphere::Gas))
        };
        let mut all = placed.iter().filter(|p| concerned(p)).peekable();
        if all.peek().is_none() || !all.all(|p| fits(&p.marking)) {
            unread.extend(text.spans(at, end));
            continue;
        }
        for place in placed.iter_mut().filter(|p| concerned(p)) {
            place.marking.temperature = Some(read.clone().map(Temperature::ByAmbient));
            join(text, &mut place.marking, (at, end), &read.repairs);
        }
    }
}

pub(super) fn classes(
    text: &Text,
    placed: &mut [Placed],
    found: Vec<(usize, usize, Read<TClass>)>,
    unread: &mut Vec<Span>,
) {
    let lacks = |m: &Marking| {
        m.temperature.is_none()
            && m.unknown_class.is_none()
            && !m.associated_only()
            && (m.scheme == Scheme::NecDivision || m.speaks_of(Atmosphere::Gas))
    };
    for (at, end, read) in found {
        let mut taken = false;
        // One code behind several classes holds for each of them.
        for place in placed.iter_mut().filter(|p| p.at < at && lacks(&p.marking)) {
            place.marking.temperature = Some(read.clone().map(Temperature::Class));
            join(text, &mut place.marking, (at, end), &read.repairs);
            taken = true;
        }
        if taken {
            continue;
        }
        let old_dust = placed.iter_mut().find(|p| {
            let mut own = p.marking.own_protections().peekable();
            p.at < at
                && p.marking.dust_temperature.is_none()
                && p.marking.temperature.is_none()
                && p.marking.group.is_none()
                && own.peek().is_some()
                && own.all(|p| p.kind.value.is_old_dust())
        });
        match old_dust.filter(|_| !read.value.is_american() && read.rivals.is_empty()) {
            Some(place) => {
                join(text, &mut place.marking, (at, end), &read.repairs);
                place.marking.dust_temperature = Some(read.map(|class| DustTemperature {
                    celsius: class.limit_c(),
                    layer_mm: None,
                }));
            }
            None => unread.push(read.span),
        }
    }
}

/// Surface temperatures that stand apart: to the dust string that lacks one, else to the category
/// line with D that has no dust string, else to the gas string that lacks a class.
pub(super) fn celsius(
    text: &Text,
    placed: &mut Vec<Placed>,
    lines: &mut Vec<(usize, AtexLine)>,
    found: Vec<(usize, usize, Read<DustTemperature>)>,
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
    for (at, end, read) in found {
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
