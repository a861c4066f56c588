//! What a class and division asks for.

use super::Need;
use super::level::order_surface;
use super::temperature::{all_named, ignition, least_class};
use crate::marking::{Atmosphere, Group, TClass};
use crate::place::{NamedSubstance, Place};
use crate::{Joint, Message, message};

/// The least division marking; what must be given first goes to `missing`.
pub(super) fn need(
    place: &Place,
    class: u8,
    division: u8,
    missing: &mut Vec<Message>,
    notes: &mut Vec<Message>,
) -> Need {
    let gas = class == 1;
    let given = if gas {
        &place.gas_group
    } else {
        &place.dust_group
    };
    let named: Option<Vec<char>> = if gas && !place.gases.is_empty() {
        place
            .gases
            .iter()
            .map(|g| g.gas().and_then(|s| s.nec_group))
            .collect()
    } else {
        None
    };
    let group = match (given, named) {
        (Some(letters), _) => Some(letters.to_string()),
        (None, Some(mut letters)) => {
            letters.sort_unstable();
            letters.dedup();
            Some(Group::American(letters).to_string())
        }
        _ => None,
    };
    if group.is_none() && class != 3 {
        let field = if gas { "gas_group" } else { "dust_group" };
        missing.push(message!("require-give-letter", field = field));
    }
    let ignites = if gas {
        ignition(place).map(|(c, words)| {
            notes.push(message!("require-temperature", ignition = words));
            c
        })
    } else {
        let rows: Vec<_> = place
            .dusts
            .iter()
            .filter_map(NamedSubstance::dust)
            .collect();
        let by_table = !rows.is_empty() && all_named(&place.dusts);
        let cloud = place.cloud_ignition_c.or_else(|| {
            rows.iter()
                .map(|d| d.cloud.low_c)
                .min_by(f64::total_cmp)
                .filter(|_| by_table)
        });
        let layer = place.layer_ignition_c.or_else(|| {
            rows.iter()
                .filter_map(|d| d.layer)
                .map(|l| l.low_c)
                .min_by(f64::total_cmp)
                .filter(|_| by_table)
        });
        cloud.zip(layer).map(|(a, b)| a.min(b))
    };
    if ignites.is_none() && class != 3 && place.max_surface_c.is_none() && place.t_class.is_none() {
        let field = if gas {
            "ignition_c"
        } else {
            "cloud_ignition_c, layer_ignition_c"
        };
        missing.push(message!("require-give-ignition-in", field = field));
    }
    let known =
        ignites.is_some() || class == 3 || place.max_surface_c.is_some() || place.t_class.is_some();
    let mut t_class = if known {
        least_class(place, ignites.or(Some(f64::INFINITY)), true)
    } else {
        None
    };
    if class != 1 {
        let metal = matches!(&place.dust_group, Some(Group::American(l)) if l.iter().all(|l| *l == 'E'))
            && place
                .dusts
                .iter()
                .all(|d| d.dust().is_some_and(|d| !d.organic));
        if class == 3 || !metal {
            t_class = t_class.map(|c| c.max(TClass::T3B));
            notes.push(message!("require-organic"));
        }
    }
    let numeral = ["I", "II", "III"][usize::from(class.clamp(1, 3)) - 1];
    let mut order = vec![Message::verbatim(format!(
        "Class {numeral}, Division {division}"
    ))];
    order.extend(
        group
            .as_ref()
            .map(|g| message!("order-letters", letters = g)),
    );
    order.extend(t_class.map(|c| message!("order-code", class = c)));
    order.extend(place.max_surface_c.map(order_surface));
    Need {
        atmosphere: if gas {
            Atmosphere::Gas
        } else {
            Atmosphere::Dust
        },
        epl: None,
        category: None,
        group,
        class: t_class,
        max_surface_c: place.max_surface_c,
        dust_ip: None,
        types: Vec::new(),
        order: Message::list(order, Joint::Comma),
    }
}
