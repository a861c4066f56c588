//! The place that equipment is to stand in.

mod fields;
mod zone;

pub use zone::UnknownZone;

use crate::marking::{Ambient, Atmosphere, Epl, Group, TClass};
use crate::substance::{Dust, Substance, dusts, gases};
use crate::tables::ZONES;

/// The classification of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Zone {
    /// Gas: present continuously, for long or often.
    Zone0,
    /// Gas: likely in normal operation.
    Zone1,
    /// Gas: not likely, and then only for a short time.
    Zone2,
    /// Dust cloud: present continuously, for long or often.
    Zone20,
    /// Dust cloud: likely in normal operation.
    Zone21,
    /// Dust cloud: not likely, and then only for a short time.
    Zone22,
    /// Mine, equipment stays energised in firedamp.
    MineM1,
    /// Mine, equipment is switched off in firedamp.
    MineM2,
    /// No explosive atmosphere.
    NonHazardous,
    /// North American class (1 to 3) and division (1 or 2).
    Division {
        /// 1 gas, 2 dust, 3 fibres.
        class: u8,
        /// 1 or 2.
        division: u8,
    },
}

/// A place as text, field by field, the way flags, queries, site files and JSON bring it.
///
/// Names and forms are those of the command line: `zone` is `0` … `22`, `mine-M1`,
/// `non-hazardous` or `Class I, Division 1`, or a gas and a dust zone as `1 + 21`;
/// `ambient_c` is `LO..HI`; `layer_ignition_c` may be `melts`; numbers are decimal.
/// A blank field counts as not given.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
#[expect(missing_docs, reason = "each field is the flag of the same name")]
pub struct PlaceFields {
    pub zone: Option<String>,
    pub epl: Option<String>,
    pub gas: Vec<String>,
    pub gas_group: Option<String>,
    pub ignition_c: Option<String>,
    pub t_class: Option<String>,
    pub dust: Vec<String>,
    pub dust_group: Option<String>,
    pub cloud_ignition_c: Option<String>,
    pub layer_ignition_c: Option<String>,
    pub layer_mm: Option<String>,
    pub max_surface_c: Option<String>,
    pub ambient_c: Option<String>,
    pub ip: Option<String>,
}

/// One field of a place that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceError {
    /// Name of the field, as in [`PlaceFields`].
    pub field: &'static str,
    /// What was given.
    pub value: String,
    /// What is wrong and what to write instead, a sentence.
    pub message: String,
}

/// What is known of a place. Nothing is assumed here; the rules state the defaults they use.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Place {
    /// Zone, mine, division.
    pub zone: Option<Zone>,
    /// Dust zone beside a gas zone, where both atmospheres are present (`1 + 21`).
    pub dust_zone: Option<Zone>,
    /// EPL that a documented risk assessment asks for instead of the zone's.
    pub epl: Option<Epl>,
    /// Gases and vapours by name, as the user wrote them, each with its row where the table has it.
    pub gases: Vec<NamedSubstance>,
    /// Group that the user gave.
    pub gas_group: Option<Group>,
    /// Auto-ignition temperature that the user gave, °C.
    pub ignition_c: Option<f64>,
    /// Temperature class that the user asks for.
    pub t_class: Option<TClass>,
    /// Dusts by name.
    pub dusts: Vec<NamedSubstance>,
    /// Dust group that the user gave: IIIA to IIIC, or American E to G.
    pub dust_group: Option<Group>,
    /// Ignition temperature of the cloud, °C.
    pub cloud_ignition_c: Option<f64>,
    /// Ignition temperature of a 5 mm layer, °C.
    pub layer_ignition_c: Option<f64>,
    /// True where the user says that the layer melts before it ignites (`melts`).
    pub layer_melts: bool,
    /// Depth of the layer, mm.
    pub layer_mm: Option<f64>,
    /// Highest surface temperature that the place permits, where the site states it so, °C.
    pub max_surface_c: Option<f64>,
    /// Ambient range of the place.
    pub ambient: Option<Ambient>,
    /// IP that the place asks for: first and second digit, none for X.
    pub ip: Option<(Option<u8>, Option<u8>)>,
}

/// A substance as named by the user.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedSubstance {
    /// As given.
    pub name: String,
    /// Index into the bundled table of gases or dusts; none where the table does not know it.
    pub row: Option<usize>,
}

impl NamedSubstance {
    /// The row of the table of gases.
    pub fn gas(&self) -> Option<&'static Substance> {
        self.row.and_then(|row| gases().get(row))
    }

    /// The row of the table of dusts.
    pub fn dust(&self) -> Option<&'static Dust> {
        self.row.and_then(|row| dusts().get(row))
    }
}

impl Zone {
    /// The atmosphere that the zone speaks of; none where nothing explosive is present.
    pub fn atmosphere(self) -> Option<Atmosphere> {
        match self {
            Self::Division { class: 1, .. } => Some(Atmosphere::Gas),
            Self::Division { .. } => Some(Atmosphere::Dust),
            _ => self.least_epl().map(|epl| epl.atmosphere),
        }
    }

    /// The least EPL; none for a division and where nothing explosive is present.
    ///
    /// **Source:** `parser/data/zones.csv`: IEC 60079-14:2013 5.3, 1999/92/EC Annex II B (checked).
    pub fn least_epl(self) -> Option<Epl> {
        let row = ZONES.iter().find(|row| row.zone == self)?;
        Some(Epl::new(row.atmosphere, row.level))
    }
}

impl Place {
    /// The atmospheres present, in the order gas, dust, mine: those of the zones and those
    /// that a named substance or a value speaks of. Empty in a non-hazardous place.
    pub fn atmospheres(&self) -> Vec<Atmosphere> {
        if self.zone == Some(Zone::NonHazardous) {
            return Vec::new();
        }
        let zones: Vec<Atmosphere> = [self.zone, self.dust_zone]
            .into_iter()
            .flatten()
            .filter_map(Zone::atmosphere)
            .collect();
        if zones.contains(&Atmosphere::Mine) {
            return zones;
        }
        let asked = self.epl.map(|epl| epl.atmosphere);
        let gas = zones.contains(&Atmosphere::Gas)
            || self.speaks_of_gas()
            || asked == Some(Atmosphere::Gas);
        let dust = zones.contains(&Atmosphere::Dust)
            || self.speaks_of_dust()
            || asked == Some(Atmosphere::Dust);
        let mine = zones.is_empty() && asked == Some(Atmosphere::Mine);
        [
            (gas, Atmosphere::Gas),
            (dust, Atmosphere::Dust),
            (mine, Atmosphere::Mine),
        ]
        .into_iter()
        .filter_map(|(present, atmosphere)| present.then_some(atmosphere))
        .collect()
    }

    /// The zone that speaks of one atmosphere.
    pub fn zone_of(&self, atmosphere: Atmosphere) -> Option<Zone> {
        [self.zone, self.dust_zone]
            .into_iter()
            .flatten()
            .find(|zone| zone.atmosphere() == Some(atmosphere))
    }

    /// The North American class and division, where the place is classified so.
    pub fn division(&self) -> Option<(u8, u8)> {
        match self.zone {
            Some(Zone::Division { class, division }) => Some((class, division)),
            _ => None,
        }
    }

    /// True if anything given speaks of gas or vapour.
    pub fn speaks_of_gas(&self) -> bool {
        !self.gases.is_empty()
            || self.gas_group.is_some()
            || self.ignition_c.is_some()
            || self.t_class.is_some()
    }

    /// True if anything given speaks of dust.
    pub fn speaks_of_dust(&self) -> bool {
        !self.dusts.is_empty()
            || self.dust_group.is_some()
            || self.cloud_ignition_c.is_some()
            || self.layer_ignition_c.is_some()
            || self.layer_melts
            || self.layer_mm.is_some()
    }
}
