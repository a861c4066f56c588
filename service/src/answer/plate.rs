//! What a plate says beside its markings.

use super::{Number, SpanDto};
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;
use vetplate_parser::marking::{Ambient, Certificate, Entity, Plate, Quantity};
use vetplate_parser::{Language, Message, Read, Suspicion};

/// Everything that the plate says beside its markings.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = PlateText)]
pub struct PlateDto {
    /// Certificates in print order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub certificates: Vec<CertificateDto>,
    /// Number of the body beside the CE or UKCA mark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notified_body: Option<String>,
    /// Ambient range, °C: as printed or, where a marking prints none, the standard's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ambient_c: Option<[Number; 2]>,
    /// Whether the ambient range is printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ambient_marked: Option<bool>,
    /// IP code.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ip: Option<String>,
    /// Other enclosure ratings as printed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub enclosure: Vec<String>,
    /// Entity parameters, units in the keys.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub is_parameters: Option<EntityDto>,
    /// Electrical ratings as printed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ratings: Vec<String>,
    /// Maker.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub maker: Option<String>,
    /// Type or model.
    #[serde(rename = "type", skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    /// Serial number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub serial: Option<String>,
    /// Year of manufacture.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub year: Option<i32>,
    /// Warnings as printed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub warnings: Vec<String>,
    /// Text that was read but could not be put anywhere.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unread: Vec<SpanDto>,
}

/// One certificate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Certificate)]
pub struct CertificateDto {
    /// Number without its suffix.
    pub number: String,
    /// `ATEX`, `IECEx`, `UKEX` or `national`.
    pub scheme: String,
    /// `X`, `U` or nothing.
    pub suffix: String,
    /// Year of first issue, where the number shows one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub year: Option<i32>,
    /// Issue, where printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub issue: Option<u32>,
}

/// Entity parameters of an intrinsically safe device or source.
#[derive(Debug, Clone, Default, PartialEq, Serialize, ToSchema)]
#[schema(as = EntityParameters)]
#[expect(
    missing_docs,
    reason = "the keys are the printed names with their units"
)]
pub struct EntityDto {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ui_v: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ii_ma: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pi_w: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ci_nf: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub li_uh: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uo_v: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub io_ma: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub po_w: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub co_nf: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lo_uh: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lo_ro_uh_per_ohm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub um_v: Option<f64>,
    /// Every value of a parameter that is printed more than once (several circuits);
    /// the key above then holds the first.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub repeated: BTreeMap<&'static str, Vec<f64>>,
}

/// A contradiction of the plate with itself.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Suspicion)]
pub struct SuspicionDto {
    /// Name of the check in plain English words, the same in every language.
    pub check: &'static str,
    /// The same for people, in the language of the answer.
    pub name: String,
    /// `note`, `review` or `critical`.
    pub severity: String,
    /// What was found.
    pub detail: String,
    /// Standard and clause.
    pub source: String,
    /// Index into `markings`; left out for the whole plate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub marking: Option<usize>,
    /// Where to look.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub spans: Vec<SpanDto>,
}

impl From<&Plate> for PlateDto {
    fn from(plate: &Plate) -> Self {
        let printed = plate.ambient.as_ref().map(|a| a.value);
        // A plate without a marking promises no ambient at all.
        let ambient = printed.or((!plate.markings.is_empty()).then_some(Ambient::DEFAULT));
        Self {
            certificates: plate.certificates.iter().map(Into::into).collect(),
            notified_body: plate.notified_body().map(ToOwned::to_owned),
            ambient_c: ambient.map(|a| [Number(a.low_c), Number(a.high_c)]),
            ambient_marked: ambient.map(|_| printed.is_some()),
            ip: plate.ip.as_ref().map(|ip| ip.value.text.clone()),
            enclosure: values(&plate.enclosure),
            is_parameters: EntityDto::new(&plate.entity),
            ratings: values(&plate.ratings),
            maker: value(plate.maker.as_ref()),
            kind: value(plate.kind.as_ref()),
            serial: value(plate.serial.as_ref()),
            year: plate.year.as_ref().map(|y| y.value),
            warnings: values(&plate.warnings),
            unread: SpanDto::all(&plate.unread, &plate.lines),
        }
    }
}

impl From<&Certificate> for CertificateDto {
    fn from(certificate: &Certificate) -> Self {
        Self {
            number: certificate.number.value.clone(),
            scheme: certificate.scheme.to_string(),
            suffix: certificate.suffix.to_string(),
            year: certificate.year,
            issue: certificate.issue,
        }
    }
}

impl EntityDto {
    /// None where the plate prints no entity parameter.
    fn new(entities: &[Entity]) -> Option<Self> {
        let mut dto = Self::default();
        let mut printed: BTreeMap<&'static str, Vec<f64>> = BTreeMap::new();
        for entity in entities {
            let value = entity.value.value;
            printed
                .entry(entity.quantity.key())
                .or_default()
                .push(value);
            let slot = match entity.quantity {
                Quantity::Ui => &mut dto.ui_v,
                Quantity::Ii => &mut dto.ii_ma,
                Quantity::Pi => &mut dto.pi_w,
                Quantity::Ci => &mut dto.ci_nf,
                Quantity::Li => &mut dto.li_uh,
                Quantity::Uo => &mut dto.uo_v,
                Quantity::Io => &mut dto.io_ma,
                Quantity::Po => &mut dto.po_w,
                Quantity::Co => &mut dto.co_nf,
                Quantity::Lo => &mut dto.lo_uh,
                Quantity::LoRo => &mut dto.lo_ro_uh_per_ohm,
                Quantity::Um => &mut dto.um_v,
            };
            slot.get_or_insert(value);
        }
        printed.retain(|_, values| values.len() > 1);
        dto.repeated = printed;
        (!entities.is_empty()).then_some(dto)
    }
}

impl SuspicionDto {
    /// One finding on the plate whose lines are given.
    pub fn new(suspicion: &Suspicion, lines: &[String], language: Language) -> Self {
        Self {
            check: suspicion.check,
            name: suspicion.name().text(language),
            severity: suspicion.severity.to_string(),
            detail: suspicion.detail.text(language),
            source: Message::citation(suspicion.source).text(language),
            marking: suspicion.marking,
            spans: SpanDto::all(&suspicion.spans, lines),
        }
    }
}

fn value(read: Option<&Read<String>>) -> Option<String> {
    read.map(|r| r.value.clone())
}

fn values(reads: &[Read<String>]) -> Vec<String> {
    reads.iter().map(|r| r.value.clone()).collect()
}
