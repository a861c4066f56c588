//! A string while it is being read: what was found so far and what is still missing.

use super::ex::{self, Mark};
use super::text::Text;
use crate::marking::{
    AmericanPlace, Atmosphere, DustTemperature, Epl, Group, Marking, Protection, ProtectionType,
    Scheme, Temperature, names_a_room,
};
use crate::{Read, Repair, Span};

/// A string that is being read.
#[derive(Debug, Clone)]
pub(crate) struct Draft {
    pub(crate) mark: Mark,
    pub(crate) start: usize,
    pub(crate) end: usize,
    /// Parts found further on that belong to it: a temperature behind the IP code.
    pub(crate) extra: Vec<(usize, usize)>,
    replacements: Vec<(usize, usize, String)>,
    pub(crate) protections: Vec<Protection>,
    pub(crate) combined: bool,
    pub(crate) group: Option<Read<Group>>,
    /// Group of the other atmosphere in one string: `IIC/IIIC`.
    pub(crate) other_group: Option<Read<Group>>,
    pub(crate) second_group: Option<Group>,
    pub(crate) unknown_group: Option<Read<String>>,
    pub(crate) only_gas: Option<Read<String>>,
    pub(crate) temperature: Option<Read<Temperature>>,
    pub(crate) unknown_class: Option<Read<String>>,
    pub(crate) class_celsius: Option<f64>,
    pub(crate) dust_temperature: Option<Read<DustTemperature>>,
    pub(crate) epl: Vec<Read<Epl>>,
    pub(crate) boundary: bool,
    pub(crate) x: bool,
    pub(crate) u: bool,
    pub(crate) unbalanced: bool,
    pub(crate) illegible: Vec<Read<String>>,
    /// Index of a type whose level letter stood apart.
    pub(crate) joined: Option<usize>,
    pub(crate) american: AmericanPlace,
}

impl Draft {
    pub(crate) fn new(start: usize) -> Self {
        Self {
            mark: Mark::Ex,
            start,
            end: start,
            extra: Vec::new(),
            replacements: Vec::new(),
            protections: Vec::new(),
            combined: false,
            group: None,
            other_group: None,
            second_group: None,
            unknown_group: None,
            only_gas: None,
            temperature: None,
            unknown_class: None,
            class_celsius: None,
            dust_temperature: None,
            epl: Vec::new(),
            boundary: false,
            x: false,
            u: false,
            unbalanced: false,
            illegible: Vec::new(),
            joined: None,
            american: AmericanPlace::default(),
        }
    }

    pub(crate) fn piece(&mut self, _start: usize, end: usize) {
        self.end = self.end.max(end);
    }

    pub(crate) fn piece_repaired(&mut self, start: usize, end: usize, repairs: &[Repair]) {
        self.piece(start, end);
        if let Some(repair) = repairs.first() {
            self.replacements.push((start, end, repair.to.clone()));
        }
    }

    pub(crate) fn replace(&mut self, start: usize, end: usize, to: &str) {
        self.replacements
            .retain(|(s, e, _)| *e <= start || *s >= end);
        self.replacements.push((start, end, to.to_owned()));
        self.piece(start, end);
    }

    /// Nothing but types was read.
    pub(crate) fn is_bare(&self) -> bool {
        !(self.has_group() || self.has_temperature() || self.has_level())
            && self.american == AmericanPlace::default()
            && self.illegible.is_empty()
            && !(self.protections.is_empty() || self.unbalanced || self.x || self.u)
    }

    /// What was read as something else: first byte, one past the last, what was meant.
    pub(crate) fn replaced(&self) -> &[(usize, usize, String)] {
        &self.replacements
    }

    pub(crate) fn opening(&mut self, start: usize, end: usize, repaired: Option<&str>) {
        self.piece(start, end);
        if let Some(to) = repaired {
            self.replacements.push((start, end, to.to_owned()));
        }
    }

    pub(crate) fn has_group(&self) -> bool {
        self.group.is_some() || self.unknown_group.is_some()
    }

    pub(crate) fn has_level(&self) -> bool {
        !self.epl.is_empty()
    }

    pub(crate) fn has_gas_group(&self) -> bool {
        self.groups().any(|g| g.atmosphere() == Atmosphere::Gas)
    }

    fn groups(&self) -> impl Iterator<Item = &Group> {
        self.group.iter().chain(&self.other_group).map(|g| &g.value)
    }

    /// Speaks of dust alone, as far as was read.
    pub(crate) fn is_dust(&self) -> bool {
        match &self.group {
            Some(group) => group.value.atmosphere() == Atmosphere::Dust,
            None => self.protections.iter().filter(|p| !p.associated).any(|p| {
                p.kind.value.is_old_dust() || p.kind.value == ProtectionType::DustEnclosure
            }),
        }
    }

    /// Types of the dust standards before group III, and no group.
    pub(crate) fn is_old_dust(&self) -> bool {
        let mut own = self.protections.iter().filter(|p| !p.associated).peekable();
        self.group.is_none() && own.peek().is_some() && own.all(|p| p.kind.value.is_old_dust())
    }

    pub(crate) fn has_temperature(&self) -> bool {
        if self.takes_dust_temperature() {
            return self.temperature.is_some() && self.dust_temperature.is_some();
        }
        self.temperature.is_some()
            || self.dust_temperature.is_some()
            || self.unknown_class.is_some()
    }

    /// Both a gas and a dust group are printed, so both temperatures are due.
    pub(crate) fn takes_dust_temperature(&self) -> bool {
        self.other_group.is_some() && self.groups().any(|g| g.atmosphere() == Atmosphere::Dust)
    }

    pub(crate) fn takes_second_group(&self, next: &Group) -> bool {
        let Some(first) = &self.group else {
            return false;
        };
        if self.other_group.is_some() || self.second_group.is_some() {
            return false;
        }
        if first.value.atmosphere() == next.atmosphere() {
            return self.temperature.is_none() && self.epl.is_empty() && first.value != *next;
        }
        true
    }

    pub(crate) fn group(&mut self, read: Read<Group>, start: usize, end: usize) {
        self.piece_repaired(start, end, &read.repairs);
        let Some(first) = &mut self.group else {
            self.group = Some(read);
            return;
        };
        let (had, next) = (first.value.atmosphere(), read.value.atmosphere());
        if had == next {
            // `IIA/IIB`: which one holds cannot be told from the string.
            first.rivals.push(read.value.clone());
            self.second_group = Some(read.value);
        } else if had == Atmosphere::Mine || next == Atmosphere::Mine {
            let (mine, surface) = if had == Atmosphere::Mine {
                (first.value.clone(), read)
            } else {
                (read.value.clone(), first.clone())
            };
            self.second_group = Some(mine);
            self.group = Some(surface);
        } else {
            self.other_group = Some(read);
        }
    }

    pub(crate) fn temperature(&mut self, read: Read<Temperature>, start: usize, end: usize) {
        self.piece_repaired(start, end, &read.repairs);
        self.temperature = Some(read);
    }

    pub(crate) fn dust_temperature(
        &mut self,
        read: Read<DustTemperature>,
        start: usize,
        end: usize,
    ) {
        if let Some(repair) = read.repairs.first() {
            self.replacements
                .push((start, end, format!("T{}", repair.to)));
        }
        self.piece(start, end);
        self.dust_temperature = Some(read);
    }

    pub(crate) fn level(&mut self, read: Read<Epl>, start: usize, end: usize) {
        self.piece_repaired(start, end, &read.repairs);
        self.epl.push(read);
    }

    /// The atmosphere of the group, where the group was read clean.
    pub(crate) fn clean_atmosphere(&self) -> Option<Atmosphere> {
        self.group
            .as_ref()
            .filter(|g| g.repairs.is_empty())
            .map(|g| g.value.atmosphere())
    }

    pub(crate) fn clean_type_b(&self) -> bool {
        let mut own = self.protections.iter().filter(|p| !p.associated).peekable();
        own.peek().is_some() && own.all(ex::worth_b)
    }

    /// A group read inside a bracket that never closes may be the equipment's as well.
    pub(crate) fn lost_bracket_group(
        &mut self,
        group: Group,
        text: &Text,
        start: usize,
        end: usize,
    ) {
        if self.group.is_none() {
            self.group = Some(Read::strict(
                group,
                &text.as_str()[start..end],
                text.span(start, end),
            ));
        }
    }

    /// Lets clean facts of the string decide between rivals, and nothing else.
    pub(crate) fn settle(&mut self, text: &Text) {
        // All of it in brackets: the group inside is the marking's.
        if self.group.is_none()
            && self.unknown_group.is_none()
            && self.protections.iter().all(|p| p.associated)
            && let Some(p) = self.protections.iter().find(|p| p.circuit_group.is_some())
            && let Some(group) = p.circuit_group.clone()
        {
            self.group = Some(Read::strict(group, &p.kind.raw, p.kind.span));
        }
        let fact = ex::fact(self);
        if let (Some(group), Some(fact)) = (&mut self.group, fact)
            && !group.repairs.is_empty()
            && group.value.atmosphere() == fact
        {
            group.rivals.retain(|r| r.atmosphere() == fact);
        }
        // `TS (95 °C)`: the printed temperature excludes every class but one.
        if let (Some(read), Some(celsius)) = (&mut self.temperature, self.class_celsius)
            && let Temperature::Class(class) = read.value
            && celsius <= class.limit_c()
            && read.rivals.iter().all(|rival| {
                matches!(rival, Temperature::Class(r) if r.limit_c() < celsius || *r < class)
            })
            && read
                .rivals
                .iter()
                .any(|rival| matches!(rival, Temperature::Class(r) if r.limit_c() < celsius))
        {
            read.rivals.clear();
        }
        // In group III the stroke may be a t.
        let gas =
            fact.is_some() && fact != Some(Atmosphere::Dust) && self.clean_atmosphere() == fact;
        let level_b = self
            .epl
            .iter()
            .any(|e| e.repairs.is_empty() && e.value.level == crate::marking::Level::B);
        let clean_levels: Vec<_> = self
            .epl
            .iter()
            .filter(|e| e.repairs.is_empty())
            .map(|e| e.value.level.letter().to_string())
            .collect();
        let mut doubtful: Vec<Read<String>> = Vec::new();
        for (index, protection) in self.protections.iter_mut().enumerate() {
            let Some(repair) = protection.kind.repairs.first() else {
                if self.joined == Some(index) && !clean_levels.contains(&protection.level) {
                    doubtful.push(Read::strict(
                        format!("{} {}", protection.kind.raw, protection.level),
                        &protection.kind.raw,
                        protection.kind.span,
                    ));
                }
                continue;
            };
            match repair.name {
                "stroke for i" if gas => protection.kind.rivals.clear(),
                // On the plate of a room it may as well be `vb`.
                "letter y" if level_b && !names_a_room(text.as_str()) => {
                    protection.kind.rivals.clear();
                }
                "tail of q" if !level_b => doubtful.push(Read::strict(
                    repair.from.clone(),
                    &protection.kind.raw,
                    protection.kind.span,
                )),
                _ => {}
            }
        }
        self.illegible.append(&mut doubtful);
    }

    /// Puts the words of a zone before the string; `Zone O` beside an EPL of the strongest level
    /// that was read clean is zone 0.
    pub(crate) fn zone_words(&mut self, start: usize, mut place: AmericanPlace) {
        let strongest = self
            .epl
            .iter()
            .any(|e| e.repairs.is_empty() && e.value.level == crate::marking::Level::A);
        if let Some(zone) = &mut place.zone
            && strongest
            && matches!(zone.value, 0 | 20)
        {
            zone.rivals.clear();
        }
        self.american = place;
        self.start = start;
    }

    /// The text of the string, tidy, and as it was read where that differs.
    fn texts(&self, text: &Text) -> (String, Option<String>) {
        let mut ranges = vec![(self.start, self.end)];
        ranges.extend(&self.extra);
        let mut tidy = String::new();
        let mut raw = String::new();
        for (start, end) in ranges {
            raw.push(' ');
            raw.push_str(&text.as_str()[start..end]);
            tidy.push(' ');
            let mut at = start;
            let mut replacements: Vec<_> = self
                .replacements
                .iter()
                .filter(|(s, e, _)| *s >= start && *e <= end)
                .collect();
            replacements.sort_unstable();
            for (s, e, to) in replacements {
                if *s < at {
                    continue;
                }
                tidy.push_str(&text.as_str()[at..*s]);
                tidy.push_str(to);
                at = *e;
            }
            tidy.push_str(&text.as_str()[at..end]);
        }
        let single = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ");
        let (tidy, raw) = (single(&tidy), single(&raw));
        let read_as = (!self.replacements.is_empty() && raw != tidy).then_some(raw);
        (tidy, read_as)
    }

    fn spans(&self, text: &Text) -> Vec<Span> {
        let mut spans = text.spans(self.start, self.end);
        for (start, end) in &self.extra {
            spans.extend(text.spans(*start, *end));
        }
        spans
    }

    /// The finished markings: one, or two where one string names a gas and a dust group.
    pub(crate) fn into_markings(self, text: &Text) -> Vec<Marking> {
        let (tidy, read_as) = self.texts(text);
        let scheme = match self.mark {
            Mark::Eex => Scheme::Cenelec,
            Mark::Aex => Scheme::NecZone,
            Mark::Ex if self.american.zone.is_some() && self.american.class.is_some() => {
                Scheme::Cec
            }
            Mark::Ex => Scheme::Iec,
        };
        let whole = Marking {
            text: tidy,
            read_as,
            spans: self.spans(text),
            scheme,
            eex: self.mark == Mark::Eex,
            aex: self.mark == Mark::Aex,
            protections: self.protections,
            combined: self.combined,
            group: self.group,
            second_group: self.second_group,
            unknown_group: self.unknown_group,
            only_gas: self.only_gas,
            temperature: self.temperature,
            unknown_class: self.unknown_class,
            class_celsius: self.class_celsius,
            dust_temperature: self.dust_temperature,
            epl: self.epl,
            boundary: self.boundary,
            atex: None,
            american: self.american,
            x: self.x,
            u: self.u,
            sensor: false,
            unbalanced: self.unbalanced,
            illegible: self.illegible,
        };
        let Some(other) = self.other_group else {
            return vec![whole];
        };
        let dust_first = whole
            .group
            .as_ref()
            .is_some_and(|g| g.value.atmosphere() == Atmosphere::Dust);
        let (gas_group, dust_group) = if dust_first {
            (Some(other), whole.group.clone())
        } else {
            (whole.group.clone(), Some(other))
        };
        let of = |atmosphere: Atmosphere| -> Vec<Read<Epl>> {
            whole
                .epl
                .iter()
                .filter(|e| e.value.atmosphere == atmosphere)
                .cloned()
                .collect()
        };
        let types_of = |dust: bool| -> Vec<Protection> {
            // `t` and the old dust types speak of dust only; the others serve both.
            whole
                .protections
                .iter()
                .filter(|p| {
                    let dust_type =
                        p.kind.value.is_old_dust() || p.kind.value == ProtectionType::DustEnclosure;
                    dust || !dust_type || whole.protections.len() == 1
                })
                .cloned()
                .collect()
        };
        let gas_levels = of(Atmosphere::Gas);
        let dust_levels = of(Atmosphere::Dust);
        let gas = Marking {
            group: gas_group,
            dust_temperature: None,
            boundary: gas_levels.len() > 1,
            epl: gas_levels,
            protections: types_of(false),
            ..whole.clone()
        };
        let dust = Marking {
            group: dust_group,
            temperature: None,
            unknown_class: None,
            class_celsius: None,
            only_gas: None,
            boundary: dust_levels.len() > 1,
            epl: dust_levels,
            protections: types_of(true),
            ..whole
        };
        if dust_first {
            vec![dust, gas]
        } else {
            vec![gas, dust]
        }
    }
}
