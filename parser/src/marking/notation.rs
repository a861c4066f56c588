//! Markings written down: as printed in tidy form, and in today's notation.

use super::{Atmosphere, Marking, Protection, ProtectionType, Scheme};
use std::fmt;

impl fmt::Display for Marking {
    /// The tidy form in the marking's own generation; parsing it gives the same values again.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.written(false))
    }
}

impl Marking {
    /// The same in today's notation: `Ex` for `EEx`, level letters with the types, the EPL at the
    /// end. What today's notation has no word for is written as printed.
    pub fn canonical(&self) -> String {
        self.written(true)
    }

    fn written(&self, today: bool) -> String {
        let mut parts: Vec<String> = Vec::new();
        if self.scheme == Scheme::NecDivision
            || (self.protections.is_empty() && self.american.class.is_some())
        {
            if self.protections.iter().all(|p| p.kind.value.is_american()) {
                parts.extend(self.protections.iter().map(Protection::printed));
            } else {
                self.types(today, &mut parts);
            }
            self.american_words(&mut parts);
        } else {
            if self.american.zone.is_some() {
                self.american_words(&mut parts);
            }
            self.types(today, &mut parts);
        }
        if let Some(group) = &self.group {
            let second = self
                .second_group
                .as_ref()
                .map(|s| format!("{s}/"))
                .unwrap_or_default();
            // In brackets alone the group is inside already.
            if !self.associated_only()
                || !self.protections.iter().any(|p| p.circuit_group.is_some())
            {
                match self.scheme {
                    Scheme::NecDivision => parts.push(format!(
                        "Groups {}",
                        group.value.to_string().replace(',', ", ")
                    )),
                    _ => parts.push(format!("{second}{}", group.value)),
                }
            }
        } else if let Some(odd) = &self.unknown_group {
            parts.push(odd.value.clone());
        }
        if let Some(gas) = &self.only_gas {
            parts.push(format!("({})", gas.value));
        }
        if let Some(temperature) = &self.temperature {
            parts.push(temperature.value.to_string());
        } else if let Some(odd) = &self.unknown_class {
            parts.push(odd.value.clone());
        }
        if let Some(celsius) = self.class_celsius {
            parts.push(format!("(T{celsius} °C)"));
        }
        if let Some(dust) = &self.dust_temperature {
            parts.push(dust.value.to_string());
        }
        let levels: Vec<String> =
            if self.epl.is_empty() && today && self.scheme != Scheme::NecDivision {
                self.levels().iter().map(ToString::to_string).collect()
            } else {
                self.epl.iter().map(|e| e.value.to_string()).collect()
            };
        if !levels.is_empty() {
            parts.push(levels.join("/"));
        }
        if self.x {
            parts.push("X".to_owned());
        }
        parts.join(" ")
    }

    fn american_words(&self, parts: &mut Vec<String>) {
        let class = match self.american.class {
            Some(1) => "Class I,",
            Some(2) => "Class II,",
            Some(3) => "Class III,",
            _ => "",
        };
        if !class.is_empty() {
            parts.push(class.to_owned());
        }
        if let Some(division) = &self.american.division {
            parts.push(format!("Division {},", division.value));
        }
        if let Some(zone) = &self.american.zone {
            parts.push(format!("Zone {},", zone.value));
        }
    }

    fn types(&self, today: bool, parts: &mut Vec<String>) {
        if self.protections.is_empty() {
            return;
        }
        let mark = match (self.eex, self.aex) {
            (true, _) if !today => "EEx",
            (_, true) => "AEx",
            _ => "Ex",
        };
        let bare = self.protections.iter().all(|p| {
            p.kind.value.is_en_13463() || p.kind.value == ProtectionType::DustIgnitionProof
        });
        let only_brackets = self.associated_only();
        if !bare && !only_brackets {
            parts.push(mark.to_owned());
        }
        let separator = if self.combined { "+" } else { "/" };
        let joined = self.combined || self.boundary;
        let mut own: Vec<String> = Vec::new();
        let flush = |own: &mut Vec<String>, parts: &mut Vec<String>| {
            if !own.is_empty() {
                parts.push(own.join(if joined { separator } else { " " }));
                own.clear();
            }
        };
        for protection in &self.protections {
            if protection.associated {
                flush(&mut own, parts);
                let mut inner = vec![Self::one(protection, today)];
                if only_brackets {
                    inner.insert(0, mark.to_owned());
                }
                inner.extend(protection.circuit_group.as_ref().map(ToString::to_string));
                inner.extend(protection.circuit_epl.map(|e| e.to_string()));
                parts.push(format!("[{}]", inner.join(" ")));
            } else {
                own.push(Self::one(protection, today));
            }
        }
        flush(&mut own, parts);
    }

    /// One type in today's notation.
    pub(crate) fn today(protection: &Protection) -> String {
        Self::one(protection, true)
    }

    /// One type; in today's notation the level letter that it is worth is added where the type
    /// carries one today.
    fn one(protection: &Protection, today: bool) -> String {
        let printed = protection.printed();
        let lettered = matches!(
            protection.kind.value,
            ProtectionType::Flameproof
                | ProtectionType::IncreasedSafety
                | ProtectionType::Encapsulation
                | ProtectionType::LiquidImmersion
                | ProtectionType::PressurizedX
                | ProtectionType::PressurizedY
                | ProtectionType::PressurizedZ
        );
        match protection.epl {
            Some(epl)
                if today
                    && lettered
                    && protection.level.is_empty()
                    && epl.atmosphere != Atmosphere::Dust =>
            {
                format!("{printed}{}", epl.level.letter())
            }
            _ => printed,
        }
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn written_and_read_again() {
        for text in [
            "Ex db eb IIC T4 Gb",
            "EEx d e [ia] IIC T6",
            "[Ex ia Ga] IIC",
            "Ex db [ia IIC Ga] IIB T4 Gb",
            "Ex ia/db IIC T6 Ga/Gb",
            "Ex db+mb IIB T4 Ga",
            "Ex tb IIIC T120 °C Db",
            "Ex ta IIIC T200 110 °C Da",
            "Ex tD A21 T100 °C",
            "Class I, Division 1, Groups A, B, C, D T4",
            "Class I, Zone 1, AEx db IIC T4 Gb",
            "XP Class I, Division 1, Groups B, C, D T6",
            "AIS Class I, Division 1, Groups A, B, C, D",
            "DIP Class II, Division 1, Groups E, F, G T5",
            "Ex ia Class I, Division 1, Groups A, B, C, D T4",
            "Ex nA II T3",
            "Ex op is IIC T6 Ga",
            "Ex db IIB+H2 T6...T4 Gb",
            "Ex db I/IIB T4 Gb",
        ] {
            let first = crate::parse(&[text]);
            let written = first.markings[0].to_string();
            assert_eq!(written, text);
            let again = crate::parse(&[written.as_str()]);
            assert_eq!(again.markings[0].to_string(), written);
        }
    }

    #[test]
    fn todays_notation() {
        for (old, today) in [
            ("EEx de IIB T4", "Ex db eb IIB T4 Gb"),
            ("Ex d IIC T6", "Ex db IIC T6 Gb"),
            ("EEx ia IIC T4", "Ex ia IIC T4 Ga"),
            ("EEx d I", "Ex db I Mb"),
        ] {
            assert_eq!(crate::parse(&[old]).markings[0].canonical(), today);
        }
    }
}
