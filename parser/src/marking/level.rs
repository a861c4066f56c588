//! What level a marking reaches, printed or inferred.

use super::{
    Atmosphere, Category, CategoryToken, Epl, Level, Marking, Plate, Protection, ProtectionType,
    Scheme,
};
use crate::tables::{TypeRow, ZONES, ZoneRow};

/// The EPL that a type of protection gives by itself.
///
/// `h`, `op` and `s` are worth what is printed; the letters of EN 13463 what the category says.
/// A type that is not defined for the atmosphere keeps the one it is defined for; a level that
/// does not exist is worth nothing.
///
/// **Source:** `parser/data/types.csv`, row by row; IEC 60079-14 5.4.
pub(crate) fn worth(
    kind: ProtectionType,
    level: &str,
    atmosphere: Option<Atmosphere>,
    printed: Option<Epl>,
    category: Option<Category>,
) -> Option<Epl> {
    let by_category = || {
        Some(Epl::new(atmosphere?, category?.level()))
            .filter(|e| e.atmosphere != Atmosphere::Mine || e.level != Level::C)
    };
    match kind {
        ProtectionType::OpticalInherentlySafe
        | ProtectionType::OpticalProtected
        | ProtectionType::OpticalInterlock
        | ProtectionType::NonElectrical
        | ProtectionType::TraceHeating => return printed.or_else(by_category),
        ProtectionType::Special if level.is_empty() => return printed,
        kind if kind.is_en_13463() => return by_category(),
        _ => {}
    }
    let row = TypeRow::of(kind, level)?;
    let of = |atmosphere| {
        row.level_in(atmosphere)
            .map(|level| Epl::new(atmosphere, level))
    };
    atmosphere
        .and_then(of)
        .or_else(|| of(Atmosphere::Gas))
        .or_else(|| of(Atmosphere::Dust))
        .or_else(|| of(Atmosphere::Mine))
}

/// True if the words of a text say that the plate is that of a room, the one use of `pb` to `vc`.
pub(crate) fn names_a_room(text: &str) -> bool {
    const WORDS: [&str; 7] = [
        "room",
        "raum",
        "local",
        "cabin",
        "shelter",
        "container",
        "house",
    ];
    let text = text.to_lowercase();
    WORDS.iter().any(|word| text.contains(word))
}

impl Plate {
    /// True if words on the plate say that it is a gas sensor or detector, the one use of `da`.
    pub(crate) fn names_a_sensor(&self) -> bool {
        const WORDS: [&str; 6] = [
            "sensor",
            "detector",
            "detecteur",
            "détecteur",
            "rivelatore",
            "sensore",
        ];
        self.lines.iter().any(|line| {
            let line = line.to_lowercase();
            WORDS.iter().any(|word| line.contains(word))
        })
    }
}

impl Marking {
    /// EPLs as printed outside brackets or, where none is, the weaker of type and category,
    /// one an atmosphere. Empty for associated apparatus and where it cannot be told.
    pub fn levels(&self) -> Vec<Epl> {
        if self.associated_only() {
            return Vec::new();
        }
        if !self.epl.is_empty() {
            return self.epl.iter().map(|e| e.value).collect();
        }
        self.atmospheres()
            .into_iter()
            .filter_map(|a| self.inferred(a))
            .collect()
    }

    /// The weaker reading for one atmosphere: the weakest of printed EPL, type of protection
    /// and category, whether or not they agree. Two entries for a boundary wall, one a side,
    /// strongest first; empty where it cannot be told.
    pub fn weaker_sides(&self, atmosphere: Atmosphere) -> Vec<Epl> {
        if self.associated_only() || !self.atmospheres().contains(&atmosphere) {
            return Vec::new();
        }
        if let Some(line) = &self.atex
            && !line_speaks_of(line, atmosphere)
        {
            return Vec::new();
        }
        let mut sides: Vec<Epl> = if self.epl.is_empty() {
            let sides = self.category_sides(atmosphere);
            match self.inferred(atmosphere) {
                Some(level) if sides.len() < 2 => vec![level],
                Some(_) => sides,
                None => Vec::new(),
            }
        } else {
            let printed: Vec<Epl> = self
                .epl
                .iter()
                .map(|e| e.value)
                .filter(|e| e.atmosphere == atmosphere)
                .collect();
            let categories = self.category_sides(atmosphere);
            let Some(by_types) = self.by_types(atmosphere, printed.first().copied()) else {
                return Vec::new();
            };
            printed
                .iter()
                .enumerate()
                .map(|(index, epl)| {
                    let mut level = epl.level;
                    if let Some(category) = categories.get(index).or(categories.last()) {
                        level = level.weaker(category.level);
                    }
                    // The stronger side of a wall may rest on the wall itself, so that a type of
                    // its weaker side is enough for both: `Ex db IIC T6 Ga/Gb`. A type weaker than
                    // that bounds every side.
                    if printed.len() == 1 {
                        level = level.weaker(by_types);
                    } else if let Some(best) = self.strongest_type(atmosphere)
                        && printed.iter().all(|side| side.level < best)
                    {
                        level = level.weaker(best);
                    }
                    Epl::new(atmosphere, level)
                })
                .collect()
        };
        sides.sort_unstable();
        sides
    }

    /// The zones that the marking serves by level alone (weaker reading), `0` to `22` or
    /// `Class I, Division 1` and the like. Empty for associated apparatus, components and mining.
    pub fn zones(&self) -> Vec<String> {
        if self.u {
            return Vec::new();
        }
        if self.scheme == Scheme::NecDivision {
            return self.divisions();
        }
        let mut zones: Vec<String> = Vec::new();
        for atmosphere in [Atmosphere::Gas, Atmosphere::Dust] {
            let Some(best) = self.weaker_sides(atmosphere).first().copied() else {
                continue;
            };
            let mut level = best.level;
            if self.old_twenty() {
                level = level.weaker(Level::B);
            }
            if let Some(of_types) = self.short_of_wall(atmosphere) {
                level = level.weaker(of_types);
            }
            let served = ZONES
                .iter()
                .filter(|row| row.atmosphere == atmosphere && level <= row.level);
            zones.extend(served.filter_map(|row| row.printed).map(|n| n.to_string()));
        }
        zones
    }

    /// The level of the strongest type of a boundary wall, where its stronger side is printed above
    /// that: what makes this side so strong is a partition wall that only the certificate
    /// describes. None where the types reach every side, and for types that are combined with `+`.
    ///
    /// **Source:** IEC 60079-26, partition walls (memory).
    pub(crate) fn short_of_wall(&self, atmosphere: Atmosphere) -> Option<Level> {
        let side = self.weaker_sides(atmosphere).first()?.level;
        let of_types = self.strongest_type(atmosphere)?;
        (self.boundary && !self.combined && side < of_types).then_some(of_types)
    }

    /// `tD A20` and its like: zone 20 only as the certificate allows.
    fn old_twenty(&self) -> bool {
        self.own_protections()
            .any(|p| matches!(p.level.as_str(), "A20" | "B20"))
    }

    fn divisions(&self) -> Vec<String> {
        let class = match self.american.class {
            Some(1) => "I",
            Some(2) => "II",
            Some(3) => "III",
            _ => return Vec::new(),
        };
        if self.associated_only() {
            return Vec::new();
        }
        let bound = self
            .own_protections()
            .any(|p| p.kind.value.is_division_two());
        let from = match self.american.division.as_ref().map(|d| d.value) {
            None if bound => 2,
            None | Some(1) => 1,
            Some(2) => 2,
            Some(_) => return Vec::new(),
        };
        (from..=2)
            .map(|division| format!("Class {class}, Division {division}"))
            .collect()
    }

    /// Level by type and category where no EPL is printed.
    fn inferred(&self, atmosphere: Atmosphere) -> Option<Epl> {
        let category = self.category_sides(atmosphere).last().copied();
        if self.own_protections().next().is_none() {
            // EN 50281 has no type letter; a zone printed without a string stands for its level.
            let by_zone = self
                .american
                .zone
                .as_ref()
                .and_then(|zone| ZoneRow::printed(zone.value))
                .filter(|row| row.atmosphere == atmosphere);
            return category.or(by_zone.map(|row| Epl::new(atmosphere, row.level)));
        }
        let gas_group = self
            .group
            .as_ref()
            .is_some_and(|g| g.value.atmosphere() == Atmosphere::Gas);
        let by_category_alone = self.own_protections().all(|p| p.kind.value.is_en_13463());
        if atmosphere == Atmosphere::Dust && (gas_group || by_category_alone) {
            return category;
        }
        let by_types = match self.by_types(atmosphere, None) {
            Some(level) => Some(level),
            // An old dust type without its zone number is worth its category.
            None if self
                .own_protections()
                .all(|p| p.kind.value.is_old_dust() && p.level.is_empty()) =>
            {
                return category;
            }
            None => None,
        }?;
        let level = category.map_or(by_types, |c| by_types.weaker(c.level));
        Some(Epl::new(atmosphere, level))
    }

    /// The weakest of the types outside brackets in one atmosphere; none if any is worth nothing
    /// there. Two types joined by `+` reach the printed level together.
    fn by_types(&self, atmosphere: Atmosphere, printed: Option<Epl>) -> Option<Level> {
        let mut weakest = Level::A;
        let mut any = false;
        for protection in self.own_protections() {
            any = true;
            let epl = self
                .type_level(protection, atmosphere)
                .filter(|e| e.atmosphere == atmosphere);
            weakest = weakest.weaker(epl?.level);
        }
        if !any {
            return Some(printed.map_or(Level::A, |e| e.level));
        }
        if self.combined && self.own_protections().count() > 1 && weakest == Level::B {
            return Some(Level::A);
        }
        Some(weakest)
    }

    fn strongest_type(&self, atmosphere: Atmosphere) -> Option<Level> {
        self.own_protections()
            .filter_map(|p| self.type_level(p, atmosphere))
            .filter(|e| e.atmosphere == atmosphere)
            .map(|e| e.level)
            .min()
    }

    /// What a type is worth in one atmosphere; `I/IIB` has two. `da` anywhere but in a gas sensor
    /// counts as `db`.
    fn type_level(&self, protection: &Protection, atmosphere: Atmosphere) -> Option<Epl> {
        let own = protection.epl?;
        let epl = if own.atmosphere == atmosphere || self.second_group.is_none() {
            own
        } else {
            let printed = self
                .epl
                .iter()
                .map(|e| e.value)
                .find(|e| e.atmosphere == atmosphere);
            worth(
                protection.kind.value,
                &protection.level,
                Some(atmosphere),
                printed,
                None,
            )?
        };
        if protection.kind.value == ProtectionType::Flameproof
            && epl.level == Level::A
            && !self.sensor
        {
            return Some(Epl::new(epl.atmosphere, Level::B));
        }
        Some(epl)
    }

    /// Levels of the category line for one atmosphere: one, or two for a boundary wall.
    fn category_sides(&self, atmosphere: Atmosphere) -> Vec<Epl> {
        let Some(line) = &self.atex else {
            return Vec::new();
        };
        if !line_speaks_of(line, atmosphere) {
            return Vec::new();
        }
        let mut sides: Vec<Epl> = Vec::new();
        for token in &line.categories {
            match token.value {
                CategoryToken::Own(c) => sides.push(Epl::new(atmosphere, c.level())),
                CategoryToken::Boundary(a, b) => sides.extend(
                    a.into_iter()
                        .chain(b)
                        .map(|c| Epl::new(atmosphere, c.level())),
                ),
                CategoryToken::Circuit(_) => {}
            }
        }
        sides.sort_unstable();
        sides
    }
}

/// True if a category line covers an atmosphere by its letters.
fn line_speaks_of(line: &super::AtexLine, atmosphere: Atmosphere) -> bool {
    match atmosphere {
        Atmosphere::Mine => line.mining,
        surface => !line.mining && line.atmospheres.contains(&surface),
    }
}

#[cfg(test)]
mod tests {
    use crate::marking::{Atmosphere, Level};

    #[test]
    fn a_wall_reaches_as_far_as_its_types() {
        for (text, zones) in [
            ("Ex ia/db IIC T6 Ga/Gb", "0 1 2"),
            ("Ex db IIC T6 Ga/Gb", "1 2"),
            ("Ex db+mb IIC T6 Ga/Gb", "0 1 2"),
            ("Ex h IIC T6 Ga/Gb", "0 1 2"),
            ("Ex db IIC T4 Ga/Gc", "1 2"),
            ("Ex tb IIIC T85 °C Da/Db", "21 22"),
        ] {
            let plate = crate::parse(&[text]);
            assert_eq!(plate.markings[0].zones().join(" "), zones, "{text}");
        }
    }

    #[test]
    fn two_groups_have_two_levels() {
        let plate = crate::parse(&["Ex db I/IIB T4 Mb/Gb"]);
        let marking = &plate.markings[0];
        assert_eq!(marking.weaker_sides(Atmosphere::Mine)[0].level, Level::B);
        assert_eq!(marking.weaker_sides(Atmosphere::Gas)[0].level, Level::B);
        assert_eq!(marking.zones(), ["1", "2"]);
    }
}
