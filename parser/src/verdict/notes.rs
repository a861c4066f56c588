//! What the answer says besides its grounds.
#![expect(
    clippy::similar_names,
    reason = "plate and place are the words of the trade"
)]

use crate::checks::Severity;
use crate::marking::{Ambient, Atmosphere, Marking, ProtectionType};
use crate::place::{Place, Zone};
use crate::rules::signed;
use crate::{Plate, Suspicion};

/// What must always be shown beside a verdict.
///
/// **Source:** common practice.
pub fn cautions() -> &'static [&'static str] {
    &[
        "Decision support only: the certificate with its conditions, the standards, the local \
         code, the authority and a competent person decide.",
        "The result depends on the reading of a photo: compare every character with the plate \
         before use.",
        "The result depends on the location data entered (zone, group, ignition temperature, \
         layer, ambient): wrong data give a wrong answer.",
        "A suitable plate says nothing about installation, damage, glands, modification, \
         settings, loop or earthing.",
        "Values such as ignition temperatures come from tables: process mixtures, pressure, \
         oxygen enrichment and temperatures outside normal atmospheric conditions are not covered.",
        "Marking to one scheme is not approval under another.",
    ]
}

/// What no plate can tell of a type of protection and somebody must look at.
///
/// **Source:** IEC 60079-17, tables of inspection (checked in part), in words of our own.
const BY_HAND: &[(&[ProtectionType], &str)] = &[
    (
        &[
            ProtectionType::Flameproof,
            ProtectionType::NonElectricalFlameproof,
        ],
        "d: flamepaths, bolts, threads, cable glands and obstacles near the joints must be looked \
         at (IEC 60079-17; checked in part).",
    ),
    (
        &[ProtectionType::IncreasedSafety, ProtectionType::NonSparking],
        "e, nA: cable glands, terminals and seals must be looked at, and for a motor the overload \
         protection (IEC 60079-17; checked in part).",
    ),
    (
        &[
            ProtectionType::Encapsulation,
            ProtectionType::OldDustEncapsulation,
        ],
        "m: the fuse and the supply that the certificate asks for must be looked at (memory).",
    ),
    (
        &[
            ProtectionType::DustEnclosure,
            ProtectionType::OldDustEnclosure,
            ProtectionType::DustIgnitionProof,
        ],
        "t: gaskets, cable glands and how deep the dust lies must be looked at (IEC 60079-17; \
         checked in part).",
    ),
    (
        &[
            ProtectionType::LiquidImmersion,
            ProtectionType::NonElectricalLiquidImmersion,
        ],
        "o, k: kind and level of the liquid must be looked at (memory).",
    ),
    (
        &[
            ProtectionType::OpticalInherentlySafe,
            ProtectionType::OpticalProtected,
            ProtectionType::OpticalInterlock,
        ],
        "op: fibre, connectors and interlock must be looked at (memory).",
    ),
    (
        &[
            ProtectionType::NonElectrical,
            ProtectionType::ConstructionalSafety,
        ],
        "h, c: bearings, clearances, lubrication and temperatures in service must be looked at \
         (memory).",
    ),
];

fn of_types(marking: &Marking, place: &Place, plate: &Plate, notes: &mut Vec<String>) {
    let has = |wanted: &[ProtectionType]| {
        marking
            .own_protections()
            .any(|p| wanted.contains(&p.kind.value))
    };
    let mut add = |text: &str| {
        if !notes.iter().any(|n| n == text) {
            notes.push(text.to_owned());
        }
    };
    for (types, text) in BY_HAND {
        if has(types) {
            add(text);
        }
    }
    if has(&[ProtectionType::RestrictedBreathing]) {
        add(
            "nR: its seal must be checked after any opening, and where a test port exists a \
             pressure test is due at intervals of six months or more (checked).",
        );
    }
    if has(&[
        ProtectionType::Pressurization,
        ProtectionType::PressurizedX,
        ProtectionType::PressurizedY,
        ProtectionType::PressurizedZ,
        ProtectionType::PressurizedRoom,
        ProtectionType::OldDustPressurization,
    ]) {
        add("p: needs its purge system and interlock.");
    }
    if marking.protections.iter().any(|p| {
        matches!(
            p.kind.value,
            ProtectionType::IntrinsicSafety | ProtectionType::OldDustIntrinsicSafety
        )
    }) {
        add("i: the loop must be verified separately; a loop counts as its weakest ia, ib or ic.");
    }
    if marking.protections.iter().any(|p| p.associated) && !marking.associated_only() {
        add("Only the intrinsically safe circuit in brackets reaches the level in the brackets.");
    }
    let dusty = place.atmospheres().contains(&Atmosphere::Dust);
    let first = plate.ip.as_ref().and_then(|ip| ip.value.best_first());
    let by_other_type = !has(&[
        ProtectionType::DustEnclosure,
        ProtectionType::OldDustEnclosure,
        ProtectionType::DustIgnitionProof,
    ]);
    if dusty && by_other_type && first.is_some_and(|f| f < 5) {
        add("The IP code is below IP5X; the certificate may place the item in another enclosure.");
    }
    if let Some(temperature) = &marking.temperature
        && matches!(temperature.value, crate::marking::Temperature::Range(..))
        && has(&[ProtectionType::NonElectrical])
    {
        add("h: the class of the range usually follows the process temperature, not the ambient.");
    }
}

/// Defaults that were used, findings that decide nothing, and what to see to.
pub(super) fn notes(plate: &Plate, suspicions: &[Suspicion], place: &Place) -> Vec<String> {
    let mut notes = Vec::new();
    let range = format!(
        "{} to {}",
        signed(Ambient::DEFAULT.low_c),
        signed(Ambient::DEFAULT.high_c)
    );
    if !plate.markings.is_empty() {
        if plate.ambient.is_none() {
            notes.push(format!(
                "No ambient range is printed: {range} is taken (IEC 60079-0:2017 5.1.1; checked)."
            ));
        }
        if place.ambient.is_none() {
            notes.push(format!(
                "The ambient range of the place is not given: {range} is taken."
            ));
        }
    }
    if place.zone == Some(Zone::NonHazardous) && (place.speaks_of_gas() || place.speaks_of_dust()) {
        notes.push("The place is non-hazardous: the gas or dust given was not used.".to_owned());
    }
    if place.atmospheres() == [Atmosphere::Mine] && place.speaks_of_dust() {
        notes.push(
            "In a mine the dust given was not used: coal dust is covered by group I.".to_owned(),
        );
    }
    for marking in &plate.markings {
        of_types(marking, place, plate, &mut notes);
    }
    for named in place.gases.iter().chain(&place.dusts) {
        if named.row.is_none() {
            notes.push(format!(
                "'{}' is not in the table: only the values given stand for it.",
                named.name
            ));
        }
    }
    for named in &place.gases {
        if let Some(gas) = named.gas()
            && !gas.note.is_empty()
        {
            notes.push(format!("{}: {}.", gas.name, gas.note));
        }
    }
    for named in &place.dusts {
        if let Some(dust) = named.dust()
            && !dust.note.is_empty()
        {
            notes.push(format!("{}: {}.", dust.name, dust.note));
        }
    }
    for s in suspicions.iter().filter(|s| s.severity == Severity::Note) {
        notes.push(format!("{}: {}", s.check, s.detail));
    }
    notes
}
