//! The values of a loop from the plates of its source and devices.
//!
//! A value is taken only where every plausible reading of the plate agrees on it; what is
//! missing, doubtful or printed for several circuits stays missing, and so undecided.

use super::{Device, Exact, LoopGroup, Source, exact_of, number};
use crate::marking::{Group, Level, Marking, ProtectionType, Quantity};
use crate::verdict::PLAUSIBLE;
use crate::{Joint, Line, Message, Plate, Reading, message};

/// A value whose least legible character is less probable than this is not used.
const LEGIBLE: f32 = 0.9;

/// How far Po may lie from Uo · Io / 4 and still be that of a linear source: rounding on plates.
///
/// **Source:** IEC 60079-11, linear source (practice).
const LINEAR: (f64, f64) = (0.97, 1.03);

/// One value of a plate, or why there is none.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateValue {
    /// `Ui`, `Co`, `level`, `group`.
    pub name: &'static str,
    /// Value and unit as used: `30 V`, `ia`; none where it is not used.
    pub value: Option<String>,
    /// Index of the line that it came from.
    pub line: Option<usize>,
    /// The characters of that line.
    pub text: String,
    /// Why it is not used, a sentence.
    pub doubt: Option<Message>,
}

/// A part of a loop with where each of its values came from.
#[derive(Debug, Clone, PartialEq)]
pub struct FromPlate<T> {
    /// The part; what is missing or doubtful is none.
    pub part: T,
    /// Every value that the check needs, in its order.
    pub values: Vec<PlateValue>,
    /// What else must be known, sentences.
    pub notes: Vec<Message>,
}

/// The source of a loop from the plate of associated apparatus, `[Ex ia Ga] IIC`.
pub fn source(lines: &[Line], reading: &Reading) -> FromPlate<Source> {
    let look = Look { lines, reading };
    let mut values = Vec::new();
    let mut notes = Vec::new();
    let level = look.level(true, &mut values);
    let gas_group = look.group(&mut values);
    let mut number = |quantity| look.number(quantity, level.is_some(), &mut values);
    let (uo, io, po) = (
        number(Quantity::Uo),
        number(Quantity::Io),
        number(Quantity::Po),
    );
    let (co, lo, ratio) = (
        number(Quantity::Co),
        number(Quantity::Lo),
        number(Quantity::LoRo),
    );
    let not_simple = is_curved(uo, io, po);
    if not_simple {
        notes.push(message!("loop-plate-curved"));
    } else {
        notes.push(message!("loop-plate-linear"));
    }
    FromPlate {
        part: Source {
            gas_group,
            level,
            uo_v: uo,
            io_ma: io,
            po_mw: po.map(|p| p * Exact::from_integer(1000)),
            co_nf: co,
            lo_uh: lo,
            lo_ro_uh_per_ohm: ratio,
            matched_pair: false,
            not_simple,
        },
        values,
        notes,
    }
}

/// A field device of a loop from its plate, `Ex ia IIC T4 Ga`.
pub fn device(lines: &[Line], reading: &Reading) -> FromPlate<Device> {
    let look = Look { lines, reading };
    let mut values = Vec::new();
    let level = look.level(false, &mut values);
    let mut number = |quantity| look.number(quantity, level.is_some(), &mut values);
    let part = Device {
        level,
        ui_v: number(Quantity::Ui),
        ii_ma: number(Quantity::Ii),
        pi_mw: number(Quantity::Pi).map(|p| p * Exact::from_integer(1000)),
        ci_nf: number(Quantity::Ci),
        li_uh: number(Quantity::Li),
    };
    FromPlate {
        part,
        values,
        notes: Vec::new(),
    }
}

/// True where the three values cannot be those of a linear source.
fn is_curved(uo_v: Option<Exact>, io_ma: Option<Exact>, po_w: Option<Exact>) -> bool {
    let (Some(uo), Some(io), Some(po)) = (uo_v, io_ma, po_w) else {
        return false;
    };
    let matched = number(uo) * number(io) / 4000.0;
    let po = number(po);
    po < matched * LINEAR.0 || po > matched * LINEAR.1
}

struct Look<'a> {
    lines: &'a [Line],
    reading: &'a Reading,
}

impl Look<'_> {
    fn plausible(&self) -> impl Iterator<Item = &Plate> {
        self.reading
            .readings
            .iter()
            .enumerate()
            .filter(|(i, r)| *i == 0 || r.weight >= PLAUSIBLE)
            .map(|(_, r)| &r.plate)
    }

    /// One entity parameter in the unit of its quantity.
    fn number(
        &self,
        quantity: Quantity,
        is_safe: bool,
        values: &mut Vec<PlateValue>,
    ) -> Option<Exact> {
        let best = &self.reading.best().plate;
        let printed = |plate: &Plate| {
            let mut found: Vec<f64> = Vec::new();
            for entity in plate.entity.iter().filter(|e| e.quantity == quantity) {
                if !found.contains(&entity.value.value) {
                    found.push(entity.value.value);
                }
            }
            found
        };
        let name = quantity.name();
        let shown = |value: f64| message!("loop-value", value = value, unit = quantity.unit());
        let entity = best.entity.iter().find(|e| e.quantity == quantity);
        let span = entity.map(|e| e.value.span);
        let text = span
            .and_then(|s| best.lines.get(s.line)?.get(s.start..s.end))
            .unwrap_or_default()
            .to_owned();
        let found = printed(best);
        let mut read_as: Vec<f64> = Vec::new();
        for value in self.plausible().flat_map(&printed) {
            if !read_as.contains(&value) {
                read_as.push(value);
            }
        }
        let list = |values: &[f64]| Message::list(values.iter().map(|v| shown(*v)), Joint::Or);
        let may_be =
            |values: &[f64]| message!("loop-plate-may-be", quantity = name, values = list(values));
        let doubt = match found.as_slice() {
            [] if read_as.is_empty() => Some(message!("loop-plate-not-read", quantity = name)),
            [] => Some(may_be(&read_as)),
            [_] if !is_safe => Some(message!("loop-plate-not-safe", quantity = name)),
            [one] if self.plausible().any(|p| printed(p) != [*one]) => Some(if read_as.len() > 1 {
                may_be(&read_as)
            } else {
                message!(
                    "loop-plate-may-be-else",
                    quantity = name,
                    value = shown(*one)
                )
            }),
            [one] if span.is_some_and(|s| self.least(s) < LEGIBLE) => Some(message!(
                "loop-plate-hard",
                quantity = name,
                value = shown(*one)
            )),
            [_] => None,
            several => Some(message!(
                "loop-plate-several",
                quantity = name,
                values = list(several)
            )),
        };
        let value = match (&doubt, found.first()) {
            (None, Some(value)) => exact_of(*value),
            _ => None,
        };
        values.push(PlateValue {
            name,
            value: value.map(|v| format!("{} {}", number(v), quantity.unit())),
            line: span.map(|s| s.line),
            text,
            doubt,
        });
        value
    }

    /// Probability of the least legible character of a span.
    fn least(&self, span: crate::Span) -> f32 {
        let Some(line) = self.lines.get(span.line) else {
            return 0.0;
        };
        let mut at = 0;
        let mut least = 1.0_f32;
        for glyph in line.glyphs() {
            let end = at + glyph.ch.len_utf8();
            if at < span.end && end > span.start && !glyph.ch.is_whitespace() {
                least = least.min(glyph.probability);
            }
            at = end;
        }
        least
    }

    /// A fact on which every plausible reading must agree.
    fn agreed<T: PartialEq + Clone + ToString>(
        &self,
        name: &'static str,
        missing: Message,
        of: impl Fn(&Plate) -> Option<T>,
        values: &mut Vec<PlateValue>,
    ) -> Option<T> {
        let best = &self.reading.best().plate;
        let found = of(best);
        let span = best
            .markings
            .iter()
            .find(|m| safe_types(m).next().is_some())
            .or(best.markings.first())
            .and_then(|m| m.spans.first());
        let agreed = self.plausible().all(|plate| of(plate) == found);
        let doubt = match &found {
            None => Some(missing),
            Some(_) if !agreed => Some(match name {
                "level" => message!("loop-plate-levels-differ"),
                _ => message!("loop-plate-groups-differ"),
            }),
            Some(_) => None,
        };
        let value = found.filter(|_| doubt.is_none());
        values.push(PlateValue {
            name,
            value: value.as_ref().map(ToString::to_string),
            line: span.map(|s| s.line),
            text: span
                .and_then(|s| best.lines.get(s.line)?.get(s.start..s.end))
                .unwrap_or_default()
                .to_owned(),
            doubt,
        });
        value
    }

    /// The weakest level of the intrinsically safe circuits: those in brackets of a source, those
    /// outside of a device.
    fn level(&self, associated: bool, values: &mut Vec<PlateValue>) -> Option<Level> {
        let missing = if associated {
            message!("loop-plate-no-output")
        } else {
            message!("loop-plate-no-safety")
        };
        let of = |plate: &Plate| {
            let levels: Vec<Option<Level>> = plate
                .markings
                .iter()
                .flat_map(safe_types)
                .filter(|p| p.associated == associated)
                .map(|p| {
                    let letter = p.level.chars().next().and_then(Level::from_letter)?;
                    // An EPL below the type's own bounds the circuit, too.
                    Some(p.circuit_epl.map_or(letter, |e| letter.weaker(e.level)))
                })
                .collect();
            let weakest = levels.iter().copied().collect::<Option<Vec<Level>>>()?;
            weakest.into_iter().max().map(SafeLevel)
        };
        self.agreed("level", missing, of, values).map(|l| l.0)
    }

    /// The group of the column of Co and Lo: that of the circuit, else of the marking.
    fn group(&self, values: &mut Vec<PlateValue>) -> Option<LoopGroup> {
        let of = |plate: &Plate| {
            let with_output = |m: &&Marking| safe_types(m).any(|p| p.associated);
            let groups: Vec<LoopGroup> = plate
                .markings
                .iter()
                .filter(with_output)
                .filter_map(|m| {
                    let circuit = safe_types(m).find_map(|p| p.circuit_group.as_ref());
                    column(circuit.or(m.group.as_ref().map(|g| &g.value))?)
                })
                .collect();
            // A plate for gas and dust has one set of values, that of its gas group.
            groups
                .iter()
                .copied()
                .filter(|g| *g != LoopGroup::III)
                .max()
                .or(groups.first().copied())
        };
        let missing = message!("loop-plate-no-group");
        self.agreed("group", missing, of, values)
    }
}

/// A level as people write it.
#[derive(Clone, Copy, PartialEq)]
struct SafeLevel(Level);

impl std::fmt::Display for SafeLevel {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "i{}", self.0.letter())
    }
}

fn safe_types(marking: &Marking) -> impl Iterator<Item = &crate::marking::Protection> {
    marking.protections.iter().filter(|p| {
        matches!(
            p.kind.value,
            ProtectionType::IntrinsicSafety | ProtectionType::OldDustIntrinsicSafety
        )
    })
}

fn column(group: &Group) -> Option<LoopGroup> {
    Some(match group {
        Group::I => LoopGroup::I,
        Group::IIA => LoopGroup::IIA,
        // The values for IIB hold; hydrogen needs the column of IIC.
        Group::IIB | Group::IIBPlusH2 => LoopGroup::IIB,
        Group::IIC => LoopGroup::IIC,
        Group::III | Group::IIIA | Group::IIIB | Group::IIIC => LoopGroup::III,
        Group::II | Group::American(_) => return None,
    })
}
