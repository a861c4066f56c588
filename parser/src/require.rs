//! The other way round: the least marking that suits a place, for whoever specifies or buys.

use crate::marking::{Ambient, Atmosphere, Epl, Group, Level, ProtectionType, TClass};
use crate::place::{NamedSubstance, Place, Zone};
use crate::rules::{rank, signed};
use crate::tables::TYPES;

/// A type of protection that gives the level asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TypeOption {
    /// As marked today: `db`, `nC`, `pxb`.
    pub symbol: String,
    /// What it is called.
    pub name: &'static str,
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
    pub order: String,
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
    pub order_line: String,
    /// Facts that must be given before anything is ordered, each a sentence.
    pub missing: Vec<String>,
    /// Where a value comes from, which defaults were used, what to see to.
    pub notes: Vec<String>,
}

/// The least marking for a place.
pub fn require(place: &Place) -> Requirement {
    let mut missing = Vec::new();
    let mut notes = Vec::new();
    if place.zone.is_none() {
        missing.push("Give the zone of the place (zone).".to_owned());
    }
    let needs: Vec<Need> = place
        .atmospheres()
        .into_iter()
        .map(|atmosphere| match (place.division(), atmosphere) {
            (Some((class, division)), _) => {
                class_division(place, class, division, &mut missing, &mut notes)
            }
            (None, Atmosphere::Gas) => gas(place, &mut missing, &mut notes),
            (None, Atmosphere::Dust) => dust(place, &mut missing, &mut notes),
            (None, Atmosphere::Mine) => mine(place),
        })
        .collect();
    if needs.len() > 1 {
        notes.push(
            "Gas and dust together: the mixture of both must be assessed (IEC 60079-14; memory)."
                .to_owned(),
        );
    }
    let ambient = place.ambient.unwrap_or(Ambient::DEFAULT);
    if place.ambient.is_none() {
        notes.push(format!(
            "The ambient range is not given: {} to {} is taken.",
            signed(ambient.low_c),
            signed(ambient.high_c)
        ));
    }
    let digit = |d: Option<u8>| d.map_or_else(|| "X".to_owned(), |d| d.to_string());
    let ip = place
        .ip
        .map(|(first, second)| format!("IP{}{}", digit(first), digit(second)));
    let mut parts: Vec<String> = needs.iter().map(|n| n.order.clone()).collect();
    if place.zone == Some(Zone::NonHazardous) {
        parts.push("no explosion protection asked for".to_owned());
    }
    parts.push(format!(
        "ambient {} to {}",
        signed(ambient.low_c),
        signed(ambient.high_c)
    ));
    parts.extend(ip.clone());
    if !needs.is_empty() {
        parts.push("with certificate, declaration of conformity and instructions".to_owned());
    }
    Requirement {
        needs,
        ambient,
        ip,
        order_line: parts.join("; "),
        missing,
        notes,
    }
}

fn level(place: &Place, atmosphere: Atmosphere, notes: &mut Vec<String>) -> Option<Epl> {
    if let Some(epl) = place.epl.filter(|e| e.atmosphere == atmosphere) {
        notes.push(format!(
            "EPL {epl} is that of the risk assessment, which must be documented."
        ));
        return Some(epl);
    }
    place.zone_of(atmosphere)?.least_epl()
}

fn category(epl: Epl) -> String {
    let number = match epl.level {
        Level::A => 1,
        Level::B => 2,
        Level::C => 3,
    };
    match epl.atmosphere {
        Atmosphere::Gas => format!("II {number} G"),
        Atmosphere::Dust => format!("II {number} D"),
        Atmosphere::Mine => format!("I M{number}"),
    }
}

/// Types of the present standards that give at least the level; withdrawn ones, rooms and the
/// letters of EN 13463 are left out, and `da`, which is for gas sensors alone.
fn types(need: Epl) -> Vec<TypeOption> {
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
            let level = match need.atmosphere {
                Atmosphere::Gas => row.gas,
                Atmosphere::Dust => row.dust,
                Atmosphere::Mine => row.mine,
            }?;
            let epl = Epl::new(need.atmosphere, level);
            epl.covers(need).then(|| TypeOption {
                symbol: format!("{}{}", row.kind.symbol(), row.level),
                name: row.name,
                standard: row.standard,
                epl,
            })
        })
        .collect();
    out.sort_by_key(|t| std::cmp::Reverse(t.epl.level));
    out
}

fn all_named(substances: &[NamedSubstance]) -> bool {
    substances.iter().all(|s| s.row.is_some())
}

/// Lowest ignition temperature of a place with gas, and its words.
fn ignition(place: &Place) -> Option<(f64, String)> {
    if let Some(celsius) = place.ignition_c {
        return Some((
            celsius,
            format!("ignition temperature {celsius} °C as given"),
        ));
    }
    if place.gases.is_empty() || !all_named(&place.gases) {
        return None;
    }
    let mut lowest: Option<(f64, String)> = None;
    for gas in place.gases.iter().filter_map(NamedSubstance::gas) {
        let value = gas.lowest_ignition()?;
        if lowest.as_ref().is_none_or(|(c, _)| value.value < *c) {
            lowest = Some((
                value.value,
                format!("{} ignites at {}", gas.name, gas.ignition_shown()),
            ));
        }
    }
    lowest
}

/// The hottest class of a family that stays below the ignition temperature and within what
/// the site permits.
fn least_class(place: &Place, ignites: Option<f64>, american: bool) -> Option<TClass> {
    let most = [place.t_class.map(TClass::limit_c), place.max_surface_c]
        .into_iter()
        .flatten()
        .min_by(f64::total_cmp);
    if ignites.is_none() && most.is_none() {
        return None;
    }
    TClass::ALL
        .into_iter()
        .filter(|class| american || !class.is_american())
        .find(|class| {
            ignites.is_none_or(|c| class.limit_c() < c) && most.is_none_or(|m| class.limit_c() <= m)
        })
}

fn gas(place: &Place, missing: &mut Vec<String>, notes: &mut Vec<String>) -> Need {
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

fn dust(place: &Place, missing: &mut Vec<String>, notes: &mut Vec<String>) -> Need {
    let epl = level(place, Atmosphere::Dust, notes);
    let rows: Vec<_> = place
        .dusts
        .iter()
        .filter_map(NamedSubstance::dust)
        .collect();
    let by_table = !rows.is_empty() && all_named(&place.dusts);
    let from_table = rows.iter().map(|d| d.group.clone()).max();
    let group = match (&place.dust_group, from_table) {
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

fn mine(place: &Place) -> Need {
    let epl = place
        .zone_of(Atmosphere::Mine)
        .and_then(Zone::least_epl)
        .or(place.epl);
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

fn class_division(
    place: &Place,
    class: u8,
    division: u8,
    missing: &mut Vec<String>,
    notes: &mut Vec<String>,
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
        missing.push(format!("Give the group letter of the place ({field})."));
    }
    let ignites = if gas {
        ignition(place).map(|(c, words)| {
            notes.push(format!("Temperature: {words}."));
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
        missing.push(format!("Give the ignition temperature ({field})."));
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
            notes.push(
                "At most 165 °C for organic dust and fibres (NEC 500.8(D); checked).".to_owned(),
            );
        }
    }
    let numeral = ["I", "II", "III"][usize::from(class.clamp(1, 3)) - 1];
    let mut order = vec![format!("Class {numeral}, Division {division}")];
    order.extend(group.as_ref().map(|g| format!("Group {g}")));
    order.extend(t_class.map(|c| format!("T code {c} or better")));
    order.extend(
        place
            .max_surface_c
            .map(|c| format!("surface at most {c} °C")),
    );
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
        order: order.join(", "),
    }
}
