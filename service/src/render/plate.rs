//! What the plate says beside its markings, and what does not fit together.

use super::page::Page;
use crate::answer::{Answer, CodeKindDto, EntityDto, SuspicionDto};
use crate::harmless::harmless;
use vetplate_parser::{Message, message};

/// Characters that are shown of what a code says.
const SHOWN_OF_A_CODE: usize = 300;

/// Certificates, ambient, IP, ratings, maker and the rest.
pub(super) fn facts(page: &mut Page, answer: &Answer) {
    let plate = &answer.plate;
    let mut rows: Vec<(Message, String)> = Vec::new();
    rows.extend(
        plate
            .enclosure
            .iter()
            .map(|e| (message!("label-enclosure"), e.clone())),
    );
    if let Some(entity) = &plate.is_parameters {
        rows.push((message!("label-circuit"), parameters(page, entity)));
    }
    if !plate.ratings.is_empty() {
        rows.push((message!("label-ratings"), plate.ratings.join(", ")));
    }
    rows.extend(
        plate
            .maker
            .iter()
            .map(|m| (message!("label-maker"), m.clone())),
    );
    rows.extend(
        plate
            .kind
            .iter()
            .map(|t| (message!("label-type"), t.clone())),
    );
    rows.extend(
        plate
            .serial
            .iter()
            .map(|s| (message!("label-serial"), s.clone())),
    );
    rows.extend(
        plate
            .year
            .iter()
            .map(|y| (message!("label-year"), y.to_string())),
    );
    if rows.is_empty() && answer.plate_pieces.is_empty() {
        return;
    }
    page.heading(&message!("terminal-also"));
    for piece in &answer.plate_pieces {
        page.row(&piece.text, &piece.meaning);
    }
    for (label, text) in rows {
        page.row(&label, &text);
    }
}

fn parameters(page: &Page, entity: &EntityDto) -> String {
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
        .filter_map(|(name, value, unit)| {
            value.map(|v| format!("{name} {} {unit}", page.number(v)))
        })
        .collect();
    if !entity.repeated.is_empty() {
        let repeated: Vec<&str> = entity.repeated.keys().copied().collect();
        parts.push(page.words(&message!(
            "terminal-several-circuits",
            names = repeated.join(", ")
        )));
    }
    parts.join(", ")
}

/// What machine-readable codes say, as text: it comes from outside and is not followed.
pub(super) fn codes(page: &mut Page, answer: &Answer) {
    if answer.codes.is_empty() {
        return;
    }
    page.heading(&message!("terminal-codes"));
    for code in &answer.codes {
        let kind = match code.kind {
            CodeKindDto::Qr => message!("label-code-qr"),
            CodeKindDto::DataMatrix => message!("label-code-data-matrix"),
        };
        page.row(&kind, &harmless(&code.text, SHOWN_OF_A_CODE));
        if code.identification_link.is_some() {
            page.beneath(&message!("terminal-identification-link"));
        }
    }
}

/// Where the plate contradicts itself.
pub(super) fn suspicions(page: &mut Page, suspicions: &[SuspicionDto]) {
    if suspicions.is_empty() {
        return;
    }
    page.heading(&message!("terminal-contradictions"));
    for suspicion in suspicions {
        page.row(&severity(&suspicion.severity), &suspicion.detail);
        page.beneath(&format!("{} [{}]", suspicion.name, suspicion.source));
    }
}

fn severity(word: &str) -> Message {
    match word {
        "note" => message!("label-note"),
        "review" => message!("label-review"),
        _ => message!("label-critical"),
    }
}

/// How the photo was taken in.
pub(super) fn photo(page: &mut Page, answer: &Answer) {
    let notes = answer.photo.as_ref().map(|photo| photo.notes.as_slice());
    let Some(notes) = notes.filter(|notes| !notes.is_empty()) else {
        return;
    };
    page.heading(&message!("terminal-photo"));
    for note in notes {
        page.bullet(note);
    }
}

/// Text that could not be put anywhere.
pub(super) fn unread(page: &mut Page, answer: &Answer) {
    if answer.plate.unread.is_empty() {
        return;
    }
    page.heading(&message!("terminal-unread"));
    for span in &answer.plate.unread {
        page.row(&message!("label-line", line = span.line + 1), &span.text);
    }
}
