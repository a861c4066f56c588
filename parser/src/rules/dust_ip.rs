//! Is the enclosure tight enough for the dust?

use super::group::{letter_group, old_dust};
use super::{Case, Rule};
use crate::marking::{Atmosphere, Category, Epl, Group, Level, Marking, ProtectionType, Scheme};
use crate::tables::{IP_FOR_DUST, IpRow};
use crate::verdict::{Ground, Outcome};
use crate::{Message, message};

/// For t, tD, DIP and EN 50281 plates the first IP digit is part of the protection itself;
/// the harsher of marked group and group of the place counts.
pub(super) struct DustIp;

/// True if the group of the place, or else that of the plate, is conductive.
fn place_group(case: &Case<'_>) -> Option<Group> {
    match &case.place.dust_group {
        Some(Group::American(letters)) => letters.iter().map(|l| letter_group(*l)).max(),
        Some(group) => Some(group.clone()),
        None => case
            .place
            .dusts
            .iter()
            .filter_map(crate::place::NamedSubstance::dust)
            .map(|d| d.group.clone())
            .max(),
    }
}

/// First figure of an enclosure that lets no dust in.
const DUST_TIGHT: u8 = 6;

/// First digit needed and for what.
fn needed(case: &Case<'_>, marking: &Marking) -> Option<(u8, Message)> {
    let place = place_group(case);
    let marked = marking
        .group
        .iter()
        .map(|g| g.value.clone())
        .find(|g| g.atmosphere() == Atmosphere::Dust);
    let group = place.clone().into_iter().chain(marked).max();
    let conductive = place == Some(Group::IIIC);
    let zone_22 = super::level::needed(case.place, Atmosphere::Dust)
        .is_some_and(|(epl, _)| epl == Epl::new(Atmosphere::Dust, Level::C));
    let t = marking
        .own_protections()
        .find(|p| p.kind.value == ProtectionType::DustEnclosure);
    if let Some(t) = t {
        // A level or a group that cannot be told counts as the harshest.
        let harshest = group.as_ref().unwrap_or(&Group::IIIC);
        let row = IpRow::of(IP_FOR_DUST, t.kind.value, &t.level, harshest);
        return Some((
            row.map_or(DUST_TIGHT, |row| row.solids),
            match &group {
                Some(group) => message!("dust-ip-type-group", kind = t.printed(), group = group),
                None => message!("dust-ip-type", kind = t.printed()),
            },
        ));
    }
    let old = marking.own_protections().find(|p| {
        matches!(
            p.kind.value,
            ProtectionType::OldDustEnclosure | ProtectionType::DustIgnitionProof
        )
    });
    let category_alone = old_dust(marking)
        && marking
            .own_protections()
            .all(|p| !p.kind.value.is_old_dust());
    if old.is_none() && !category_alone {
        return None;
    }
    let what = old.map_or_else(
        || message!("dust-ip-category-plate"),
        |old| message!("dust-ip-old-type", kind = old.printed()),
    );
    // Here the zone decides, and category plates follow the types of their time.
    let kind = old.map_or(ProtectionType::OldDustEnclosure, |old| old.kind.value);
    let (level, why) = match (zone_22, conductive) {
        (true, false) => ("A22", message!("dust-ip-zone-22", what = what)),
        (true, true) => ("A22", message!("dust-ip-zone-22-conductive", what = what)),
        (false, _) => ("A21", message!("dust-ip-zones-20-21", what = what)),
    };
    let group = if conductive { Group::IIIC } else { Group::IIIB };
    let row = IpRow::of(IP_FOR_DUST, kind, level, &group);
    Some((row.map_or(DUST_TIGHT, |row| row.solids), why))
}

impl Rule for DustIp {
    fn id(&self) -> &'static str {
        "dust-ip"
    }
    fn question(&self) -> &'static str {
        "Is the enclosure tight enough for the dust?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-31, IEC 61241-1, EN 50281-1-2 (memory)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let (Some(marking), Some(Atmosphere::Dust)) = (case.marking(), case.atmosphere) else {
            return Vec::new();
        };
        if marking.scheme == Scheme::NecDivision {
            return Vec::new();
        }
        let Some((need, why)) = needed(case, marking) else {
            return Vec::new();
        };
        let mut grounds = Vec::new();
        let have = case.plate.ip.as_ref().and_then(|ip| ip.value.best_first());
        let spans: Vec<_> = case.plate.ip.iter().map(|ip| ip.span).collect();
        let ground = match have {
            Some(first) if first >= need => case.ground(
                self,
                Outcome::Suitable,
                message!("dust-ip-enough", have = first, why = why, need = need),
            ),
            Some(first) => case.ground(
                self,
                Outcome::Unsuitable,
                message!("dust-ip-below", have = first, need = need, why = why),
            ),
            None => case
                .ground(
                    self,
                    Outcome::Undecided,
                    message!("dust-ip-none", need = need, why = why),
                )
                .next(message!("next-find-ip")),
        };
        grounds.push(ground.at(spans).using("IP needed", format!("IP{need}X")));
        // The old rule for conductive dust in zone 22 asks for category 2 besides.
        let category_alone = old_dust(marking)
            && marking
                .own_protections()
                .all(|p| !p.kind.value.is_old_dust());
        let only_three = marking
            .atex
            .as_ref()
            .is_some_and(|a| a.own_categories().iter().all(|c| *c == Category::Three));
        if category_alone && only_three && place_group(case) == Some(Group::IIIC) {
            let mut ground = case.ground(
                self,
                Outcome::Unsuitable,
                message!("dust-ip-category-three"),
            );
            ground.source = "EN 50281-1-2 (checked)";
            grounds.push(ground.at(marking.atex.iter().map(|a| a.raw.span)));
        }
        grounds
    }
}
