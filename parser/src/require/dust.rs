//! What a place with dust asks for.

use super::Need;
use super::level::{category, level, order_epl, order_group, order_surface, types};
use super::temperature::all_named;
use crate::marking::{Atmosphere, Group, Level, ProtectionType};
use crate::place::{NamedSubstance, Place};
use crate::tables::{IP_FOR_DUST, IpRow};
use crate::{Joint, Message, message};

/// The least dust marking; what must be given first goes to `missing`.
pub(super) fn need(place: &Place, missing: &mut Vec<Message>, notes: &mut Vec<Message>) -> Need {
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
            notes.push(message!(
                "require-stricter-group",
                given = given,
                table = &table
            ));
            Some(table)
        }
        (Some(given), _) => Some(given.clone()),
        (None, Some(table)) if by_table => {
            notes.push(message!("require-dust-group-table"));
            Some(table)
        }
        _ => {
            notes.push(message!("require-dust-group-default"));
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
        notes.push(message!("require-dust-tables"));
    }
    if cloud.is_none() && place.max_surface_c.is_none() {
        missing.push(message!(
            "next-give-dust-ignition",
            what = message!("dust-cloud"),
            field = "cloud_ignition_c"
        ));
    }
    if layer.is_none() && !place.layer_melts && place.max_surface_c.is_none() {
        missing.push(message!("next-give-layer-ignition"));
    }
    match place.layer_mm {
        Some(depth) if depth > 5.0 && place.max_surface_c.is_none() && !place.layer_melts => {
            missing.push(message!("require-thick-layer", depth = depth));
        }
        None if place.max_surface_c.is_none() && !place.layer_melts => {
            missing.push(message!("next-give-depth"));
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
        notes.push(message!("require-dust-surface"));
    }
    let dust_ip = epl
        .zip(group.as_ref())
        .map(|(epl, group)| dust_tightness(epl.level, group));
    let mut order: Vec<Message> = Vec::new();
    order.extend(epl.map(order_epl));
    order.extend(group.as_ref().map(|g| order_group(&g.to_string())));
    order.extend(surface.map(order_surface));
    order.extend(dust_ip.map(|d| message!("order-dust-ip", digit = d)));
    Need {
        atmosphere: Atmosphere::Dust,
        epl,
        category: epl.map(category),
        group: group.map(|g| g.to_string()),
        class: None,
        max_surface_c: surface,
        dust_ip,
        types: epl.map(types).unwrap_or_default(),
        order: Message::list(order, Joint::Comma),
    }
}

/// First figure of the IP code that protection by enclosure needs.
fn dust_tightness(level: Level, group: &Group) -> u8 {
    let level = level.letter().to_string();
    IpRow::of(IP_FOR_DUST, ProtectionType::DustEnclosure, &level, group).map_or(6, |row| row.solids)
}
