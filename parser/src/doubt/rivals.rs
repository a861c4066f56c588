//! Shapes that allow two values: one reading for each.

use super::readings::KEPT;
use super::{Weighted, weigh};
use crate::marking::Marking;
use crate::{Plate, Read, Span, grammar};

/// A reading whose shapes allow other values becomes one reading for each value, in equal shares:
/// the grammar has no ground to prefer one.
/// At most so many are made; true where there are more.
pub(super) fn split_rivals(reading: Weighted, room: usize) -> (Vec<Weighted>, bool) {
    let most = room.min(KEPT);
    // One more than there is room for tells that there are more.
    let mut variants = variants(&reading.plate, most + 1);
    let cut = variants.len() > most;
    variants.truncate(most);
    if variants.is_empty() {
        return (vec![reading], cut);
    }
    let share = reading.weight / (variants.len() + 1) as f64;
    let mut split: Vec<Weighted> = variants
        .into_iter()
        .map(|(plate, span, to)| {
            let mut changes = reading.changes.clone();
            changes.push((span, to));
            weigh(plate, share, changes)
        })
        .collect();
    split.insert(
        0,
        Weighted {
            // A breath more, so that the value named first stays first.
            weight: share * 1.0001,
            ..reading
        },
    );
    (split, cut && room < KEPT)
}

type Variant = (Plate, Span, String);

/// The plate with one rival in the place of its value, for every rival.
fn variants(plate: &Plate, most: usize) -> Vec<Variant> {
    let mut found: Vec<Variant> = Vec::new();
    for index in 0..plate.markings.len() {
        let marking = &plate.markings[index];
        let mut push = |span: Span, to: String, change: &dyn Fn(&mut Marking)| {
            if found.len() < most {
                let mut variant = plate.clone();
                change(&mut variant.markings[index]);
                grammar::settle_worth(&mut variant.markings[index]);
                found.push((variant, span, to));
            }
        };
        if let Some(group) = &marking.group {
            for rival in &group.rivals {
                push(group.span, rival.to_string(), &|m| {
                    set(&mut m.group, rival.clone());
                });
            }
        }
        if let Some(temperature) = &marking.temperature {
            for rival in &temperature.rivals {
                push(temperature.span, rival.to_string(), &|m| {
                    set(&mut m.temperature, rival.clone());
                });
            }
        }
        if let Some(dust) = &marking.dust_temperature {
            for rival in &dust.rivals {
                push(dust.span, rival.to_string(), &|m| {
                    set(&mut m.dust_temperature, *rival);
                });
            }
        }
        for (at, epl) in marking.epl.iter().enumerate() {
            for rival in &epl.rivals {
                push(epl.span, rival.to_string(), &|m| m.epl[at].value = *rival);
            }
        }
        for (at, protection) in marking.protections.iter().enumerate() {
            for rival in &protection.kind.rivals {
                push(protection.kind.span, rival.to_string(), &|m| {
                    m.protections[at].kind.value = *rival;
                });
            }
        }
        if let Some(line) = &marking.atex {
            for (at, token) in line.categories.iter().enumerate() {
                for rival in &token.rivals {
                    push(token.span, rival.to_string(), &|m| {
                        if let Some(line) = &mut m.atex {
                            line.categories[at].value = *rival;
                        }
                    });
                }
            }
        }
        if let Some(division) = &marking.american.division {
            for rival in &division.rivals {
                push(division.span, rival.to_string(), &|m| {
                    set(&mut m.american.division, *rival);
                });
            }
        }
        if let Some(zone) = &marking.american.zone {
            for rival in &zone.rivals {
                push(zone.span, rival.to_string(), &|m| {
                    set(&mut m.american.zone, *rival);
                });
            }
        }
    }
    for (at, entity) in plate.entity.iter().enumerate() {
        for rival in &entity.value.rivals {
            if found.len() >= most {
                break;
            }
            let mut variant = plate.clone();
            variant.entity[at].value.value = *rival;
            let unit = entity.quantity.unit();
            found.push((
                variant,
                entity.value.span,
                format!("{} = {rival} {unit}", entity.quantity),
            ));
        }
    }
    if let Some(ambient) = &plate.ambient {
        for rival in &ambient.rivals {
            if found.len() >= most {
                break;
            }
            let mut variant = plate.clone();
            set(&mut variant.ambient, *rival);
            found.push((
                variant,
                ambient.span,
                format!("{} to {} °C", rival.low_c, rival.high_c),
            ));
        }
    }
    found
}

fn set<T>(slot: &mut Option<Read<T>>, value: T) {
    if let Some(read) = slot {
        read.value = value;
    }
}
