//! A plate as a sheet of the report.

use super::{last_inspection, prefilled, waits};
use crate::crop::{cut, marking_box};
use crate::facts::Facts;
use crate::inspection::{Occasion, grade_words, item, kind_words, meaning};
use crate::photo_bytes::photo_bytes;
use crate::register::{
    Grade, InspectionKind, InspectionRecord, Item, ItemResult, NewInspection, Originals,
    PlateRecord, ReadingRecord,
};
use crate::report::{
    CheckItem, GroundLine, InspectionPart, Picture, PlateSheet, Settled, ShownFinding, ShownPicture,
};
use jiff::civil::Date;
use serde_json::Value;
use vetplate_ocr::{Limits, Photo};

/// Longer side of a photo on paper, pixels: 250 dots an inch in its column.
const PHOTO_SIDE: u32 = 860;
/// Longer side of the part with the marking, which must stay readable.
const CROP_SIDE: u32 = 1000;

/// What a sheet is made from beside the plate itself.
pub(super) struct Sources<'a> {
    pub(super) originals: Option<&'a dyn Originals>,
    pub(super) limits: &'a Limits,
    pub(super) readings: &'a [ReadingRecord],
    pub(super) inspections: &'a [InspectionRecord],
    pub(super) location: &'a str,
    pub(super) pictures: bool,
    /// Grade of the items where no inspection is recorded; only those that the plate answers
    /// where none is given.
    pub(super) blank: Option<Grade>,
    pub(super) today: Date,
}

/// What a plate is called: its tag, else type and serial number.
pub(super) fn name(record: &PlateRecord) -> String {
    let row = &record.row;
    match &row.tag {
        Some(tag) => tag.clone(),
        None => [&row.maker, &row.kind, &row.serial]
            .into_iter()
            .flatten()
            .cloned()
            .collect::<Vec<_>>()
            .join(" "),
    }
}

pub(super) fn sheet(record: &PlateRecord, sources: &Sources<'_>) -> PlateSheet {
    let facts = Facts::new(&record.answer);
    let (photo, crop) = pictures(record, sources);
    let mut doubts: Vec<String> = if waits(record) {
        facts
            .review_reasons()
            .into_iter()
            .map(ToOwned::to_owned)
            .collect()
    } else {
        Vec::new()
    };
    doubts.extend(record.put_back.iter().map(|why| format!("put back: {why}")));
    doubts.extend(record.differences.iter().cloned());
    doubts.extend(facts.competing());
    doubts.extend(facts.alternatives());
    PlateSheet {
        plate: record.row.id.0,
        name: name(record),
        location: sources.location.to_owned(),
        outcome: facts.outcome().to_owned(),
        photo,
        crop,
        markings: markings(facts),
        facts: rest_of_plate(facts),
        grounds: facts
            .grounds()
            .map(|(ground, next)| GroundLine {
                outcome: ground.outcome.to_owned(),
                detail: ground.detail.to_owned(),
                source: ground.source.to_owned(),
                next: next.to_owned(),
            })
            .collect(),
        doubts,
        contradictions: facts.contradictions(),
        waits: waits(record),
        settled: record.settlement.as_ref().map(|settlement| Settled {
            who: settlement.who.clone(),
            at: settlement.at.to_string().chars().take(10).collect(),
            what: match &settlement.note {
                Some(note) => format!("{}; {note}", settlement.kind.name()),
                None => settlement.kind.name().to_owned(),
            },
        }),
        inspection: inspection(record, sources),
    }
}

fn markings(facts: Facts<'_>) -> Vec<String> {
    facts
        .markings()
        .iter()
        .map(|marking| {
            let part = |key| marking.get(key).and_then(Value::as_str);
            let text = part("text").unwrap_or_default();
            match part("read_as") {
                Some(read) if read != text => format!("{text}   (read as {read})"),
                _ => text.to_owned(),
            }
        })
        .collect()
}

fn rest_of_plate(facts: Facts<'_>) -> Vec<(String, String)> {
    let mut rows: Vec<(String, String)> = Vec::new();
    let mut add = |label: &str, value: String| {
        if !value.is_empty() {
            rows.push((label.to_owned(), value));
        }
    };
    add(
        "In today's notation",
        facts.of_markings("canonical").join("; "),
    );
    add("Maker", facts.text("maker").to_owned());
    add("Type", facts.text("type").to_owned());
    add("Serial", facts.text("serial").to_owned());
    add("Certificates", facts.certificates().join("; "));
    add(
        "Body beside CE or UKCA",
        facts.text("notified_body").to_owned(),
    );
    if let Some([low, high]) = facts.ambient_c() {
        add("Ambient", format!("{low} to {high} °C"));
    }
    add("IP", facts.text("ip").to_owned());
    add("Ratings", facts.texts("ratings").join("; "));
    add("Warnings", facts.texts("warnings").join("; "));
    rows
}

/// The photo and the part with the marking; a caption says why one is missing.
fn pictures(record: &PlateRecord, sources: &Sources<'_>) -> (ShownPicture, ShownPicture) {
    let missing = |why: &str| ShownPicture {
        picture: None,
        caption: why.to_owned(),
    };
    if !sources.pictures {
        return (ShownPicture::default(), ShownPicture::default());
    }
    let Some(photo) = crate::handlers::best_photo(record) else {
        return (missing("The register holds no photo of it."), missing(""));
    };
    let decoded = photo_bytes(sources.originals, photo, sources.limits.bytes)
        .and_then(|bytes| Photo::decode(&bytes, sources.limits).map_err(|e| e.to_string()));
    let decoded = match decoded {
        Ok(decoded) => decoded,
        Err(reason) => return (missing(&reason), missing("")),
    };
    let reading = sources.readings.iter().filter(|r| r.photo == photo.id);
    let answer = reading
        .max_by_key(|r| (r.counts, r.id))
        .map_or(&record.answer, |r| &r.answer);
    let file = photo.sources.first().map_or("", String::as_str);
    let file = file.rsplit(['/', '\\']).next().unwrap_or_default();
    let caption = format!(
        "{file}{}; SHA-256 {}",
        photo
            .taken_at
            .as_ref()
            .map(|at| format!(", taken {at}"))
            .unwrap_or_default(),
        photo.sha256.get(..16).unwrap_or(&photo.sha256),
    );
    let whole = match Picture::new(decoded.image(), PHOTO_SIDE) {
        Ok(picture) => ShownPicture {
            picture: Some(picture),
            caption,
        },
        Err(error) => missing(&error.to_string()),
    };
    let part = marking_box(answer, decoded.width(), decoded.height());
    let crop = match part.map(|part| Picture::new(&cut(decoded.image(), part), CROP_SIDE)) {
        Some(Ok(picture)) => ShownPicture {
            picture: Some(picture),
            caption: "the part with the marking".to_owned(),
        },
        Some(Err(error)) => missing(&error.to_string()),
        None => missing("No part of the photo is known to hold the marking."),
    };
    (whole, crop)
}

fn inspection(record: &PlateRecord, sources: &Sources<'_>) -> InspectionPart {
    if let Some(last) = last_inspection(sources.inspections) {
        let inspection = &last.inspection;
        let head = format!(
            "{}, {}, on {} by {} ({})",
            grade_words(inspection.grade),
            kind_words(inspection.kind),
            inspection.date,
            inspection.inspector,
            inspection
                .competence
                .as_deref()
                .unwrap_or("no competence noted"),
        );
        return part(head, inspection, false);
    }
    let occasion = Occasion {
        grade: sources.blank.unwrap_or(Grade::Close),
        kind: InspectionKind::Periodic,
        date: sources.today,
        // Nobody has inspected; the names are only there to make the list of items.
        inspector: "-",
        competence: "-",
        months: crate::inspection::MAX_MONTHS,
    };
    let head = match sources.blank {
        Some(grade) => format!(
            "No inspection is recorded. Items of the grade {}; what the plate answers is noted \
             and must be compared with the plate.",
            grade_words(grade)
        ),
        None => "No inspection is recorded. These are the items that the plate can answer; all \
                 others need a person."
            .to_owned(),
    };
    match prefilled(record, &occasion) {
        Ok(mut inspection) => {
            if sources.blank.is_none() {
                inspection
                    .items
                    .retain(|one| item(&one.item).is_some_and(|item| !item.plate.is_empty()));
            }
            inspection.findings.clear();
            inspection.next = None;
            part(head, &inspection, true)
        }
        Err(error) => InspectionPart {
            head: error.to_string(),
            ..InspectionPart::default()
        },
    }
}

fn part(head: String, inspection: &NewInspection, proposed: bool) -> InspectionPart {
    InspectionPart {
        head,
        items: inspection
            .items
            .iter()
            .map(|one| check(one, proposed))
            .collect(),
        findings: inspection
            .findings
            .iter()
            .map(|finding| ShownFinding {
                priority: format!(
                    "{} {}",
                    finding.priority,
                    meaning(finding.priority)
                        .split(':')
                        .next()
                        .unwrap_or_default()
                ),
                text: finding.text.clone(),
                due: finding.due.map(|d| d.to_string()).unwrap_or_default(),
            })
            .collect(),
        next: inspection.next.map(|d| d.to_string()).unwrap_or_default(),
    }
}

/// A proposal is never printed as a result: its boxes stay empty for the pen.
fn check(one: &Item, proposed: bool) -> CheckItem {
    let known = item(&one.item);
    let result = match one.result {
        _ if proposed => "",
        ItemResult::Pass => "pass",
        ItemResult::Fail => "fail",
        ItemResult::NotApplicable => "n/a",
        ItemResult::NotChecked => "not looked at",
    };
    let notes: Vec<String> = [
        one.note.clone(),
        one.ground.as_ref().map(|g| format!("from the plate: {g}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    CheckItem {
        text: known.map_or(one.item.as_str(), |item| item.text).to_owned(),
        source: known
            .map(|item| format!("{} ({})", item.clause, item.known))
            .unwrap_or_default(),
        result: result.to_owned(),
        note: notes.join("; "),
    }
}
