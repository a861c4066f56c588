//! The least level and the types of protection that give it.

use super::TypeOption;
use crate::marking::{Atmosphere, Epl, ProtectionType};
use crate::place::Place;
use crate::tables::{TYPES, ZONES};
use crate::{Joint, Message, message, type_name};

pub(super) fn level(
    place: &Place,
    atmosphere: Atmosphere,
    notes: &mut Vec<Message>,
) -> Option<Epl> {
    if let Some(epl) = place.epl.filter(|e| e.atmosphere == atmosphere) {
        notes.push(message!("require-risk-assessment", epl = epl));
        return Some(epl);
    }
    place.zone_of(atmosphere)?.least_epl()
}

pub(super) fn category(epl: Epl) -> String {
    let row = ZONES
        .iter()
        .find(|row| row.atmosphere == epl.atmosphere && row.level == epl.level);
    let number = row.map_or_else(String::new, |row| row.category.to_string());
    match epl.atmosphere {
        Atmosphere::Gas => format!("II {number} G"),
        Atmosphere::Dust => format!("II {number} D"),
        Atmosphere::Mine => format!("I {number}"),
    }
}

pub(super) fn order_epl(epl: Epl) -> Message {
    message!("order-epl", epl = epl, category = category(epl))
}

/// `IIB`, or `IIB+H2 or IIC`, which is two.
pub(super) fn order_group(group: &str) -> Message {
    let groups = group.split(" or ").map(Message::verbatim);
    message!("order-group", group = Message::list(groups, Joint::Or))
}

pub(super) fn order_surface(celsius: f64) -> Message {
    message!("order-surface", celsius = celsius)
}

/// Types of the present standards that give at least the level; withdrawn ones, rooms and the
/// letters of EN 13463 are left out, and `da`, which is for gas sensors alone.
pub(super) fn types(need: Epl) -> Vec<TypeOption> {
    let mut out: Vec<TypeOption> = TYPES
        .iter()
        .filter(|row| {
            let withdrawn = matches!(
                row.kind,
                ProtectionType::NonSparking
                    | ProtectionType::EnergyLimited
                    | ProtectionType::TypeN
                    | ProtectionType::SimplifiedPressurizationEn
                    | ProtectionType::SimplifiedPressurizationIec
                    | ProtectionType::Pressurization
                    | ProtectionType::PressurizedRoom
                    | ProtectionType::VentilatedRoom
            ) || row.kind.is_old_dust()
                || row.kind.is_en_13463();
            let lettered =
                !row.level.is_empty() || matches!(row.kind, ProtectionType::PowderFilling);
            let n = matches!(
                row.kind,
                ProtectionType::NonIncendive | ProtectionType::RestrictedBreathing
            );
            let plain_n = n && row.level.is_empty();
            let sensor = row.kind == ProtectionType::Flameproof && row.level == "a";
            let doubled = row.kind == ProtectionType::PowderFilling && row.level == "b";
            !withdrawn && !sensor && !doubled && (plain_n || (lettered && !n))
        })
        .filter_map(|row| {
            let epl = Epl::new(need.atmosphere, row.level_in(need.atmosphere)?);
            epl.covers(need).then(|| TypeOption {
                symbol: format!("{}{}", row.kind.symbol(), row.level),
                name: type_name(row.kind),
                standard: row.standard,
                epl,
            })
        })
        .collect();
    out.sort_by_key(|t| std::cmp::Reverse(t.epl.level));
    out
}
