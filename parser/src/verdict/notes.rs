//! What the answer says besides its grounds.
#![expect(
    clippy::similar_names,
    reason = "plate and place are the words of the trade"
)]

use crate::checks::Severity;
use crate::marking::{Ambient, Atmosphere, Marking, ProtectionType};
use crate::place::{Place, Zone};
use crate::{Message, Plate, Suspicion, message, signed};

/// What must always be shown beside a verdict.
///
/// **Source:** common practice.
pub fn cautions() -> Vec<Message> {
    vec![
        message!("caution-decision"),
        message!("caution-reading"),
        message!("caution-place"),
        message!("caution-installation"),
        message!("caution-tables"),
        message!("caution-schemes"),
    ]
}

/// Types of protection and what to say of them.
type Row = (&'static [ProtectionType], fn() -> Message);

/// What no plate can tell of a type of protection and somebody must look at.
///
/// **Source:** IEC 60079-17, tables of inspection (checked in part), in words of our own.
const BY_HAND: &[Row] = &[
    (
        &[
            ProtectionType::Flameproof,
            ProtectionType::NonElectricalFlameproof,
        ],
        || message!("by-hand-d"),
    ),
    (
        &[ProtectionType::IncreasedSafety, ProtectionType::NonSparking],
        || message!("by-hand-e"),
    ),
    (
        &[
            ProtectionType::Encapsulation,
            ProtectionType::OldDustEncapsulation,
        ],
        || message!("by-hand-m"),
    ),
    (
        &[
            ProtectionType::DustEnclosure,
            ProtectionType::OldDustEnclosure,
            ProtectionType::DustIgnitionProof,
        ],
        || message!("by-hand-t"),
    ),
    (
        &[
            ProtectionType::LiquidImmersion,
            ProtectionType::NonElectricalLiquidImmersion,
        ],
        || message!("by-hand-o"),
    ),
    (
        &[
            ProtectionType::OpticalInherentlySafe,
            ProtectionType::OpticalProtected,
            ProtectionType::OpticalInterlock,
        ],
        || message!("by-hand-op"),
    ),
    (
        &[
            ProtectionType::NonElectrical,
            ProtectionType::ConstructionalSafety,
        ],
        || message!("by-hand-h"),
    ),
];

fn of_table(name: Message, note: &str) -> Message {
    message!(
        "note-of-table",
        name = name,
        note = crate::substance::remark(note)
    )
}

fn of_types(marking: &Marking, place: &Place, plate: &Plate, notes: &mut Vec<Message>) {
    let has = |wanted: &[ProtectionType]| {
        marking
            .own_protections()
            .any(|p| wanted.contains(&p.kind.value))
    };
    let mut add = |note: Message| {
        if !notes.contains(&note) {
            notes.push(note);
        }
    };
    for (types, note) in BY_HAND {
        if has(types) {
            add(note());
        }
    }
    if has(&[ProtectionType::RestrictedBreathing]) {
        add(message!("note-restricted-breathing"));
    }
    if has(&[
        ProtectionType::Pressurization,
        ProtectionType::PressurizedX,
        ProtectionType::PressurizedY,
        ProtectionType::PressurizedZ,
        ProtectionType::PressurizedRoom,
        ProtectionType::OldDustPressurization,
    ]) {
        add(message!("note-pressurization"));
    }
    if marking.protections.iter().any(|p| {
        matches!(
            p.kind.value,
            ProtectionType::IntrinsicSafety | ProtectionType::OldDustIntrinsicSafety
        )
    }) {
        add(message!("note-loop"));
    }
    if marking.protections.iter().any(|p| p.associated) && !marking.associated_only() {
        add(message!("note-circuit"));
    }
    let dusty = place.atmospheres().contains(&Atmosphere::Dust);
    let first = plate.ip.as_ref().and_then(|ip| ip.value.best_first());
    let by_other_type = !has(&[
        ProtectionType::DustEnclosure,
        ProtectionType::OldDustEnclosure,
        ProtectionType::DustIgnitionProof,
    ]);
    if dusty && by_other_type && first.is_some_and(|f| f < 5) {
        add(message!("note-low-ip"));
    }
    if let Some(temperature) = &marking.temperature
        && matches!(temperature.value, crate::marking::Temperature::Range(..))
        && has(&[ProtectionType::NonElectrical])
    {
        add(message!("note-process-temperature"));
    }
}

/// Defaults that were used, findings that decide nothing, and what to see to.
pub(super) fn notes(plate: &Plate, suspicions: &[Suspicion], place: &Place) -> Vec<Message> {
    let mut notes = Vec::new();
    let low = signed(Ambient::DEFAULT.low_c);
    let high = signed(Ambient::DEFAULT.high_c);
    if !plate.markings.is_empty() {
        if plate.ambient.is_none() {
            notes.push(message!(
                "note-no-ambient-printed",
                low = low.clone(),
                high = high.clone()
            ));
        }
        if place.ambient.is_none() {
            notes.push(message!("note-no-ambient-given", low = low, high = high));
        }
    }
    if place.zone == Some(Zone::NonHazardous) && (place.speaks_of_gas() || place.speaks_of_dust()) {
        notes.push(message!("note-non-hazardous"));
    }
    if place.atmospheres() == [Atmosphere::Mine] && place.speaks_of_dust() {
        notes.push(message!("note-dust-in-mine"));
    }
    for marking in &plate.markings {
        of_types(marking, place, plate, &mut notes);
    }
    for named in place.gases.iter().chain(&place.dusts) {
        if named.row.is_none() {
            notes.push(message!("note-not-in-table", name = &named.name));
        }
    }
    for named in &place.gases {
        if let Some(gas) = named.gas()
            && !gas.note.is_empty()
        {
            notes.push(of_table(gas.said(), gas.note));
        }
    }
    for named in &place.dusts {
        if let Some(dust) = named.dust()
            && !dust.note.is_empty()
        {
            notes.push(of_table(dust.said(), dust.note));
        }
    }
    for s in suspicions.iter().filter(|s| s.severity == Severity::Note) {
        notes.push(s.said());
    }
    notes
}
