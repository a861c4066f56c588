//! What the plate says beside its markings, and what does not fit together.

use super::page::Page;
use crate::answer::{Answer, EntityDto, PlateDto, SuspicionDto};

/// Certificates, ambient, IP, ratings, maker and the rest.
pub(super) fn facts(page: &mut Page, plate: &PlateDto) {
    let mut rows: Vec<(&str, String)> = Vec::new();
    for certificate in &plate.certificates {
        let issue = certificate
            .issue
            .map(|n| format!(", issue {n}"))
            .unwrap_or_default();
        rows.push((
            "certificate",
            format!("{} {}", certificate.number, certificate.suffix)
                .trim_end()
                .to_owned()
                + &issue,
        ));
    }
    if let Some(body) = &plate.notified_body {
        rows.push(("body", body.clone()));
    }
    if let Some([low, high]) = plate.ambient_c {
        let origin = if plate.ambient_marked == Some(true) {
            ""
        } else {
            " (not printed; the standard's range)"
        };
        rows.push(("ambient", format!("{} to {} °C{origin}", low.0, high.0)));
    }
    rows.extend(plate.ip.iter().map(|ip| ("enclosure", ip.clone())));
    rows.extend(plate.enclosure.iter().map(|e| ("enclosure", e.clone())));
    if let Some(entity) = &plate.is_parameters {
        rows.push(("circuit", parameters(entity)));
    }
    if !plate.ratings.is_empty() {
        rows.push(("ratings", plate.ratings.join(", ")));
    }
    rows.extend(plate.maker.iter().map(|m| ("maker", m.clone())));
    rows.extend(plate.kind.iter().map(|t| ("type", t.clone())));
    rows.extend(plate.serial.iter().map(|s| ("serial", s.clone())));
    rows.extend(plate.year.iter().map(|y| ("year", y.to_string())));
    if rows.is_empty() {
        return;
    }
    page.heading("Also on the plate");
    for (label, text) in rows {
        page.row(label, &text);
    }
}

fn parameters(entity: &EntityDto) -> String {
    let named = [
        ("Ui", entity.ui_v, "V"),
        ("Ii", entity.ii_ma, "mA"),
        ("Pi", entity.pi_w, "W"),
        ("Ci", entity.ci_nf, "nF"),
        ("Li", entity.li_uh, "µH"),
        ("Uo", entity.uo_v, "V"),
        ("Io", entity.io_ma, "mA"),
        ("Po", entity.po_w, "W"),
        ("Co", entity.co_nf, "nF"),
        ("Lo", entity.lo_uh, "µH"),
        ("Lo/Ro", entity.lo_ro_uh_per_ohm, "µH/Ω"),
        ("Um", entity.um_v, "V"),
    ];
    let mut parts: Vec<String> = named
        .iter()
        .filter_map(|(name, value, unit)| value.map(|v| format!("{name} {v} {unit}")))
        .collect();
    if !entity.repeated.is_empty() {
        let repeated: Vec<&str> = entity.repeated.keys().copied().collect();
        parts.push(format!(
            "several circuits: {} printed more than once",
            repeated.join(", ")
        ));
    }
    parts.join(", ")
}

/// Where the plate contradicts itself.
pub(super) fn suspicions(page: &mut Page, suspicions: &[SuspicionDto]) {
    if suspicions.is_empty() {
        return;
    }
    page.heading("Does not fit together");
    for suspicion in suspicions {
        page.row(&suspicion.severity, &suspicion.detail);
        page.beneath(&format!("{} [{}]", suspicion.check, suspicion.source));
    }
}

/// How the photo was taken in.
pub(super) fn photo(page: &mut Page, answer: &Answer) {
    let notes = answer.photo.as_ref().map(|photo| photo.notes.as_slice());
    let Some(notes) = notes.filter(|notes| !notes.is_empty()) else {
        return;
    };
    page.heading("About the photo");
    for note in notes {
        page.bullet(note);
    }
}

/// Text that could not be put anywhere.
pub(super) fn unread(page: &mut Page, answer: &Answer) {
    if answer.plate.unread.is_empty() {
        return;
    }
    page.heading("Read, but not understood");
    for span in &answer.plate.unread {
        page.row(&format!("line {}", span.line + 1), &span.text);
    }
}
