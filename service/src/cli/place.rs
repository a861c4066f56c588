//! The flags that describe a place.

use clap::Args;
use std::path::PathBuf;
use vetplate_parser::place::PlaceFields;

/// The place that the equipment is to stand in.
///
/// Values stay text here: the parser, which knows what they mean, checks them.
#[derive(Debug, Clone, Default, Args)]
#[command(next_help_heading = "Place")]
pub struct PlaceArgs {
    /// 0, 1, 2, 20, 21, 22, mine-M1 (stays energised in firedamp), mine-M2,
    /// non-hazardous, or 'Class I, Division 1' and the like.
    #[arg(long)]
    zone: Option<String>,
    /// EPL, Ga to Dc, where a documented risk assessment asks for another than the zone's.
    #[arg(long)]
    epl: Option<String>,
    /// Gas or vapour present, by name or CAS number; repeatable.
    #[arg(long, value_name = "NAME|CAS")]
    gas: Vec<String>,
    /// IIA, IIB, IIB+H2, IIC; A to D with a class and division.
    #[arg(long, value_name = "GROUP")]
    gas_group: Option<String>,
    /// Auto-ignition temperature of the gas, °C.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    ignition_c: Option<String>,
    /// Temperature class that the place asks for, T1 to T6.
    #[arg(long, value_name = "CLASS")]
    t_class: Option<String>,
    /// Dust present, by name; repeatable.
    #[arg(long, value_name = "NAME")]
    dust: Vec<String>,
    /// IIIA, IIIB, IIIC; E to G with a class and division.
    #[arg(long, value_name = "GROUP")]
    dust_group: Option<String>,
    /// Ignition temperature of the dust cloud, °C.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    cloud_ignition_c: Option<String>,
    /// Ignition temperature of a 5 mm layer of the dust, °C.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    layer_ignition_c: Option<String>,
    /// Depth of the dust layer, mm.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    layer_mm: Option<String>,
    /// Highest surface temperature that the place permits, °C, where the site states it so.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    max_surface_c: Option<String>,
    /// Ambient temperature, °C, lowest and highest, such as -20..45.
    #[arg(long, value_name = "LO..HI", allow_hyphen_values = true)]
    ambient_c: Option<String>,
    /// IP that the place asks for, such as 65.
    #[arg(long, value_name = "NN")]
    ip: Option<String>,
    /// File of the site's locations, CSV or TOML.
    #[arg(long, value_name = "FILE", requires = "location")]
    pub site: Option<PathBuf>,
    /// Tag of the location in the site file. Flags outrank what the file says.
    #[arg(long, value_name = "TAG", requires = "site")]
    pub location: Option<String>,
}

/// What plates are held against.
#[derive(Debug, Clone, Default, Args)]
#[command(next_help_heading = "Place")]
pub struct CertificateArgs {
    /// List of the site's certificates, CSV with the columns number, issue, type, marking,
    /// ambient, conditions: the plate is held against its entry.
    #[arg(long, value_name = "FILE")]
    pub certificates: Option<PathBuf>,
}

impl PlaceArgs {
    /// What the flags say, without the site file.
    pub fn fields(&self) -> PlaceFields {
        PlaceFields {
            zone: self.zone.clone(),
            epl: self.epl.clone(),
            gas: self.gas.clone(),
            gas_group: self.gas_group.clone(),
            ignition_c: self.ignition_c.clone(),
            t_class: self.t_class.clone(),
            dust: self.dust.clone(),
            dust_group: self.dust_group.clone(),
            cloud_ignition_c: self.cloud_ignition_c.clone(),
            layer_ignition_c: self.layer_ignition_c.clone(),
            layer_mm: self.layer_mm.clone(),
            max_surface_c: self.max_surface_c.clone(),
            ambient_c: self.ambient_c.clone(),
            ip: self.ip.clone(),
        }
    }
}
