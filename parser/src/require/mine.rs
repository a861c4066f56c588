//! What a mine asks for.

use super::Need;
use super::level::{category, level, order_epl, types};
use crate::marking::Atmosphere;
use crate::place::Place;
use crate::{Joint, Message, message};

/// The least marking in a mine.
pub(super) fn need(place: &Place, notes: &mut Vec<Message>) -> Need {
    let epl = level(place, Atmosphere::Mine, notes);
    let mut order = vec![message!("order-group-mines")];
    order.extend(epl.map(order_epl));
    Need {
        atmosphere: Atmosphere::Mine,
        epl,
        category: epl.map(category),
        group: Some("I".to_owned()),
        class: None,
        max_surface_c: None,
        dust_ip: None,
        types: epl.map(types).unwrap_or_default(),
        order: Message::list(order, Joint::Comma),
    }
}
