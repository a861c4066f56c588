//! The rules that hold a marking against a place: one rule, one file.
//!
//! A rule looks at one [`Case`] and answers with grounds. Rules are pure and run in the
//! order of [`RULES`]; the verdict is the list of their grounds, worst first. Missing or
//! unreadable evidence is `undecided`, never a pass.

mod ambient;
mod american;
mod associated;
mod atmosphere;
mod certificate;
mod component;
mod conditions;
mod covers;
mod dust_class;
mod dust_ip;
mod dust_temperature;
mod findings;
mod gas_temperature;
mod group;
mod hybrid;
mod level;
mod limit;
mod permitted;
mod protection_ip;
mod readable;
mod risk_assessment;
mod special;

use crate::certificates::CertificateList;
use crate::marking::{Atmosphere, Marking};
use crate::place::Place;
use crate::verdict::{Ground, Outcome};
use crate::{Message, Plate, Span, Suspicion};

/// What a rule is asked of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Scope {
    /// The plate as a whole, once.
    Plate,
    /// Each marking for one atmosphere of the place.
    Marking,
    /// Both: once for what concerns the plate, once for what concerns a marking alone.
    Both,
}

/// One plate, one place and, for rules of that scope, one marking for one atmosphere.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// The plate.
    pub plate: &'a Plate,
    /// What contradicts itself on it.
    pub suspicions: &'a [Suspicion],
    /// The place.
    pub place: &'a Place,
    /// Index of the marking; none for rules of scope [`Scope::Plate`].
    pub marking: Option<usize>,
    /// The atmosphere that the marking is held against.
    pub atmosphere: Option<Atmosphere>,
    /// The site's certificates, where a list of them was given.
    pub certificates: Option<&'a CertificateList>,
}

/// One rule of suitability.
pub trait Rule: Sync {
    /// Short name, unique.
    fn id(&self) -> &'static str;
    /// The question that it answers.
    fn question(&self) -> &'static str;
    /// Standard and clause, and how the rule is known.
    fn source(&self) -> &'static str;
    /// Plate or marking.
    fn scope(&self) -> Scope {
        Scope::Marking
    }
    /// Looks at a case; no ground where the question does not arise.
    fn check(&self, case: &Case<'_>) -> Vec<Ground>;
}

/// Every rule in the order in which it is asked.
pub const RULES: &[&dyn Rule] = &[
    &readable::Readable,
    &component::Component,
    &associated::Associated,
    &atmosphere::AtmospherePresent,
    &findings::Findings,
    &level::LevelOfProtection,
    &risk_assessment::RiskAssessment,
    &special::SpecialTypes,
    &american::NorthAmerica,
    &group::EquipmentGroup,
    &gas_temperature::GasTemperature,
    &permitted::PermittedTemperature,
    &dust_temperature::DustTemperatureRule,
    &dust_class::DustClass,
    &ambient::AmbientRange,
    &dust_ip::DustIp,
    &protection_ip::AskedIp,
    &hybrid::GasAndDust,
    &conditions::ConditionsOfUse,
    &certificate::AgainstCertificate,
];

impl<'a> Case<'a> {
    /// The marking, for rules of scope [`Scope::Marking`].
    pub fn marking(&self) -> Option<&'a Marking> {
        self.marking.and_then(|i| self.plate.markings.get(i))
    }

    /// True if a finding with this name was made on this marking or on the plate as a whole.
    pub fn suspected(&self, check: &str) -> bool {
        self.suspicions
            .iter()
            .any(|s| s.check == check && (s.marking.is_none() || s.marking == self.marking))
    }

    /// A ground of `rule` for this case.
    pub(crate) fn ground(
        &self,
        rule: &dyn Rule,
        outcome: Outcome,
        detail: impl Into<Message>,
    ) -> Ground {
        Ground {
            rule: rule.id(),
            outcome,
            detail: detail.into(),
            source: rule.source(),
            marking: self.marking,
            spans: Vec::new(),
            used: Vec::new(),
            next: None,
        }
    }
}

impl Ground {
    pub(crate) fn at(mut self, spans: impl IntoIterator<Item = Span>) -> Self {
        for span in spans {
            if !self.spans.contains(&span) {
                self.spans.push(span);
            }
        }
        self
    }

    pub(crate) fn using(mut self, name: &str, value: impl std::fmt::Display) -> Self {
        self.used.push(format!("{name} = {value}"));
        self
    }

    pub(crate) fn next(mut self, step: impl Into<Message>) -> Self {
        self.next = Some(step.into());
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_unique_and_every_rule_names_question_and_clause() {
        for (i, rule) in RULES.iter().enumerate() {
            assert!(
                !rule.id().is_empty() && rule.question().ends_with('?'),
                "{}",
                rule.id()
            );
            assert!(
                ["(checked)", "(memory)", "(practice)", "(checked in part)"]
                    .iter()
                    .any(|tag| rule.source().ends_with(tag)),
                "{}: {}",
                rule.id(),
                rule.source()
            );
            assert!(
                RULES[..i].iter().all(|r| r.id() != rule.id()),
                "{}",
                rule.id()
            );
        }
    }
}
