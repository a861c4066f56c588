//! Whether a marked gas group covers a group that is needed.

use super::Case;
use crate::marking::{Group, Marking, Protection};
use crate::place::NamedSubstance;
use crate::substance::{self, Match};
use crate::tables::{GroupLetter, TypeRow};
use crate::{Joint, Message, message};

/// Hydrogen, the one IIC gas that `IIB+H2` covers.
const HYDROGEN: &str = "1333-74-0";

/// The answer to "does it cover?".
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Cover {
    Yes(Message),
    No(Message),
    Unknown(Message),
}

/// True for a type that needs no letter behind `II` on a plate of its generation.
///
/// **Source:** `parser/data/types.csv`: IEC 60079-14, group rule (memory).
fn complete_without_letter(p: &Protection, eex: bool) -> bool {
    // A level letter other than on m and n is of 2011 or later, when letters are always asked.
    TypeRow::of(p.kind.value, &p.level).is_some_and(|row| match row.group_letter {
        GroupLetter::Complete => true,
        GroupLetter::Old => eex,
        GroupLetter::Asked | GroupLetter::Review | GroupLetter::Unsettled => false,
    })
}

pub(super) fn is_hydrogen(gas: &NamedSubstance) -> bool {
    gas.gas().is_some_and(|g| g.cas == HYDROGEN)
}

/// The gas group of a marking, the second one where the first is of another atmosphere.
pub(super) fn gas_group(marking: &Marking) -> Option<&Group> {
    marking
        .group
        .iter()
        .map(|g| &g.value)
        .chain(&marking.second_group)
        .find(|g| g.atmosphere() == crate::marking::Atmosphere::Gas)
}

fn single_gas(case: &Case<'_>, printed: &str) -> Cover {
    let gases = &case.place.gases;
    if gases.is_empty() {
        return Cover::Unknown(message!("covers-only-unnamed", gas = printed));
    }
    let row = substance::gas(printed);
    let same = |gas: &NamedSubstance| match (&row, gas.row) {
        (Match::One(a), Some(b)) => Some(*a == b),
        (Match::One(_), None) => Some(false),
        _ if substance::same_name(printed, &gas.name) => Some(true),
        _ => None,
    };
    let answers: Vec<Option<bool>> = gases.iter().map(same).collect();
    if answers.contains(&Some(false)) {
        Cover::No(message!("covers-only-other", gas = printed))
    } else if answers.contains(&None) {
        Cover::Unknown(message!("covers-only-unknown", gas = printed))
    } else {
        Cover::Yes(message!("covers-only-same", gas = printed))
    }
}

fn without_letter(marking: &Marking, need: &Group) -> Cover {
    let types: Vec<&Protection> = marking.own_protections().collect();
    let wanting: Vec<String> = types
        .iter()
        .filter(|p| !complete_without_letter(p, marking.eex))
        .map(|p| p.printed())
        .collect();
    if types.is_empty() {
        Cover::Unknown(message!("covers-no-letter-no-type"))
    } else if wanting.is_empty() {
        Cover::Yes(message!("covers-complete", need = need))
    } else {
        Cover::Unknown(message!(
            "covers-letter-missing",
            types = wanting.join(", ")
        ))
    }
}

/// Does the marking cover `need`, a group of gas?
pub(super) fn covers(case: &Case<'_>, marking: &Marking, need: &Group) -> Cover {
    if let Some(only) = &marking.only_gas {
        return single_gas(case, only.value.trim());
    }
    let Some(have) = gas_group(marking) else {
        return Cover::Unknown(match &marking.unknown_group {
            Some(token) => message!("group-does-not-exist", group = &token.raw),
            None => message!("covers-no-group"),
        });
    };
    match have {
        Group::II => without_letter(marking, need),
        Group::IIBPlusH2 if *need == Group::IIC => {
            let gases = &case.place.gases;
            let Some(hydrogen) = gases.iter().find(|g| is_hydrogen(g)) else {
                return Cover::No(if gases.is_empty() {
                    message!("covers-h2-no-gas")
                } else {
                    let names = gases.iter().map(|g| Message::verbatim(&g.name));
                    message!("covers-h2-not", gases = Message::list(names, Joint::Comma))
                });
            };
            let other = gases.iter().find(|gas| {
                let group = gas.gas().and_then(|g| g.group.as_ref()).map(|g| &g.group);
                !is_hydrogen(gas) && !matches!(group, Some(Group::IIA | Group::IIB))
            });
            match other {
                Some(gas) => Cover::No(message!("covers-h2-not", gases = &gas.name)),
                None => Cover::Yes(message!("covers-h2", gas = &hydrogen.name)),
            }
        }
        _ if have.rank() == 0 => {
            Cover::Unknown(message!("group-no-comparison", have = have, need = need))
        }
        _ if have.rank() >= need.rank() => {
            Cover::Yes(message!("group-covers", have = have, need = need))
        }
        _ => Cover::No(message!("group-covers-not", have = have, need = need)),
    }
}
