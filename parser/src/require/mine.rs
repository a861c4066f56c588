//! What a mine asks for.

use super::Need;
use super::level::{category, level, types};
use crate::marking::Atmosphere;
use crate::place::Place;

/// The least marking in a mine.
pub(super) fn need(place: &Place, notes: &mut Vec<String>) -> Need {
    let epl = level(place, Atmosphere::Mine, notes);
    let mut order = vec!["group I".to_owned()];
    order.extend(epl.map(|epl| format!("EPL {epl} ({}) or better", category(epl))));
    Need {
        atmosphere: Atmosphere::Mine,
        epl,
        category: epl.map(category),
        group: Some("I".to_owned()),
        class: None,
        max_surface_c: None,
        dust_ip: None,
        types: epl.map(types).unwrap_or_default(),
        order: order.join(", "),
    }
}
