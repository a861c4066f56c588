//! An intrinsically safe loop: how it is taken in and what its check answers.

mod plate;

pub use plate::{LoopPlateDto, LoopPlates, LoopValueDto, PlateInput};

use super::{KeyError, rounded};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;
use vetplate_parser::loops::{
    Cable, Device, Exact, Line, Loop, LoopGroup, LoopVerdict, Source, check, exact_of, number,
};
use vetplate_parser::marking::Level;
use vetplate_parser::{Language, Message};

/// A simple loop: one source, its devices, one cable. Units stand in the keys; a value that
/// is not given counts as missing, never as 0.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = Loop, example = json!({
    "source": {"gas_group": "IIC", "uo_v": 28, "io_ma": 93, "po_mw": 651, "co_nf": 83, "lo_uh": 4200},
    "devices": [{"ui_v": 30, "ii_ma": 100, "pi_mw": 1000, "ci_nf": 3, "li_uh": 10}],
    "cable": {"length_m": 300, "c_pf_per_m": 200, "l_uh_per_m": 1}
}))]
pub struct LoopDto {
    /// Name of the loop, repeated in the answer.
    #[serde(default)]
    pub id: Option<String>,
    /// A remark for people; it changes nothing.
    #[serde(default)]
    pub note: Option<String>,
    /// The associated apparatus.
    pub source: LoopSourceDto,
    /// The field devices, at least one.
    pub devices: Vec<LoopDeviceDto>,
    /// The cable.
    pub cable: LoopCableDto,
    /// Group of the place: `I`, `IIA`, `IIB`, `IIC` or `III`.
    #[serde(default)]
    pub place_group: Option<String>,
    /// Level that the place needs: `ia`, `ib` or `ic`.
    #[serde(default)]
    pub place_level: Option<String>,
    /// Language of the sentences of the answer: `en`, `de` or `fr`.
    #[serde(default)]
    pub language: Option<String>,
    /// What somebody expects of the check; it changes nothing.
    #[serde(default)]
    #[schema(value_type = Option<Object>)]
    pub expect: Option<Value>,
    /// Whether a case lies at a limit; it changes nothing.
    #[serde(default)]
    pub boundary: Option<bool>,
}

/// The associated apparatus, by its values or by its plate; values outrank the plate.
#[derive(Debug, Clone, Default, Deserialize, ToSchema)]
#[serde(default, deny_unknown_fields)]
#[schema(as = LoopSource)]
#[expect(
    missing_docs,
    reason = "the other keys are the printed names with their units"
)]
pub struct LoopSourceDto {
    /// The text of its plate; `;` or a line break separates the lines.
    pub plate: Option<String>,
    /// Group of the column that Co, Lo and Lo/Ro were taken from.
    pub gas_group: Option<String>,
    /// `ia`, `ib` or `ic`.
    pub level: Option<String>,
    pub uo_v: Option<f64>,
    pub io_ma: Option<f64>,
    pub po_mw: Option<f64>,
    pub co_nf: Option<f64>,
    pub lo_uh: Option<f64>,
    pub lo_ro_uh_per_ohm: Option<f64>,
    /// Co and Lo are one of the matched pairs of the certificate, which are never halved.
    pub matched_pair: bool,
    /// Limited by electronics, or one of several sources: not this method.
    pub not_simple: bool,
}

/// A field device, by its values or by its plate; values outrank the plate. What is printed as negligible is 0.
#[derive(Debug, Clone, Default, Deserialize, ToSchema)]
#[serde(default, deny_unknown_fields)]
#[schema(as = LoopDevice)]
#[expect(
    missing_docs,
    reason = "the other keys are the printed names with their units"
)]
pub struct LoopDeviceDto {
    /// The text of its plate; `;` or a line break separates the lines.
    pub plate: Option<String>,
    /// `ia`, `ib` or `ic`.
    pub level: Option<String>,
    pub ui_v: Option<f64>,
    pub ii_ma: Option<f64>,
    pub pi_mw: Option<f64>,
    pub ci_nf: Option<f64>,
    pub li_uh: Option<f64>,
}

/// The cable.
#[derive(Debug, Clone, Default, Deserialize, ToSchema)]
#[serde(default, deny_unknown_fields)]
#[schema(as = LoopCable)]
#[expect(
    missing_docs,
    reason = "the other keys are the quantities with their units"
)]
pub struct LoopCableDto {
    pub length_m: Option<f64>,
    pub c_pf_per_m: Option<f64>,
    pub l_uh_per_m: Option<f64>,
    pub l_r_uh_per_ohm: Option<f64>,
    /// An ordinary two- or three-core cable: missing values are then the usual ones.
    pub ordinary: bool,
}

/// What a line of the check comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
#[schema(as = LoopLine)]
pub enum LoopLineDto {
    /// A limit is exceeded.
    Fail,
    /// A value is missing, or the method does not cover the case.
    Undecided,
    /// Within every limit; equal counts.
    Pass,
}

/// The check of a loop, line by line.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = LoopCheck)]
pub struct LoopCheckDto {
    /// Language of the sentences.
    pub language: &'static str,
    /// Name of the loop.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// The worst of all lines.
    pub overall: LoopLineDto,
    /// Uo against every Ui.
    pub voltage: LoopLineDto,
    /// Io against every Ii.
    pub current: LoopLineDto,
    /// Po against every Pi.
    pub power: LoopLineDto,
    /// Devices and cable against the limit of capacitance.
    pub capacitance: LoopLineDto,
    /// Devices and cable against the limit of inductance, or L/R of the cable against Lo/Ro.
    pub inductance: LoopLineDto,
    /// Group of the source's column against that of the place; left out where the group of
    /// the place is not given and nothing else is wrong with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub group: Option<LoopLineDto>,
    /// Level of the loop against that of the place; left out where the level that the place
    /// needs is not given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<LoopLineDto>,
    /// Whether both limits are halved; left out where it cannot be told.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lumped_halving: Option<bool>,
    /// Limit of capacitance, nF.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacitance_limit_nf: Option<f64>,
    /// Limit of inductance, µH.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inductance_limit_uh: Option<f64>,
    /// Capacitance of devices and cable, nF.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacitance_total_nf: Option<f64>,
    /// Inductance of devices and cable, µH.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inductance_total_uh: Option<f64>,
    /// Longest cable by capacitance, whole metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub longest_by_capacitance_m: Option<u64>,
    /// Longest cable by inductance, whole metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub longest_by_inductance_m: Option<u64>,
    /// Weakest level in the loop.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loop_level: Option<String>,
    /// What decided, what is missing, which defaults were used.
    pub notes: Vec<String>,
    /// Which value came from which line of which plate.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub plates: Vec<LoopPlateDto>,
    /// Standard and clause.
    pub source: String,
}

/// From memory: the ≥ at 1 %, the limit of Li on the L/R way, the ceiling for I, IIA and III.
const CLAUSES: &str = "IEC 60079-14 16.2.4, IEC 60079-25 (checked in part, else memory)";

/// Checks a loop.
///
/// # Errors
///
/// Every key whose value cannot be used: a number that is negative or too long, a group or
/// level that does not exist.
pub fn check_loop(dto: &LoopDto, language: Language) -> Result<LoopCheckDto, Vec<KeyError>> {
    check_loop_with(dto, LoopPlates::of(dto)?, language)
}

/// Checks a loop whose source and devices come, in part or as a whole, from plates.
///
/// # Errors
///
/// As [`check_loop`].
pub fn check_loop_with(
    dto: &LoopDto,
    plates: LoopPlates,
    language: Language,
) -> Result<LoopCheckDto, Vec<KeyError>> {
    let mut values = Values::default();
    let source = &dto.source;
    let mut read = Loop {
        source: Source {
            gas_group: values.group("source.gas_group", source.gas_group.as_deref()),
            level: values.level("source.level", source.level.as_deref()),
            uo_v: values.number("source.uo_v", source.uo_v),
            io_ma: values.number("source.io_ma", source.io_ma),
            po_mw: values.number("source.po_mw", source.po_mw),
            co_nf: values.number("source.co_nf", source.co_nf),
            lo_uh: values.number("source.lo_uh", source.lo_uh),
            lo_ro_uh_per_ohm: values.number("source.lo_ro_uh_per_ohm", source.lo_ro_uh_per_ohm),
            matched_pair: source.matched_pair,
            not_simple: source.not_simple,
        },
        devices: dto
            .devices
            .iter()
            .enumerate()
            .map(|(i, device)| {
                let key = |name: &str| format!("devices[{i}].{name}");
                Device {
                    level: values.level(&key("level"), device.level.as_deref()),
                    ui_v: values.number(&key("ui_v"), device.ui_v),
                    ii_ma: values.number(&key("ii_ma"), device.ii_ma),
                    pi_mw: values.number(&key("pi_mw"), device.pi_mw),
                    ci_nf: values.number(&key("ci_nf"), device.ci_nf),
                    li_uh: values.number(&key("li_uh"), device.li_uh),
                }
            })
            .collect(),
        cable: Cable {
            length_m: values.number("cable.length_m", dto.cable.length_m),
            c_pf_per_m: values.number("cable.c_pf_per_m", dto.cable.c_pf_per_m),
            l_uh_per_m: values.number("cable.l_uh_per_m", dto.cable.l_uh_per_m),
            l_r_uh_per_ohm: values.number("cable.l_r_uh_per_ohm", dto.cable.l_r_uh_per_ohm),
            ordinary: dto.cable.ordinary,
        },
        place_group: values.group("place_group", dto.place_group.as_deref()),
        place_level: values.level("place_level", dto.place_level.as_deref()),
    };
    if read.devices.is_empty() {
        values.refuse("devices", "[]", "a loop has at least one device".to_owned());
    }
    if values.errors.is_empty() {
        let (shown, notes) = plates.fill(&mut read, language);
        let mut answer = LoopCheckDto::new(dto.id.clone(), &read, &check(&read), language);
        answer.plates = shown;
        answer.notes.extend(notes.iter().map(|n| n.text(language)));
        Ok(answer)
    } else {
        Err(values.errors)
    }
}

/// Reads values and gathers what is wrong with them.
#[derive(Default)]
struct Values {
    errors: Vec<KeyError>,
}

impl Values {
    fn refuse(&mut self, key: &str, value: &str, message: String) {
        self.errors.push(KeyError {
            key: key.to_owned(),
            value: value.to_owned(),
            message,
        });
    }

    fn number(&mut self, key: &str, value: Option<f64>) -> Option<Exact> {
        let value = value?;
        let read = exact_of(value);
        if read.is_none() {
            self.refuse(
                key,
                &value.to_string(),
                format!(
                    "{key}: {value} cannot be used; write a number that is not negative, with at \
                     most nine digits on either side of the point"
                ),
            );
        }
        read
    }

    fn group(&mut self, key: &str, value: Option<&str>) -> Option<LoopGroup> {
        let value = value?;
        match value.parse() {
            Ok(group) => Some(group),
            Err(message) => {
                self.refuse(key, value, format!("{key}: {message}"));
                None
            }
        }
    }

    fn level(&mut self, key: &str, value: Option<&str>) -> Option<Level> {
        let value = value?;
        let level = match value.trim() {
            "ia" => Some(Level::A),
            "ib" => Some(Level::B),
            "ic" => Some(Level::C),
            _ => None,
        };
        if level.is_none() {
            self.refuse(
                key,
                value,
                format!("{key}: '{value}' is no level; write ia, ib or ic"),
            );
        }
        level
    }
}

impl From<Line> for LoopLineDto {
    fn from(line: Line) -> Self {
        match line {
            Line::Fail => Self::Fail,
            Line::Undecided => Self::Undecided,
            Line::Pass => Self::Pass,
        }
    }
}

impl LoopCheckDto {
    fn new(id: Option<String>, given: &Loop, verdict: &LoopVerdict, language: Language) -> Self {
        // A line is no pass where there was nothing to compare with.
        let compared =
            |line: Line, with_place: bool| (with_place || line != Line::Pass).then(|| line.into());
        // Six decimals of a nanofarad are beyond every instrument.
        let shown = |value: Option<Exact>| value.map(|v| rounded(number(v), 6));
        Self {
            language: language.tag(),
            id,
            overall: verdict.overall.into(),
            voltage: verdict.voltage.into(),
            current: verdict.current.into(),
            power: verdict.power.into(),
            capacitance: verdict.capacitance.into(),
            inductance: verdict.inductance.into(),
            group: compared(verdict.group, given.place_group.is_some()),
            level: compared(verdict.level, given.place_level.is_some()),
            lumped_halving: verdict.lumped_halving,
            capacitance_limit_nf: shown(verdict.capacitance_limit_nf),
            inductance_limit_uh: shown(verdict.inductance_limit_uh),
            capacitance_total_nf: shown(verdict.capacitance_total_nf),
            inductance_total_uh: shown(verdict.inductance_total_uh),
            longest_by_capacitance_m: verdict.longest_by_capacitance_m,
            longest_by_inductance_m: verdict.longest_by_inductance_m,
            loop_level: verdict.loop_level.map(|l| format!("i{}", l.letter())),
            notes: verdict.notes.iter().map(|n| n.text(language)).collect(),
            plates: Vec::new(),
            source: Message::citation(CLAUSES).text(language),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn ordinary() -> Value {
        json!({
            "id": "still house level",
            "source": {"gas_group": "IIB", "uo_v": 24, "io_ma": 180, "po_mw": 1080,
                       "co_nf": 930, "lo_uh": 4400},
            "devices": [{"ui_v": 26, "ii_ma": 200, "pi_mw": 1200, "ci_nf": 60, "li_uh": 500}],
            "cable": {"length_m": 1500, "c_pf_per_m": 200, "l_uh_per_m": 1}
        })
    }

    fn checked(value: Value) -> Result<LoopCheckDto, Vec<KeyError>> {
        check_loop(&serde_json::from_value(value).unwrap(), Language::English)
    }

    #[test]
    fn limits_are_halved_and_the_longest_cable_is_told() {
        let check = checked(ordinary()).unwrap();
        assert_eq!(check.lumped_halving, Some(true));
        assert_eq!(check.capacitance_limit_nf, Some(465.0));
        assert_eq!(check.inductance_total_uh, Some(2000.0));
        assert_eq!(check.capacitance, LoopLineDto::Pass);
        assert_eq!(check.inductance, LoopLineDto::Pass);
        let mut longer = ordinary();
        longer["cable"]["length_m"] = json!(1800);
        assert_eq!(checked(longer).unwrap().overall, LoopLineDto::Fail);
    }

    #[test]
    fn values_that_cannot_be_are_named_and_never_taken_as_missing() {
        let mut wrong = ordinary();
        wrong["source"]["uo_v"] = json!(-24);
        wrong["devices"][0]["level"] = json!("id");
        wrong["source"]["gas_group"] = json!("IID");
        let errors = checked(wrong).unwrap_err();
        let keys: Vec<&str> = errors.iter().map(|e| e.key.as_str()).collect();
        assert_eq!(
            keys,
            ["source.gas_group", "source.uo_v", "devices[0].level"]
        );
        let mut empty = ordinary();
        empty["devices"] = json!([]);
        assert_eq!(checked(empty).unwrap_err()[0].key, "devices");
    }

    #[test]
    fn slips_in_keys_are_refused() {
        let mut wrong = ordinary();
        wrong["source"]["uo"] = json!(24);
        assert!(serde_json::from_value::<LoopDto>(wrong).is_err());
    }
}
