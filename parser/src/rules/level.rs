//! Is the level of protection enough for the zone?

use super::{Case, Rule};
use crate::marking::{Atmosphere, Epl, Level, Marking, Scheme};
use crate::place::Place;
use crate::tables::ZoneRow;
use crate::verdict::{Ground, Outcome};
use crate::{Message, message};

/// The weaker of printed EPL, type of protection and category against what the zone needs.
pub(super) struct LevelOfProtection;

/// EPL that the place needs for an atmosphere and what sets it; none where nothing does.
pub(super) fn needed(place: &Place, atmosphere: Atmosphere) -> Option<(Epl, Message)> {
    if let Some(epl) = place.epl.filter(|epl| epl.atmosphere == atmosphere) {
        return Some((epl, message!("place-risk-assessment")));
    }
    let zone = place.zone_of(atmosphere)?;
    zone.least_epl().map(|epl| (epl, zone.words()))
}

/// What the marking has, strongest side first; two sides for a boundary wall.
///
/// `da` outside a gas sensor counts as `db`. A marking without types, EPL and category that
/// names a zone (`Class I, Zone 2, IIC T4`) has that zone's level.
fn sides(case: &Case<'_>, marking: &Marking, atmosphere: Atmosphere) -> Vec<Epl> {
    let mut sides = marking.weaker_sides(atmosphere);
    if sides.is_empty()
        && marking.own_protections().next().is_none()
        && marking.epl.is_empty()
        && marking.atex.is_none()
        && let Some(zone) = &marking.american.zone
    {
        let row = ZoneRow::printed(zone.value);
        sides.extend(row.map(|row| Epl::new(atmosphere, row.level)));
    }
    if case.suspected("da outside gas sensor use") {
        for side in &mut sides {
            side.level = side.level.weaker(Level::B);
        }
    }
    sides.sort_unstable();
    sides
}

/// A printed fact that denies the atmosphere altogether, so that the weaker reading of the
/// plate has no level there.
fn denied(case: &Case<'_>, marking: &Marking, atmosphere: Atmosphere) -> Option<Message> {
    let letter = match atmosphere {
        Atmosphere::Gas => "G",
        Atmosphere::Dust => "D",
        Atmosphere::Mine => "M",
    };
    if let Some(atex) = &marking.atex {
        let for_it = match atmosphere {
            Atmosphere::Mine => atex.mining,
            _ => {
                !atex.mining
                    && (atex.atmospheres.is_empty() || atex.atmospheres.contains(&atmosphere))
            }
        };
        if !for_it {
            return Some(message!("level-denied-line", line = &atex.raw.value));
        }
    }
    if !marking.epl.is_empty() && marking.epl.iter().all(|e| e.value.atmosphere != atmosphere) {
        let printed: Vec<String> = marking.epl.iter().map(|e| e.value.to_string()).collect();
        return Some(message!(
            "level-denied-epl",
            epl = printed.join("/"),
            letter = letter
        ));
    }
    if case.suspected("type of protection does not fit atmosphere")
        && marking.weaker_sides(atmosphere).is_empty()
    {
        return Some(message!("level-denied-type", types = types(marking)));
    }
    None
}

/// The types outside brackets as they are printed.
fn types(marking: &Marking) -> String {
    let types: Vec<String> = marking
        .own_protections()
        .map(crate::marking::Protection::printed)
        .collect();
    types.join(" ")
}

/// Where a level comes from, in words: `EPL Gb`, `type nA (EPL Gc)`, `category 2 (EPL Gb)`.
fn origin(case: &Case<'_>, marking: &Marking, have: Epl) -> Message {
    if marking.epl.iter().any(|e| e.value == have) {
        return message!("origin-epl", epl = have);
    }
    if case.suspected("da outside gas sensor use") {
        return message!("origin-da", epl = have);
    }
    if let Some(p) = marking.own_protections().find(|p| p.epl == Some(have)) {
        return message!("origin-type", kind = p.printed(), epl = have);
    }
    if let Some(atex) = &marking.atex
        && let Some(category) = atex
            .own_categories()
            .iter()
            .find(|c| c.level() == have.level)
    {
        return message!("origin-category", category = category, epl = have);
    }
    message!("origin-epl", epl = have)
}

impl Rule for LevelOfProtection {
    fn id(&self) -> &'static str {
        "level-of-protection"
    }
    fn question(&self) -> &'static str {
        "Is the level of protection enough for the zone?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-14:2013 5.3-5.4, 1999/92/EC Annex II B (checked)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let (Some(marking), Some(atmosphere)) = (case.marking(), case.atmosphere) else {
            return Vec::new();
        };
        if marking.scheme == Scheme::NecDivision || case.place.division().is_some() {
            return Vec::new();
        }
        let spans = marking
            .epl
            .iter()
            .map(|e| e.span)
            .chain(marking.own_protections().map(|p| p.kind.span))
            .chain(marking.atex.iter().map(|a| a.raw.span))
            .collect::<Vec<_>>();
        let answer =
            |outcome, detail: Message| case.ground(self, outcome, detail).at(spans.clone());
        let Some((need, why)) = needed(case.place, atmosphere) else {
            let (detail, next) = if atmosphere == Atmosphere::Dust {
                (
                    message!("level-no-dust-zone"),
                    message!("next-give-dust-zone"),
                )
            } else {
                (
                    message!("level-no-gas-zone"),
                    message!("next-give-gas-zone"),
                )
            };
            return vec![answer(Outcome::Undecided, detail).next(next)];
        };
        let answer = |outcome, detail: Message| {
            answer(outcome, detail)
                .using("EPL needed", need)
                .using("set by", &why)
        };
        if let Some(reason) = denied(case, marking, atmosphere) {
            return vec![answer(
                Outcome::Unsuitable,
                message!("level-denied", place = &why, reason = reason),
            )];
        }
        let sides = sides(case, marking, atmosphere);
        let (Some(&strong), Some(&weak)) = (sides.first(), sides.last()) else {
            return vec![
                answer(
                    Outcome::Undecided,
                    message!("level-unknown", marking = &marking.text),
                )
                .next(message!("next-certificate-level")),
            ];
        };
        // A wall to another atmosphere or to no hazard has one side only in this one.
        // `Mb/Gb` is no wall: the item may be used in mines or above ground.
        let mining = marking
            .epl
            .iter()
            .any(|e| e.value.atmosphere == Atmosphere::Mine);
        let one_sided = marking.boundary && sides.len() == 1 && !mining;
        let ground = if weak.covers(need) && !one_sided {
            answer(
                Outcome::Suitable,
                message!(
                    "level-enough",
                    have = origin(case, marking, weak),
                    place = &why,
                    need = need
                ),
            )
        } else if strong.covers(need) && marking.short_of_wall(atmosphere).is_some() {
            answer(
                Outcome::Undecided,
                message!(
                    "level-wall-unproven",
                    epl = strong,
                    place = &why,
                    types = types(marking)
                ),
            )
            .next(message!("next-certificate-wall"))
        } else if strong.covers(need) {
            let rest = if one_sided {
                message!("level-wall-other")
            } else {
                message!("level-wall-weak", epl = weak)
            };
            answer(
                Outcome::Conditional,
                message!("level-wall", epl = strong, place = &why, rest = rest),
            )
            .next(message!("next-mount-in-wall"))
        } else {
            answer(
                Outcome::Unsuitable,
                message!(
                    "level-not-enough",
                    have = origin(case, marking, strong),
                    place = &why,
                    need = need
                ),
            )
        };
        vec![ground.using(
            "EPL of the plate",
            if strong == weak {
                strong.to_string()
            } else {
                format!("{strong}/{weak}")
            },
        )]
    }
}
