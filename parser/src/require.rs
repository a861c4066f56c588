//! The other way round: the least marking that suits a place, for whoever specifies or buys.

mod american;
mod dust;
mod gas;
mod level;
mod mine;
mod temperature;

use crate::marking::{Ambient, Atmosphere, Epl, TClass};
use crate::place::{Place, Zone};
use crate::{Joint, Message, message, signed};

/// A type of protection that gives the level asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct TypeOption {
    /// As marked today: `db`, `nC`, `pxb`.
    pub symbol: String,
    /// What it is called.
    pub name: Message,
    /// Its standard.
    pub standard: &'static str,
    /// EPL that it gives.
    pub epl: Epl,
}

/// What one atmosphere of the place asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// Gas, dust or mine.
    pub atmosphere: Atmosphere,
    /// Least EPL; none at a class and division and where the zone is not given.
    pub epl: Option<Epl>,
    /// The same as a group and category line: `II 2 G`.
    pub category: Option<String>,
    /// Least equipment group: `IIB`, `IIB+H2 or IIC`, `IIIC`, letters at a class and division.
    pub group: Option<String>,
    /// Least temperature class, for gas and for a class and division.
    pub class: Option<TClass>,
    /// Highest surface temperature in °C.
    pub max_surface_c: Option<f64>,
    /// First IP digit for types that keep dust out by their enclosure.
    pub dust_ip: Option<u8>,
    /// Types of protection that give the level, weakest level first.
    pub types: Vec<TypeOption>,
    /// The marking part of a purchase order.
    pub order: Message,
}

/// What a place asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Requirement {
    /// One an atmosphere; empty in a non-hazardous place.
    pub needs: Vec<Need>,
    /// Ambient range that the item must hold.
    pub ambient: Ambient,
    /// IP code that the place itself asks for.
    pub ip: Option<String>,
    /// A line ready for a purchase order.
    pub order_line: Message,
    /// Facts that must be given before anything is ordered, each a sentence.
    pub missing: Vec<Message>,
    /// Where a value comes from, which defaults were used, what to see to.
    pub notes: Vec<Message>,
}

/// The least marking for a place.
pub fn require(place: &Place) -> Requirement {
    let mut missing = Vec::new();
    let mut notes = Vec::new();
    if place.zone.is_none() {
        missing.push(message!("next-give-zone"));
    }
    let needs: Vec<Need> = place
        .atmospheres()
        .into_iter()
        .map(|atmosphere| match (place.division(), atmosphere) {
            (Some((class, division)), _) => {
                american::need(place, class, division, &mut missing, &mut notes)
            }
            (None, Atmosphere::Gas) => gas::need(place, &mut missing, &mut notes),
            (None, Atmosphere::Dust) => dust::need(place, &mut missing, &mut notes),
            (None, Atmosphere::Mine) => mine::need(place, &mut notes),
        })
        .collect();
    if needs.len() > 1 {
        notes.push(message!("require-mixture"));
    }
    let ambient = place.ambient.unwrap_or(Ambient::DEFAULT);
    if place.ambient.is_none() {
        notes.push(message!(
            "note-no-ambient-given",
            low = signed(ambient.low_c),
            high = signed(ambient.high_c)
        ));
    }
    let digit = |d: Option<u8>| d.map_or_else(|| "X".to_owned(), |d| d.to_string());
    let ip = place
        .ip
        .map(|(first, second)| format!("IP{}{}", digit(first), digit(second)));
    let mut parts: Vec<Message> = needs.iter().map(|n| n.order.clone()).collect();
    if place.zone == Some(Zone::NonHazardous) {
        parts.push(message!("order-no-protection"));
    }
    parts.push(message!(
        "order-ambient",
        low = signed(ambient.low_c),
        high = signed(ambient.high_c)
    ));
    parts.extend(ip.iter().map(Message::verbatim));
    if !needs.is_empty() {
        parts.push(message!("order-papers"));
    }
    Requirement {
        needs,
        ambient,
        ip,
        order_line: Message::list(parts, Joint::Semicolon),
        missing,
        notes,
    }
}
