//! Groups of gas and dust, under IEC rules and at a class and division.

use super::{Reader, given};
use crate::marking::{Atmosphere, Group};
use crate::place::{Place, PlaceFields, Zone};

impl Reader {
    pub(super) fn groups(&mut self, fields: &PlaceFields, place: &mut Place) {
        let division = place.division();
        let mine = matches!(place.zone, Some(Zone::MineM1 | Zone::MineM2));
        if let Some(text) = given(fields.gas_group.as_ref()) {
            match group(text) {
                Some(g @ (Group::IIA | Group::IIB | Group::IIBPlusH2 | Group::IIC))
                    if division.is_none() =>
                {
                    place.gas_group = Some(g);
                }
                Some(Group::I) if mine => place.gas_group = Some(Group::I),
                Some(g @ Group::American(_)) if g.atmosphere() == Atmosphere::Gas => {
                    match division {
                        Some((1, _)) => place.gas_group = Some(g),
                        None if place.zone.is_none() => place.gas_group = Some(g),
                        None => self.refuse(
                            "gas_group",
                            text,
                            format!(
                                "gas_group: letter '{text}' belongs to a class and division; \
                                 with a zone write IIA, IIB, IIB+H2 or IIC"
                            ),
                        ),
                        Some(_) => self.refuse(
                            "gas_group",
                            text,
                            format!(
                                "gas_group: '{text}' is a gas group, but the place is no \
                                 Class I; Class II takes E, F or G, Class III none"
                            ),
                        ),
                    }
                }
                Some(g @ Group::American(_)) => match division {
                    // The flag takes A to G; E to G are dusts.
                    Some((2, _)) => place.dust_group = Some(g),
                    None if place.zone.is_none() => place.dust_group = Some(g),
                    _ => self.refuse(
                        "gas_group",
                        text,
                        format!("gas_group: '{text}' is a dust group of Class II, but the place is not Class II"),
                    ),
                },
                Some(Group::IIA | Group::IIB | Group::IIBPlusH2 | Group::IIC) => self.refuse(
                    "gas_group",
                    text,
                    format!(
                        "gas_group: '{text}' belongs to a zone; with a class and division \
                         write A, B, C or D (E, F or G for dust)"
                    ),
                ),
                Some(Group::IIIA | Group::IIIB | Group::IIIC) => self.refuse(
                    "gas_group",
                    text,
                    format!("gas_group: '{text}' is a dust group; give it as dust_group"),
                ),
                _ => self.refuse(
                    "gas_group",
                    text,
                    format!(
                        "gas_group: '{text}' is no gas group; write IIA, IIB, IIB+H2 or IIC, \
                         or A to D with a class and division"
                    ),
                ),
            }
        }
        if let Some(text) = given(fields.dust_group.as_ref()) {
            match group(text) {
                Some(g @ (Group::IIIA | Group::IIIB | Group::IIIC)) if division.is_none() => {
                    place.dust_group = Some(g);
                }
                Some(g @ Group::American(_))
                    if g.atmosphere() == Atmosphere::Dust
                        && (matches!(division, Some((2, _))) || place.zone.is_none()) =>
                {
                    place.dust_group = Some(g);
                }
                Some(Group::IIIA | Group::IIIB | Group::IIIC) => self.refuse(
                    "dust_group",
                    text,
                    format!("dust_group: '{text}' belongs to a zone; with Class II write E, F or G, with Class III leave it out"),
                ),
                _ => self.refuse(
                    "dust_group",
                    text,
                    format!(
                        "dust_group: '{text}' is no dust group; write IIIA, IIIB or IIIC, \
                         or E, F or G with Class II"
                    ),
                ),
            }
        }
    }
}

/// Reads a group as people write it: `IIB`, `ii b`, `IIB+H2`, `IIB + H2`, `D`, `Group C, D`.
fn group(text: &str) -> Option<Group> {
    let upper = text.to_uppercase();
    let tight: String = upper
        .replace('₂', "2")
        .replace("GROUPS", "")
        .replace("GROUP", "")
        .chars()
        .filter(|c| !c.is_whitespace())
        .collect();
    Some(match tight.as_str() {
        "I" => Group::I,
        "IIA" => Group::IIA,
        "IIB" => Group::IIB,
        "IIB+H2" => Group::IIBPlusH2,
        "IIC" => Group::IIC,
        "IIIA" => Group::IIIA,
        "IIIB" => Group::IIIB,
        "IIIC" => Group::IIIC,
        letters => {
            let letters: Vec<char> = letters.chars().filter(|c| *c != ',').collect();
            let all = |range: std::ops::RangeInclusive<char>| {
                !letters.is_empty() && letters.iter().all(|l| range.contains(l))
            };
            if !all('A'..='D') && !all('E'..='G') {
                return None;
            }
            Group::American(letters)
        }
    })
}
