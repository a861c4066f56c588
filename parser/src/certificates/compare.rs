//! What a plate claims against what its certificate says.

use super::CertificateEntry;
use crate::Span;
use crate::marking::{
    Ambient, AtexLine, Atmosphere, Category, Epl, Group, Level, Marking, Suffix, Temperature,
};
use crate::verdict::Outcome;
use crate::{Message, Plate, Read, message, signed};

/// One difference between plate and certificate.
///
/// Where the plate claims more than was certified, or something else, it is the wrong item, a
/// wrong plate or a changed item: undecided until somebody has found out which. Where it claims
/// less, the plate holds and the difference has to be explained: conditional.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Difference {
    pub(crate) what: Message,
    pub(crate) plate: Message,
    pub(crate) certificate: Message,
    pub(crate) outcome: Outcome,
    pub(crate) spans: Vec<Span>,
}

impl Difference {
    fn new(what: Message, plate: Message, certificate: Message) -> Self {
        Self {
            what,
            plate,
            certificate,
            outcome: Outcome::Undecided,
            spans: Vec::new(),
        }
    }

    fn less(mut self, claims_less: bool) -> Self {
        if claims_less {
            self.outcome = Outcome::Conditional;
        }
        self
    }

    fn at(mut self, spans: impl IntoIterator<Item = Span>) -> Self {
        self.spans.extend(spans);
        self
    }
}

/// What a plate prints, or that it prints nothing of the kind.
fn words(printed: &[String], between: &str) -> Message {
    if printed.is_empty() {
        message!("compare-none")
    } else {
        Message::verbatim(printed.join(between))
    }
}

/// The worst outcome of a list of differences and their number; no difference is the mildest.
fn mildest(differences: &[Difference]) -> (Outcome, usize) {
    let worst = differences
        .iter()
        .map(|d| d.outcome)
        .min()
        .unwrap_or(Outcome::Suitable);
    (worst, differences.len())
}

/// Every difference between a plate and one entry. Markings are held against the nearest one
/// of the certificate for the same atmosphere; an atmosphere that the certificate does not speak
/// of is left to the caller, for another certificate of the plate may.
pub(crate) fn against(plate: &Plate, entry: &CertificateEntry) -> Vec<Difference> {
    let mut all = Vec::new();
    for marking in &plate.markings {
        for atmosphere in marking.atmospheres() {
            let nearest = entry
                .plate()
                .markings
                .iter()
                .filter(|m| m.speaks_of(atmosphere))
                .map(|certified| markings(marking, certified, atmosphere))
                .min_by_key(|d| {
                    let (worst, count) = mildest(d);
                    (std::cmp::Reverse(worst), count)
                });
            for difference in nearest.into_iter().flatten() {
                if !all.contains(&difference) {
                    all.push(difference);
                }
            }
        }
    }
    all.extend(ambient(plate, entry));
    all.extend(kind(plate, entry));
    all.extend(suffix(plate, entry));
    all
}

fn markings(plate: &Marking, certified: &Marking, atmosphere: Atmosphere) -> Vec<Difference> {
    [
        types(plate, certified, atmosphere),
        group(plate, certified, atmosphere),
        only_gas(plate, certified),
        temperature(plate, certified, atmosphere),
        dust_temperature(plate, certified, atmosphere),
        level(plate, certified, atmosphere),
        category(plate, certified),
        place(plate, certified),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn types(plate: &Marking, certified: &Marking, atmosphere: Atmosphere) -> Option<Difference> {
    let kinds = |marking: &Marking| {
        let mut kinds: Vec<_> = marking
            .protections
            .iter()
            .map(|p| {
                (
                    p.kind.value,
                    p.associated,
                    p.circuit_epl,
                    p.circuit_group.clone(),
                )
            })
            .collect();
        kinds.sort_unstable();
        kinds
    };
    let shown = |marking: &Marking| {
        let types: Vec<String> = marking
            .protections
            .iter()
            .map(|p| {
                if p.associated {
                    format!("[{}]", p.printed())
                } else {
                    p.printed()
                }
            })
            .collect();
        words(&types, " ")
    };
    let spans = plate.protections.first().map(|p| p.kind.span);
    let (have, allowed) = (shown(plate), shown(certified));
    if kinds(plate) != kinds(certified) {
        return Some(Difference::new(message!("compare-type"), have, allowed).at(spans));
    }
    // The same types with other level letters; old marking without letters has the level that
    // the type alone gives.
    let levels = |marking: &Marking| {
        let mut levels: Vec<_> = marking
            .protections
            .iter()
            .filter(|p| p.epl.is_none_or(|e| e.atmosphere == atmosphere))
            .map(|p| (p.kind.value, p.associated, p.epl))
            .collect();
        levels.sort_unstable();
        levels
    };
    let (plate_levels, certified_levels) = (levels(plate), levels(certified));
    if plate_levels == certified_levels {
        return None;
    }
    let claims_less = plate_levels.len() == certified_levels.len()
        && plate_levels
            .iter()
            .zip(&certified_levels)
            .all(|(have, allowed)| match (have.2, allowed.2) {
                (Some(have), Some(allowed)) => allowed.covers(have),
                (have, allowed) => have == allowed,
            });
    Some(
        Difference::new(message!("compare-level"), have, allowed)
            .less(claims_less)
            .at(spans),
    )
}

fn group_of(marking: &Marking, atmosphere: Atmosphere) -> Option<&Group> {
    marking
        .group
        .iter()
        .map(|g| &g.value)
        .chain(&marking.second_group)
        .find(|g| g.atmosphere() == atmosphere)
}

fn group(plate: &Marking, certified: &Marking, atmosphere: Atmosphere) -> Option<Difference> {
    // A group that cannot be read on the plate is the matter of other rules.
    let have = group_of(plate, atmosphere)?;
    let span = plate.group.as_ref().map(|g| g.span);
    let Some(allowed) = group_of(certified, atmosphere) else {
        return Some(
            Difference::new(
                message!("compare-group"),
                Message::verbatim(have),
                message!("compare-none"),
            )
            .at(span),
        );
    };
    if have == allowed {
        return None;
    }
    let claims_less = match (have, allowed) {
        (Group::American(have), Group::American(allowed)) => {
            have.iter().all(|letter| allowed.contains(letter))
        }
        _ => have.rank() > 0 && have.rank() < allowed.rank(),
    };
    Some(
        Difference::new(
            message!("compare-group"),
            Message::verbatim(have),
            Message::verbatim(allowed),
        )
        .less(claims_less)
        .at(span),
    )
}

fn only_gas(plate: &Marking, certified: &Marking) -> Option<Difference> {
    let only = |gas: Option<&Read<String>>| gas.map(|g| g.value.trim().to_lowercase());
    let (have, allowed) = (
        only(plate.only_gas.as_ref()),
        only(certified.only_gas.as_ref()),
    );
    if have == allowed {
        return None;
    }
    let claims_less = allowed.is_none();
    let shown = |gas: Option<String>| match gas {
        Some(gas) => message!("compare-gas-only", gas = gas),
        None => message!("compare-every-gas"),
    };
    Some(
        Difference::new(message!("compare-gas"), shown(have), shown(allowed))
            .less(claims_less)
            .at(plate.only_gas.as_ref().map(|g| g.span)),
    )
}

/// Coldest and hottest surface that a marking allows for.
fn surface(temperature: &Temperature) -> Option<(f64, f64)> {
    let limits: Vec<f64> = match temperature {
        Temperature::Class(class) => vec![class.limit_c()],
        Temperature::Range(a, b) => vec![a.limit_c(), b.limit_c()],
        Temperature::MaxSurface { celsius, .. } => vec![*celsius],
        Temperature::ByAmbient(classes) => classes.iter().map(|c| c.class.limit_c()).collect(),
    };
    let coldest = limits.iter().copied().reduce(f64::min)?;
    let hottest = limits.iter().copied().reduce(f64::max)?;
    Some((coldest, hottest))
}

fn temperature(plate: &Marking, certified: &Marking, atmosphere: Atmosphere) -> Option<Difference> {
    if atmosphere == Atmosphere::Dust {
        return None;
    }
    let have = plate.temperature.as_ref()?;
    let Some(allowed) = &certified.temperature else {
        return Some(
            Difference::new(
                message!("compare-temperature"),
                Message::verbatim(&have.value),
                message!("compare-none"),
            )
            .at(Some(have.span)),
        );
    };
    if have.value == allowed.value {
        return None;
    }
    let (coldest, hottest) = surface(&have.value)?;
    let (least, most) = surface(&allowed.value)?;
    if (coldest, hottest) == (least, most) {
        return None;
    }
    // T5 under a certificate for T6...T4: one of its classes, but which item has which?
    let claims_less = coldest >= least;
    Some(
        Difference::new(
            message!("compare-temperature"),
            Message::verbatim(&have.value),
            Message::verbatim(&allowed.value),
        )
        .less(claims_less)
        .at(Some(have.span)),
    )
}

fn dust_temperature(
    plate: &Marking,
    certified: &Marking,
    atmosphere: Atmosphere,
) -> Option<Difference> {
    if atmosphere != Atmosphere::Dust {
        return None;
    }
    let have = plate.dust_temperature.as_ref()?;
    let Some(allowed) = &certified.dust_temperature else {
        return Some(
            Difference::new(
                message!("compare-dust-temperature"),
                Message::verbatim(have.value),
                message!("compare-none"),
            )
            .at(Some(have.span)),
        );
    };
    if have.value == allowed.value {
        return None;
    }
    let claims_less = have.value.celsius >= allowed.value.celsius
        && have.value.layer_mm == allowed.value.layer_mm;
    Some(
        Difference::new(
            message!("compare-dust-temperature"),
            Message::verbatim(have.value),
            Message::verbatim(allowed.value),
        )
        .less(claims_less)
        .at(Some(have.span)),
    )
}

fn level(plate: &Marking, certified: &Marking, atmosphere: Atmosphere) -> Option<Difference> {
    let of = |marking: &Marking| {
        let mut levels: Vec<Epl> = marking
            .levels()
            .into_iter()
            .filter(|e| e.atmosphere == atmosphere)
            .collect();
        levels.sort_unstable();
        levels
    };
    let (have, allowed) = (of(plate), of(certified));
    if have == allowed || have.is_empty() {
        return None;
    }
    let shown = |levels: &[Epl]| {
        let levels: Vec<String> = levels.iter().map(ToString::to_string).collect();
        words(&levels, "/")
    };
    let claims_less = matches!(
        (have.first(), allowed.first()),
        (Some(have), Some(allowed)) if allowed.covers(*have)
    );
    Some(
        Difference::new(Message::verbatim("EPL"), shown(&have), shown(&allowed))
            .less(claims_less)
            .at(plate.epl.first().map(|e| e.span)),
    )
}

fn category(plate: &Marking, certified: &Marking) -> Option<Difference> {
    let (have, allowed) = (plate.atex.as_ref()?, certified.atex.as_ref()?);
    let tokens = |line: &AtexLine| {
        let tokens: Vec<String> = line
            .categories
            .iter()
            .map(|c| c.value.to_string())
            .collect();
        tokens.join(" ")
    };
    if tokens(have) == tokens(allowed) && have.mining == allowed.mining {
        return None;
    }
    let strongest = |line: &AtexLine| line.own_categories().into_iter().map(Category::level).min();
    let claims_less = have.mining == allowed.mining
        && matches!(
            (strongest(have), strongest(allowed)),
            (Some(have), Some(allowed)) if weaker(have, allowed)
        );
    Some(
        Difference::new(
            message!("compare-category"),
            Message::verbatim(&have.raw.value),
            Message::verbatim(&allowed.raw.value),
        )
        .less(claims_less)
        .at(Some(have.raw.span)),
    )
}

fn weaker(have: Level, allowed: Level) -> bool {
    have > allowed
}

fn place(plate: &Marking, certified: &Marking) -> Option<Difference> {
    let shown = |marking: &Marking| {
        let american = &marking.american;
        let division = american.division.as_ref().map(|d| d.value);
        let zone = american.zone.as_ref().map(|z| z.value);
        let printed: Vec<String> = [
            american.class.map(|c| format!("Class {c}")),
            division.map(|d| format!("Division {d}")),
            zone.map(|z| format!("Zone {z}")),
        ]
        .into_iter()
        .flatten()
        .collect();
        words(&printed, ", ")
    };
    let (have, allowed) = (shown(plate), shown(certified));
    (have != allowed).then(|| {
        Difference::new(message!("compare-place"), have, allowed).at(plate.spans.first().copied())
    })
}

fn ambient(plate: &Plate, entry: &CertificateEntry) -> Option<Difference> {
    let have = plate.ambient.as_ref().map_or(Ambient::DEFAULT, |a| a.value);
    let allowed = entry.ambient().unwrap_or(Ambient::DEFAULT);
    if have == allowed {
        return None;
    }
    let shown = |range: Ambient, given: bool| {
        let range = message!(
            "compare-range",
            low = signed(range.low_c),
            high = signed(range.high_c)
        );
        if given {
            range
        } else {
            message!("compare-range-not-given", range = range)
        }
    };
    let within = have.low_c >= allowed.low_c && have.high_c <= allowed.high_c;
    Some(
        Difference::new(
            message!("compare-ambient"),
            shown(have, plate.ambient.is_some()),
            shown(allowed, entry.ambient().is_some()),
        )
        .less(within)
        .at(plate.ambient.as_ref().map(|a| a.span)),
    )
}

fn kind(plate: &Plate, entry: &CertificateEntry) -> Option<Difference> {
    if entry.kinds().is_empty() {
        return None;
    }
    let Some(printed) = &plate.kind else {
        return Some(
            Difference::new(
                message!("compare-kind"),
                message!("compare-kind-not-read"),
                Message::verbatim(entry.kinds()),
            )
            .less(true),
        );
    };
    (entry.is_for(&printed.value) == Some(false)).then(|| {
        Difference::new(
            message!("compare-kind"),
            Message::verbatim(&printed.value),
            Message::verbatim(entry.kinds()),
        )
        .at(Some(printed.span))
    })
}

fn suffix(plate: &Plate, entry: &CertificateEntry) -> Option<Difference> {
    let allowed = entry.suffix();
    let printed = plate
        .certificates
        .iter()
        .find(|c| super::key::key(&c.number.value) == entry.key)?;
    let have = printed.suffix;
    // X may also stand at the end of the marking.
    let x_elsewhere = allowed == Suffix::X && have == Suffix::None && plate.has_x();
    if have == allowed || x_elsewhere {
        return None;
    }
    let shown = |suffix: Suffix| match suffix {
        Suffix::None => message!("compare-no-suffix"),
        other => Message::verbatim(other),
    };
    // X on the plate alone asks for more care than the certificate does.
    let claims_less = have == Suffix::X && allowed == Suffix::None;
    Some(
        Difference::new(message!("compare-suffix"), shown(have), shown(allowed))
            .less(claims_less)
            .at(printed.spans.iter().copied()),
    )
}
