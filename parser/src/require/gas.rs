//! What a place with gas asks for.

use super::Need;
use super::level::{category, level, order_epl, order_group, order_surface, types};
use super::temperature::{ignition, least_class};
use crate::marking::{Atmosphere, Group};
use crate::place::{NamedSubstance, Place};
use crate::{Joint, Message, message};

/// The least gas marking; what must be given first goes to `missing`.
pub(super) fn need(place: &Place, missing: &mut Vec<Message>, notes: &mut Vec<Message>) -> Need {
    let epl = level(place, Atmosphere::Gas, notes);
    let facts: Vec<_> = place
        .gases
        .iter()
        .filter_map(NamedSubstance::gas)
        .filter_map(|g| g.group.as_ref().map(|fact| (g, fact)))
        .collect();
    let table_complete = !place.gases.is_empty() && facts.len() == place.gases.len();
    let given = place.gas_group.as_ref().filter(|g| g.rank() > 0);
    let strictest = facts
        .iter()
        .map(|(_, f)| &f.group)
        .chain(given)
        .max_by_key(|g| g.rank());
    for (gas, fact) in &facts {
        notes.push(message!(
            "require-group-of-gas",
            gas = gas.said(),
            group = &fact.group,
            known = fact.known_as()
        ));
    }
    if let (Some(given), Some(strict)) = (given, strictest)
        && strict.rank() > given.rank()
    {
        notes.push(message!(
            "require-stricter-group",
            given = given,
            table = strict
        ));
    }
    let group = strictest
        .filter(|_| given.is_some() || table_complete)
        .map(|strict| {
            let only_hydrogen = *strict == Group::IIC
                && given.is_none_or(|g| {
                    *g != Group::IIC || facts.iter().any(|(g, _)| g.name == "hydrogen")
                })
                && table_complete
                && facts
                    .iter()
                    .all(|(g, f)| f.group != Group::IIC || g.name == "hydrogen");
            if only_hydrogen || *strict == Group::IIBPlusH2 {
                "IIB+H2 or IIC".to_owned()
            } else {
                strict.to_string()
            }
        });
    if group.is_none() {
        missing.push(message!("next-name-gas-or-group"));
    }
    let ignites = ignition(place);
    if let Some((_, words)) = &ignites {
        notes.push(message!("require-temperature", ignition = words));
    }
    let class = least_class(place, ignites.as_ref().map(|(c, _)| *c), false);
    let nothing_known =
        ignites.is_none() && place.t_class.is_none() && place.max_surface_c.is_none();
    if nothing_known {
        missing.push(message!("require-give-ignition"));
    } else if class.is_none() {
        notes.push(message!("require-no-class"));
    }
    let mut order: Vec<Message> = Vec::new();
    order.extend(epl.map(order_epl));
    order.extend(group.as_deref().map(order_group));
    order.extend(class.map(|c| message!("order-class", class = c)));
    order.extend(place.max_surface_c.map(order_surface));
    Need {
        atmosphere: Atmosphere::Gas,
        epl,
        category: epl.map(category),
        group,
        class,
        max_surface_c: place.max_surface_c,
        dust_ip: None,
        types: epl.map(types).unwrap_or_default(),
        order: Message::list(order, Joint::Comma),
    }
}
