//! Does the equipment group cover the gas or dust of the place?

use super::covers::{Cover, covers, gas_group};
use super::{Case, Rule};
use crate::marking::{Atmosphere, Group, Marking, Scheme};
use crate::tables::NEC_LETTERS;
use crate::verdict::{Ground, Outcome};
use crate::{Message, message};

/// IIC covers IIB covers IIA; IIIC covers IIIB covers IIIA; group I covers neither.
pub(super) struct EquipmentGroup;

/// A group that is needed and who says so.
struct Need {
    group: Group,
    /// `ethanol is IIB (IIA before 2010; checked)`.
    words: Message,
}

fn spans(marking: &Marking) -> Vec<crate::Span> {
    marking
        .group
        .iter()
        .map(|g| g.span)
        .chain(marking.unknown_group.iter().map(|g| g.span))
        .chain(marking.only_gas.iter().map(|g| g.span))
        .collect()
}

impl EquipmentGroup {
    fn answer(&self, case: &Case<'_>, marking: &Marking, cover: Cover, why: &Message) -> Ground {
        let (outcome, words) = match cover {
            Cover::Yes(words) => (Outcome::Suitable, words),
            Cover::No(words) => (Outcome::Unsuitable, words),
            Cover::Unknown(words) => (Outcome::Undecided, words),
        };
        let ground = case
            .ground(
                self,
                outcome,
                message!("group-because", cover = words, why = why),
            )
            .at(spans(marking))
            .using("needed", why)
            .using(
                "group of the plate",
                marking
                    .group
                    .as_ref()
                    .map_or_else(|| "none".to_owned(), |g| g.value.to_string()),
            );
        match outcome {
            Outcome::Undecided => ground.next(message!("next-certificate-group")),
            _ => ground,
        }
    }

    fn gas(&self, case: &Case<'_>, marking: &Marking) -> Vec<Ground> {
        let mut table: Vec<Need> = Vec::new();
        let mut unknown: Vec<&str> = Vec::new();
        for named in &case.place.gases {
            match named
                .gas()
                .and_then(|g| g.group.as_ref().map(|fact| (g, fact)))
            {
                Some((gas, fact)) => table.push(Need {
                    group: fact.group.clone(),
                    words: message!(
                        "group-of-gas",
                        gas = gas.said(),
                        group = &fact.group,
                        known = fact.known_as()
                    ),
                }),
                None => unknown.push(&named.name),
            }
        }
        table.sort_by_key(|need| std::cmp::Reverse(need.group.rank()));
        if let Some(group) = &case.place.gas_group {
            let words = message!("group-place-needs", group = group);
            let mut ground = self.answer(case, marking, covers(case, marking, group), &words);
            // A weaker group than the table's: judged with both, and said so.
            if let Some(strict) = table.first().filter(|n| n.group.rank() != group.rank()) {
                let by_table = self.answer(
                    case,
                    marking,
                    covers(case, marking, &strict.group),
                    &strict.words,
                );
                if strict.group.rank() > group.rank()
                    && ground.outcome == Outcome::Suitable
                    && by_table.outcome < Outcome::Suitable
                {
                    ground.outcome = Outcome::Conditional;
                    ground.detail = message!(
                        "only-with-group-given",
                        ground = ground.detail,
                        table = &strict.words
                    );
                    ground.next = Some(message!("next-prove-gas-group", group = group));
                } else {
                    ground.detail = message!(
                        "beside-table",
                        ground = ground.detail,
                        table = &strict.words
                    );
                }
            }
            return vec![ground];
        }
        let mut grounds: Vec<Ground> = table
            .iter()
            .map(|need| {
                self.answer(
                    case,
                    marking,
                    covers(case, marking, &need.group),
                    &need.words,
                )
            })
            .collect();
        for name in &unknown {
            let ground = case
                .ground(
                    self,
                    Outcome::Undecided,
                    message!("group-not-known", gas = *name),
                )
                .at(spans(marking))
                .next(message!("next-give-group-of", gas = *name));
            grounds.push(ground);
        }
        if grounds.is_empty() {
            grounds.push(
                case.ground(self, Outcome::Undecided, message!("gas-group-not-given"))
                    .at(spans(marking))
                    .next(message!("next-name-gas-or-group")),
            );
        }
        grounds
    }

    fn dust(&self, case: &Case<'_>, marking: &Marking) -> Vec<Ground> {
        let have = dust_group(case, marking);
        let have = match have {
            Ok(group) => group,
            Err(why) => {
                return vec![
                    case.ground(self, Outcome::Undecided, why)
                        .at(spans(marking))
                        .next(message!("next-certificate-dust-group")),
                ];
            }
        };
        let covers = |need: &Group| {
            if have.group >= *need {
                Cover::Yes(message!(
                    "dust-group-covers",
                    have = &have.words,
                    need = need
                ))
            } else {
                Cover::No(message!(
                    "dust-group-covers-not",
                    have = &have.words,
                    need = need
                ))
            }
        };
        let strict = case
            .place
            .dusts
            .iter()
            .filter_map(crate::place::NamedSubstance::dust)
            .max_by(|a, b| a.group.cmp(&b.group));
        let table_words = strict.map(|d| {
            if d.group_note.is_empty() {
                message!("group-of-dust", dust = d.said(), group = &d.group)
            } else {
                message!(
                    "group-of-dust-note",
                    dust = d.said(),
                    group = &d.group,
                    note = crate::substance::remark(d.group_note)
                )
            }
        });
        if let Some(group) = &case.place.dust_group {
            let needs = match group {
                Group::American(letters) => letters.iter().map(|l| letter_group(*l)).max(),
                other => Some(other.clone()),
            };
            let Some(need) = needs else { return Vec::new() };
            let mut ground = self.answer(
                case,
                marking,
                covers(&need),
                &message!("group-place-needs", group = group),
            );
            if let (Some(dust), Some(words)) = (strict, table_words)
                && dust.group != need
            {
                let measured = dust.group_note == "unless measured";
                if dust.group > need
                    && ground.outcome == Outcome::Suitable
                    && !measured
                    && matches!(covers(&dust.group), Cover::No(_))
                {
                    ground.outcome = Outcome::Conditional;
                    ground.detail = message!(
                        "only-with-dust-group-given",
                        ground = ground.detail,
                        table = words
                    );
                    ground.next = Some(message!("next-prove-dust-group", group = group));
                } else {
                    ground.detail =
                        message!("beside-dust-table", ground = ground.detail, table = words);
                }
            }
            return vec![ground];
        }
        if have.group == Group::IIIC {
            let detail = message!("dust-group-covers-every", have = have.words);
            return vec![
                case.ground(self, Outcome::Suitable, detail)
                    .at(spans(marking)),
            ];
        }
        let known = case.place.dusts.iter().all(|d| d.row.is_some());
        match (strict, table_words) {
            (Some(dust), Some(words)) if known => {
                let mut ground = self.answer(case, marking, covers(&dust.group), &words);
                if ground.outcome == Outcome::Suitable {
                    ground.outcome = Outcome::Conditional;
                    ground.next = Some(message!("next-measure-dust-group"));
                }
                vec![ground]
            }
            _ => vec![
                case.ground(self, Outcome::Undecided, message!("dust-group-not-given"))
                    .at(spans(marking))
                    .next(message!("next-name-dust-or-group")),
            ],
        }
    }

    fn mine(&self, case: &Case<'_>, marking: &Marking) -> Vec<Ground> {
        let groups: Vec<&Group> = marking
            .group
            .iter()
            .map(|g| &g.value)
            .chain(&marking.second_group)
            .collect();
        if !groups.contains(&&Group::I) {
            let (outcome, detail) = match groups.first() {
                None => (Outcome::Undecided, message!("group-mine-none")),
                Some(group) => (
                    Outcome::Unsuitable,
                    message!("group-mine-not", group = *group),
                ),
            };
            return vec![case.ground(self, outcome, detail).at(spans(marking))];
        }
        let mut grounds = vec![
            case.ground(self, Outcome::Suitable, message!("group-mine"))
                .at(spans(marking)),
        ];
        // Another gas than firedamp asks for group II as well.
        let other = case
            .place
            .gases
            .iter()
            .any(|g| g.gas().is_none_or(|s| s.cas != "74-82-8"))
            || case
                .place
                .gas_group
                .as_ref()
                .is_some_and(|g| *g != Group::I);
        if other {
            if gas_group(marking).is_some() {
                grounds.extend(self.gas(case, marking));
            } else {
                grounds.push(
                    case.ground(self, Outcome::Undecided, message!("group-mine-other-gas"))
                        .at(spans(marking)),
                );
            }
        }
        grounds
    }
}

/// The IEC group that covers every dust of a North American letter; F may be conductive.
pub(super) fn letter_group(letter: char) -> Group {
    let row = NEC_LETTERS.iter().find(|row| row.letter == letter);
    row.map_or(Group::IIIC, |row| row.every.clone())
}

pub(super) struct DustGroup {
    pub(super) group: Group,
    words: Message,
}

/// True for plates of the old dust practice: tD, DIP and the like, or a category D line alone.
pub(super) fn old_dust(marking: &Marking) -> bool {
    let mut dust_types = marking
        .own_protections()
        .filter(|p| p.epl.is_none_or(|e| e.atmosphere == Atmosphere::Dust))
        .peekable();
    dust_types.peek().is_none() || dust_types.all(|p| p.kind.value.is_old_dust())
}

/// The dust group of a marking; on old plates by IP. The error says why it cannot be told.
pub(super) fn dust_group(case: &Case<'_>, marking: &Marking) -> Result<DustGroup, Message> {
    let printed = marking
        .group
        .iter()
        .map(|g| &g.value)
        .chain(&marking.second_group)
        .find(|g| g.atmosphere() == Atmosphere::Dust);
    match printed {
        Some(group @ (Group::IIIA | Group::IIIB | Group::IIIC)) => {
            return Ok(DustGroup {
                group: group.clone(),
                words: message!("dust-group", group = group),
            });
        }
        Some(Group::American(letters)) => {
            let shown: Vec<String> = letters.iter().map(char::to_string).collect();
            // Every letter is covered for itself; the strongest IEC group of them is meant here.
            let group = letters
                .iter()
                .map(|l| letter_group(*l))
                .max()
                .unwrap_or(Group::IIIA);
            return Ok(DustGroup {
                group,
                words: message!("dust-group", group = shown.join(",")),
            });
        }
        Some(other) => {
            return Err(message!("dust-group-no-letter", group = other));
        }
        None => {}
    }
    if let Some(token) = &marking.unknown_group {
        return Err(message!("group-does-not-exist", group = &token.raw));
    }
    if !old_dust(marking) {
        return Err(message!("dust-group-none"));
    }
    match case.plate.ip.as_ref().and_then(|ip| ip.value.best_first()) {
        Some(6) => Ok(DustGroup {
            group: Group::IIIC,
            words: message!("dust-group-by-ip6"),
        }),
        Some(5) => Ok(DustGroup {
            group: Group::IIIB,
            words: message!("dust-group-by-ip5"),
        }),
        Some(first) => Err(message!("dust-group-other-ip", first = first)),
        None => Err(message!("dust-group-no-ip")),
    }
}

impl Rule for EquipmentGroup {
    fn id(&self) -> &'static str {
        "equipment-group"
    }
    fn question(&self) -> &'static str {
        "Does the equipment group cover the gas or dust of the place?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-14:2013 5.5, IEC 60079-0 clause 4, IEC 60079-20-1 (checked in part)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let (Some(marking), Some(atmosphere)) = (case.marking(), case.atmosphere) else {
            return Vec::new();
        };
        if marking.scheme == Scheme::NecDivision || case.place.division().is_some() {
            return Vec::new();
        }
        // Letters given without a zone belong to the North American rules.
        if matches!(case.place.gas_group, Some(Group::American(_))) && atmosphere == Atmosphere::Gas
        {
            return vec![case.ground(
                self,
                Outcome::Undecided,
                message!("group-letter-without-class"),
            )];
        }
        match atmosphere {
            Atmosphere::Gas => self.gas(case, marking),
            Atmosphere::Dust => self.dust(case, marking),
            Atmosphere::Mine => self.mine(case, marking),
        }
    }
}
