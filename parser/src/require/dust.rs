//! What a place with dust asks for.

use super::Need;
use super::level::{category, level, types};
use super::temperature::all_named;
use crate::marking::{Atmosphere, Group, Level};
use crate::place::{NamedSubstance, Place};

/// The least dust marking; what must be given first goes to `missing`.
pub(super) fn need(place: &Place, missing: &mut Vec<String>, notes: &mut Vec<String>) -> Need {
    let epl = level(place, Atmosphere::Dust, notes);
    let rows: Vec<_> = place
        .dusts
        .iter()
        .filter_map(NamedSubstance::dust)
        .collect();
    let by_table = !rows.is_empty() && all_named(&place.dusts);
    let from_table = rows.iter().map(|d| d.group.clone()).max();
    let group = match (&place.dust_group, from_table) {
        (Some(given), Some(table)) if by_table && table > *given => {
            notes.push(format!(
                "Group {given} is given, but the table asks for {table}, which is used."
            ));
            Some(table)
        }
        (Some(given), _) => Some(given.clone()),
        (None, Some(table)) if by_table => {
            notes.push("The dust group is that of the table: have the dust measured.".to_owned());
            Some(table)
        }
        _ => {
            notes.push("The dust group is not given: IIIC covers every dust.".to_owned());
            Some(Group::IIIC)
        }
    };
    let cloud = place.cloud_ignition_c.or_else(|| {
        rows.iter()
            .map(|d| d.cloud.low_c)
            .min_by(f64::total_cmp)
            .filter(|_| by_table)
    });
    let layer = place.layer_ignition_c.or_else(|| {
        let known = by_table && rows.iter().all(|d| d.layer.is_some());
        rows.iter()
            .filter_map(|d| d.layer)
            .map(|l| l.low_c)
            .min_by(f64::total_cmp)
            .filter(|_| known)
    });
    if by_table
        && (place.cloud_ignition_c.is_none()
            || (place.layer_ignition_c.is_none() && !place.layer_melts))
    {
        notes.push("Ignition temperatures are the lower ends of public tables: only a laboratory value of the actual dust counts.".to_owned());
    }
    if cloud.is_none() && place.max_surface_c.is_none() {
        missing
            .push("Give the ignition temperature of the dust cloud (cloud_ignition_c).".to_owned());
    }
    if layer.is_none() && !place.layer_melts && place.max_surface_c.is_none() {
        missing.push(
            "Give the ignition temperature of a 5 mm layer (layer_ignition_c), or 'melts'."
                .to_owned(),
        );
    }
    match place.layer_mm {
        Some(depth) if depth > 5.0 && place.max_surface_c.is_none() && !place.layer_melts => missing.push(format!(
            "A layer of {depth} mm: give the surface temperature that it permits (max_surface_c)."
        )),
        None if place.max_surface_c.is_none() && !place.layer_melts => {
            missing.push("Give the depth of the dust layer (layer_mm).".to_owned());
        }
        _ => {}
    }
    let limits = [
        cloud.map(|c| (c * 2.0 / 3.0).floor()),
        layer.map(|c| c - 75.0).filter(|_| !place.layer_melts),
        place.max_surface_c,
    ];
    let surface = limits.into_iter().flatten().min_by(f64::total_cmp);
    if surface.is_some() {
        notes.push("Surface: at most 2/3 of the cloud's and 75 K below the 5 mm layer's ignition temperature (IEC 60079-14 5.6.3; checked).".to_owned());
    }
    let dust_ip = epl
        .zip(group.as_ref())
        .map(|(epl, group)| match (epl.level, group) {
            (Level::B, Group::IIIA) | (Level::C, Group::IIIA | Group::IIIB) => 5,
            _ => 6,
        });
    let mut order: Vec<String> = Vec::new();
    order.extend(epl.map(|epl| format!("EPL {epl} ({}) or better", category(epl))));
    order.extend(group.as_ref().map(|g| format!("group {g} or better")));
    order.extend(surface.map(|c| format!("surface at most {c} °C")));
    order.extend(dust_ip.map(|d| format!("IP{d}X or better for type t")));
    Need {
        atmosphere: Atmosphere::Dust,
        epl,
        category: epl.map(category),
        group: group.map(|g| g.to_string()),
        class: None,
        max_surface_c: surface,
        dust_ip,
        types: epl.map(types).unwrap_or_default(),
        order: order.join(", "),
    }
}
