//! One plate as a row of the register.

/// One plate with everything that a register row of the trade holds.
///
/// Empty text means that there is nothing to say; every number carries its unit in its name.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Row {
    /// Number of the plate in the register.
    pub plate: i64,
    /// Tag of the equipment.
    pub tag: String,
    /// Tag of the location.
    pub location: String,
    /// What the location is called.
    pub location_name: String,
    /// Zone, or class and division, of the location.
    pub zone: String,
    /// Gases and vapours of the location, separated by `; `.
    pub gas: String,
    /// Dusts of the location, separated by `; `.
    pub dust: String,
    /// Maker.
    pub maker: String,
    /// Type of the equipment.
    pub kind: String,
    /// Serial number.
    pub serial: String,
    /// Year of manufacture.
    pub year: Option<i32>,
    /// Markings as printed, separated by `; `.
    pub marking: String,
    /// Markings in today's notation, separated by `; `.
    pub canonical: String,
    /// Groups of the markings, separated by `; `.
    pub group: String,
    /// Temperature class, range or surface temperature, separated by `; `.
    pub temperature: String,
    /// EPLs, separated by `; `.
    pub epl: String,
    /// Certificates with their suffix, separated by `; `.
    pub certificate: String,
    /// `X`, `U` or both where a certificate has such a suffix.
    pub suffix: String,
    /// Number of the body beside the conformity mark.
    pub notified_body: String,
    /// Lowest ambient temperature, °C.
    pub ambient_low_c: Option<f64>,
    /// Highest ambient temperature, °C.
    pub ambient_high_c: Option<f64>,
    /// Degree of protection by enclosure.
    pub ip: String,
    /// Ratings, separated by `; `.
    pub ratings: String,
    /// `suitable`, `conditional`, `undecided`, `unsuitable`; empty where no place is known.
    pub outcome: String,
    /// Share of the plausible readings for which the outcome is not worse, 0 to 1.
    pub outcome_probability: Option<f64>,
    /// The worst ground in words.
    pub reason: String,
    /// Its clause.
    pub clause: String,
    /// What to do about it.
    pub next_step: String,
    /// `waiting`, `settled` or `not needed`.
    pub review: String,
    /// Why a person must look.
    pub review_reason: String,
    /// Who settled the reading.
    pub settled_by: String,
    /// When, `YYYY-MM-DD` or with a time behind `T`.
    pub settled_at: String,
    /// Least confidence of a critical field, 0 to 1.
    pub confidence: Option<f64>,
    /// Date of the last inspection, `YYYY-MM-DD`.
    pub inspected_on: String,
    /// Its grade.
    pub inspection_grade: String,
    /// Its kind.
    pub inspection_kind: String,
    /// Who inspected.
    pub inspector: String,
    /// Findings that are not closed.
    pub open_findings: Option<i64>,
    /// The most urgent priority among them, 1 to 4.
    pub worst_priority: Option<i64>,
    /// When the next inspection is due, `YYYY-MM-DD`.
    pub next_inspection: String,
    /// When the photo was taken, as the camera wrote it.
    pub taken_at: String,
    /// SHA-256 of the photo, hexadecimal.
    pub photo_sha256: String,
    /// Version of the program that judged.
    pub version: String,
}
