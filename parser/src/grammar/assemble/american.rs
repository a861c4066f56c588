//! North American findings as markings: one a class.

use super::{Placed, blank};
use crate::grammar::American;
use crate::grammar::text::Text;
use crate::marking::{
    AmericanPlace, Group, Marking, Protection, ProtectionType, Scheme, letter_class,
};

/// True where a type of a list can be meant for a class of it.
///
/// **Source:** NEC 500.7 (memory).
fn serves(kind: ProtectionType, class: u8) -> bool {
    match kind {
        ProtectionType::AmericanExplosionproof => class == 1,
        ProtectionType::AmericanDustIgnitionproof => class != 1,
        _ => true,
    }
}

/// One marking a class; letters go to the class that they belong to.
pub(super) fn markings(text: &Text, found: &American) -> Vec<Placed> {
    let single = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ");
    let raw = single(&text.as_str()[found.start..found.end]);
    let mut tidy = String::new();
    let mut at = found.start;
    for (from, to, meant) in &found.repairs {
        tidy.push_str(&text.as_str()[at..*from]);
        tidy.push_str(meant);
        at = *to;
    }
    tidy.push_str(&text.as_str()[at..found.end]);
    let tidy = single(&tidy);
    let scheme = if found.place.zone.is_some() {
        Scheme::NecZone
    } else {
        Scheme::NecDivision
    };
    let several = found.classes.len() > 1;
    found
        .classes
        .iter()
        .map(|&class| {
            let mut marking = blank(tidy.clone(), scheme);
            marking.read_as = (raw != tidy).then(|| raw.clone());
            marking.unknown_group.clone_from(&found.unknown_group);
            marking.spans = text.spans(found.start, found.end);
            marking.american = AmericanPlace {
                class: Some(class),
                ..found.place.clone()
            };
            marking.group.clone_from(&found.group);
            if let Some(letters) = &found.letters {
                let own: Vec<char> = letters
                    .value
                    .iter()
                    .copied()
                    .filter(|l| !several || letter_class(*l) == Some(class))
                    .collect();
                if !own.is_empty() {
                    marking.group = Some(letters.clone().map(|_| Group::American(own.clone())));
                }
            }
            marking.protections.clone_from(&found.string);
            let string = !found.string.is_empty();
            let types = found.types.iter().filter(|((kind, associated), _)| {
                // `Ex ia, intrinsically safe` says it twice.
                let twice =
                    string && *kind == ProtectionType::AmericanIntrinsicSafety && !associated;
                !twice && (!several || serves(*kind, class))
            });
            marking
                .protections
                .extend(types.map(|((_, associated), read)| Protection {
                    kind: read.clone(),
                    level: String::new(),
                    epl: None,
                    associated: *associated,
                    circuit_group: None,
                    circuit_epl: None,
                }));
            marking.temperature.clone_from(&found.temperature);
            marking.unknown_class.clone_from(&found.unknown_class);
            Placed {
                at: found.start,
                marking,
            }
        })
        .collect()
}

/// A temperature code behind the last of several classes holds for those right before it.
pub(super) fn share_codes(placed: &mut [Placed]) {
    for index in (1..placed.len()).rev() {
        let (before, after) = placed.split_at_mut(index);
        let (first, second) = (&mut before[index - 1].marking, &after[0].marking);
        let types =
            |m: &Marking| -> Vec<_> { m.protections.iter().map(|p| p.kind.value).collect() };
        if first.scheme == Scheme::NecDivision
            && second.scheme == Scheme::NecDivision
            // A marking of another type has a code of its own.
            && types(first) == types(second)
            && first.temperature.is_none()
            && first.unknown_class.is_none()
        {
            first.temperature.clone_from(&second.temperature);
        }
    }
}

/// `AEx ia IIC T4 Ga` and then `Class I, Zone 0`: words of a zone with nothing behind them belong
/// to the string before them. True where there was one.
pub(super) fn behind_string(text: &Text, placed: &mut [Placed], found: &American) -> bool {
    let alone = found.place.zone.is_some()
        && found.types.is_empty()
        && found.letters.is_none()
        && found.group.is_none()
        && found.temperature.is_none()
        && found.unknown_class.is_none()
        && found.unknown_group.is_none();
    let Some(Placed { marking, .. }) = placed.last_mut().filter(|_| alone) else {
        return false;
    };
    if marking.protections.is_empty()
        || marking.scheme == Scheme::NecDivision
        || marking.american != AmericanPlace::default()
    {
        return false;
    }
    marking.american = AmericanPlace {
        class: found.classes.first().copied(),
        ..found.place.clone()
    };
    if marking.scheme == Scheme::Iec && !found.classes.is_empty() {
        marking.scheme = Scheme::Cec;
    }
    marking.spans.extend(text.spans(found.start, found.end));
    true
}
