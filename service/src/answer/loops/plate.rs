//! Values of a loop that come from plates, each with the line that it came from.

use super::{KeyError, LoopDto};
use crate::typed::{split, usable};
use serde::Serialize;
use utoipa::ToSchema;
use vetplate_parser::loops::{Device, Loop, PlateValue, Source, device, source};
use vetplate_parser::{Language, Line, Message, message, read};

/// What was read on the plate of one part of a loop.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = LoopPlate)]
pub struct LoopPlateDto {
    /// `source` or `device`.
    pub part: &'static str,
    /// Number of the device, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub device: Option<usize>,
    /// Name of the photo, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub photo: Option<String>,
    /// The lines of the plate as read.
    pub lines: Vec<String>,
    /// Every value that the check needs.
    pub values: Vec<LoopValueDto>,
}

/// One value of a plate, or why there is none.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = LoopValue)]
pub struct LoopValueDto {
    /// `Ui`, `Co`, `level`, `group`.
    pub name: &'static str,
    /// Value and unit as used; left out where it is not used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<String>,
    /// Index into `lines`, from 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<usize>,
    /// The characters that it came from.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub text: String,
    /// Why it is not used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub doubt: Option<String>,
}

/// The lines of one plate, from a photo or typed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PlateInput {
    /// Name of the photo, where there is one.
    pub photo: Option<String>,
    /// The lines with their doubt.
    pub lines: Vec<Line>,
}

impl PlateInput {
    /// Typed lines, each character certain.
    ///
    /// # Errors
    ///
    /// A sentence, where there is no text or far too much.
    pub fn typed(text: &str) -> Result<Self, String> {
        let lines = split(text);
        usable(&lines)?;
        Ok(Self {
            photo: None,
            lines: lines.iter().map(|l| Line::certain(l)).collect(),
        })
    }
}

/// The plates of the parts of a loop; none where a part is given by its values alone.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LoopPlates {
    /// Of the source.
    pub source: Option<PlateInput>,
    /// Of each device, in the order of the loop.
    pub devices: Vec<Option<PlateInput>>,
}

impl LoopPlates {
    /// The plates that a loop gives as text.
    ///
    /// # Errors
    ///
    /// Every `plate` without text or with far too much.
    pub fn of(dto: &LoopDto) -> Result<Self, Vec<KeyError>> {
        let mut errors = Vec::new();
        let mut typed = |key: String, text: Option<&String>| {
            let text = text?;
            PlateInput::typed(text)
                .map_err(|message| {
                    errors.push(KeyError {
                        value: String::new(),
                        message: format!("{key}: {message}"),
                        key,
                    });
                })
                .ok()
        };
        let plates = Self {
            source: typed("source.plate".to_owned(), dto.source.plate.as_ref()),
            devices: dto
                .devices
                .iter()
                .enumerate()
                .map(|(i, d)| typed(format!("devices[{i}].plate"), d.plate.as_ref()))
                .collect(),
        };
        if errors.is_empty() {
            Ok(plates)
        } else {
            Err(errors)
        }
    }

    /// Fills what the loop does not give from the plates. Answers where each value came from,
    /// and notes.
    pub(super) fn fill(
        self,
        lp: &mut Loop,
        language: Language,
    ) -> (Vec<LoopPlateDto>, Vec<Message>) {
        let mut shown = Vec::new();
        let mut notes = Vec::new();
        if let Some(plate) = self.source {
            let reading = read(&plate.lines);
            let found = source(&plate.lines, &reading);
            notes.extend(found.notes);
            notes.extend(doubts(&message!("loop-part-source"), &found.values));
            fill_source(&mut lp.source, &found.part);
            shown.push(dto("source", None, plate, &found.values, language));
        }
        for (i, plate) in self.devices.into_iter().enumerate() {
            let (Some(plate), Some(part)) = (plate, lp.devices.get_mut(i)) else {
                continue;
            };
            let reading = read(&plate.lines);
            let found = device(&plate.lines, &reading);
            notes.extend(found.notes);
            notes.extend(doubts(
                &message!("loop-part-device", device = i + 1),
                &found.values,
            ));
            fill_device(part, &found.part);
            shown.push(dto("device", Some(i + 1), plate, &found.values, language));
        }
        (shown, notes)
    }
}

/// What was not used and why. Lo/Ro is seldom printed and never needed.
fn doubts(part: &Message, values: &[PlateValue]) -> Vec<Message> {
    values
        .iter()
        .filter(|v| v.name != "Lo/Ro" || !v.text.is_empty())
        .filter_map(|v| v.doubt.as_ref())
        .map(|doubt| message!("loop-part-doubt", part = part, doubt = doubt))
        .collect()
}

fn fill_source(given: &mut Source, plate: &Source) {
    given.gas_group = given.gas_group.or(plate.gas_group);
    given.level = given.level.or(plate.level);
    given.uo_v = given.uo_v.or(plate.uo_v);
    given.io_ma = given.io_ma.or(plate.io_ma);
    given.po_mw = given.po_mw.or(plate.po_mw);
    given.co_nf = given.co_nf.or(plate.co_nf);
    given.lo_uh = given.lo_uh.or(plate.lo_uh);
    given.lo_ro_uh_per_ohm = given.lo_ro_uh_per_ohm.or(plate.lo_ro_uh_per_ohm);
    given.not_simple |= plate.not_simple;
}

fn fill_device(given: &mut Device, plate: &Device) {
    given.level = given.level.or(plate.level);
    given.ui_v = given.ui_v.or(plate.ui_v);
    given.ii_ma = given.ii_ma.or(plate.ii_ma);
    given.pi_mw = given.pi_mw.or(plate.pi_mw);
    given.ci_nf = given.ci_nf.or(plate.ci_nf);
    given.li_uh = given.li_uh.or(plate.li_uh);
}

fn dto(
    part: &'static str,
    device: Option<usize>,
    plate: PlateInput,
    values: &[PlateValue],
    language: Language,
) -> LoopPlateDto {
    LoopPlateDto {
        part,
        device,
        photo: plate.photo,
        lines: plate.lines.iter().map(Line::text).collect(),
        values: values
            .iter()
            .map(|v| LoopValueDto {
                name: v.name,
                value: v.value.clone(),
                line: v.line,
                text: v.text.clone(),
                doubt: v.doubt.as_ref().map(|d| d.text(language)),
            })
            .collect(),
    }
}
