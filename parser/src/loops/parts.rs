//! What a loop is made of.

use super::{Exact, LoopGroup};
use crate::marking::Level;

/// The associated apparatus.
#[derive(Debug, Clone, Default, PartialEq)]
#[expect(
    missing_docs,
    reason = "each field is the quantity of its name, in the unit behind it"
)]
pub struct Source {
    /// Group of the column that Co, Lo and Lo/Ro were taken from.
    pub gas_group: Option<LoopGroup>,
    /// ia, ib or ic.
    pub level: Option<Level>,
    pub uo_v: Option<Exact>,
    pub io_ma: Option<Exact>,
    pub po_mw: Option<Exact>,
    pub co_nf: Option<Exact>,
    pub lo_uh: Option<Exact>,
    pub lo_ro_uh_per_ohm: Option<Exact>,
    /// Co and Lo are one of the matched pairs printed in the certificate: never halved.
    pub matched_pair: bool,
    /// Limited by electronics, or one of several sources: not this method.
    pub not_simple: bool,
}

/// A field device; a value printed as negligible is 0, one not printed is missing.
#[derive(Debug, Clone, Default, PartialEq)]
#[expect(
    missing_docs,
    reason = "each field is the quantity of its name, in the unit behind it"
)]
pub struct Device {
    /// ia, ib or ic.
    pub level: Option<Level>,
    pub ui_v: Option<Exact>,
    pub ii_ma: Option<Exact>,
    pub pi_mw: Option<Exact>,
    pub ci_nf: Option<Exact>,
    pub li_uh: Option<Exact>,
}

/// The cable.
#[derive(Debug, Clone, Default, PartialEq)]
#[expect(
    missing_docs,
    reason = "each field is the quantity of its name, in the unit behind it"
)]
pub struct Cable {
    pub length_m: Option<Exact>,
    pub c_pf_per_m: Option<Exact>,
    pub l_uh_per_m: Option<Exact>,
    pub l_r_uh_per_ohm: Option<Exact>,
    /// The user says that it is an ordinary two- or three-core cable: missing values are then
    /// 200 pF/m, 1 µH/m and, up to 3 A, 30 µH/Ω.
    pub ordinary: bool,
}

/// A loop to check.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Loop {
    /// The source.
    pub source: Source,
    /// The devices, at least one.
    pub devices: Vec<Device>,
    /// The cable.
    pub cable: Cable,
    /// Group of the place, where given.
    pub place_group: Option<LoopGroup>,
    /// Level that the place needs, where given.
    pub place_level: Option<Level>,
}
