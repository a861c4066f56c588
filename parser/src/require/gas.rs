//! What a place with gas asks for.

use super::Need;
use super::level::{category, level, types};
use super::temperature::{ignition, least_class};
use crate::marking::{Atmosphere, Group};
use crate::place::{NamedSubstance, Place};
use crate::rules::rank;

/// The least gas marking; what must be given first goes to `missing`.
pub(super) fn need(place: &Place, missing: &mut Vec<String>, notes: &mut Vec<String>) -> Need {
    let epl = level(place, Atmosphere::Gas, notes);
    let facts: Vec<_> = place
        .gases
        .iter()
        .filter_map(NamedSubstance::gas)
        .filter_map(|g| g.group.as_ref().map(|fact| (g, fact)))
        .collect();
    let table_complete = !place.gases.is_empty() && facts.len() == place.gases.len();
    let given = place.gas_group.as_ref().filter(|g| rank(g) > 0);
    let strictest = facts
        .iter()
        .map(|(_, f)| &f.group)
        .chain(given)
        .max_by_key(|g| rank(g));
    for (gas, fact) in &facts {
        notes.push(format!(
            "{} is {} ({}).",
            gas.name,
            fact.group,
            fact.known_as()
        ));
    }
    if let (Some(given), Some(strict)) = (given, strictest)
        && rank(strict) > rank(given)
    {
        notes.push(format!(
            "Group {given} is given, but the table asks for {strict}, which is used."
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
        missing.push("Name the gas (gas) or give its group (gas_group).".to_owned());
    }
    let ignites = ignition(place);
    if let Some((_, words)) = &ignites {
        notes.push(format!("Temperature: {words}."));
    }
    let class = least_class(place, ignites.as_ref().map(|(c, _)| *c), false);
    let nothing_known =
        ignites.is_none() && place.t_class.is_none() && place.max_surface_c.is_none();
    if nothing_known {
        missing.push("Give the ignition temperature of the gas (ignition_c).".to_owned());
    } else if class.is_none() {
        notes.push("No temperature class stays below the ignition temperature: the surface temperature must be agreed in °C.".to_owned());
    }
    let mut order: Vec<String> = Vec::new();
    order.extend(epl.map(|epl| format!("EPL {epl} ({}) or better", category(epl))));
    order.extend(group.as_ref().map(|g| format!("group {g} or better")));
    order.extend(class.map(|c| format!("temperature class {c} or better")));
    order.extend(
        place
            .max_surface_c
            .map(|c| format!("surface at most {c} °C")),
    );
    Need {
        atmosphere: Atmosphere::Gas,
        epl,
        category: epl.map(category),
        group,
        class,
        max_surface_c: place.max_surface_c,
        dust_ip: None,
        types: epl.map(types).unwrap_or_default(),
        order: order.join(", "),
    }
}
