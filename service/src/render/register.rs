//! The register for people.

use super::page::{Page, clean};
use crate::answer::OutcomeDto;
use crate::import::{Outcome, Tried};
use crate::register::{
    Accounts, CertificateListRecord, Event, ImportState, PlateRecord, PlateRow, Problem, Rejudged,
    ReviewState,
};
use jiff::Timestamp;
use serde_json::Value;
use std::collections::BTreeMap;
use textwrap::core::display_width;

/// Files of one reason that are named in the summary; `--json` names all.
const NAMED: usize = 20;

/// What an import came to.
pub(crate) fn imported(outcome: &Outcome, problems: &[Problem], changed: &[String]) -> String {
    let mut page = Page::default();
    let record = &outcome.record;
    page.heading(&match record.state {
        ImportState::Stopped => format!(
            "Import {} was stopped; the same command goes on from there.",
            record.id
        ),
        _ => format!("Import {} is done.", record.id),
    });
    accounts(&mut page, &record.accounts, "taken");
    let joined = outcome.by_identity + outcome.by_look;
    page.row(
        "plates",
        &format!(
            "{} new; {joined} photos joined to plates ({} by serial number and certificate, {} by \
             look)",
            outcome.new_plates, outcome.by_identity, outcome.by_look
        ),
    );
    let seconds = outcome.elapsed.as_secs_f64();
    if seconds > 0.0 {
        let rate = record.accounts.seen as f64 / seconds;
        page.row("time", &format!("{seconds:.1} s, {rate:.1} files a second"));
    }
    for (failed, title) in [(true, "Failed"), (false, "Refused")] {
        named(
            &mut page,
            title,
            problems.iter().filter(|p| p.failed == failed),
        );
    }
    if record.accounts.failed > 0 {
        page.paragraph("Photos that failed are tried again by --retry-failed.");
    }
    if !changed.is_empty() {
        page.heading("Places that changed");
        page.paragraph(&format!(
            "Plates stand at {}, whose place is another now; `vetplate register reread` says what \
             that changes.",
            changed.join(", ")
        ));
    }
    page.into_text()
}

/// What an import would come to.
pub(crate) fn dry_import(tried: &Tried) -> String {
    let mut page = Page::default();
    page.heading(if tried.whole {
        "Nothing was changed. An import would find:"
    } else {
        "Stopped; nothing was changed. Until then an import would find:"
    });
    accounts(&mut page, &tried.accounts, "to be read");
    page.into_text()
}

fn accounts(page: &mut Page, accounts: &Accounts, taken: &str) {
    page.row("seen", &accounts.seen.to_string());
    page.row(taken, &accounts.taken.to_string());
    page.row("already held", &accounts.held.to_string());
    page.row("refused", &accounts.refused.to_string());
    page.row("failed", &accounts.failed.to_string());
    if accounts.left > 0 {
        page.row(
            "left",
            &format!(
                "{} still being written, left for the next run (not counted as seen)",
                accounts.left
            ),
        );
    }
}

/// Files by their reason.
fn named<'a>(page: &mut Page, title: &str, problems: impl Iterator<Item = &'a Problem>) {
    let mut reasons: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for problem in problems {
        reasons
            .entry(&problem.reason)
            .or_default()
            .push(&problem.source);
    }
    if reasons.is_empty() {
        return;
    }
    page.heading(title);
    for (reason, files) in reasons {
        page.paragraph(&format!("{}: {reason}", files.len()));
        for file in files.iter().take(NAMED) {
            page.bullet(file);
        }
        if files.len() > NAMED {
            page.bullet(&format!(
                "and {} more; --json names all",
                files.len() - NAMED
            ));
        }
    }
}

/// One page of plates, a line each.
pub(crate) fn plate_list(plates: &[PlateRow], next: Option<&str>) -> String {
    let mut text = String::new();
    if plates.is_empty() {
        return "No plates.\n".to_owned();
    }
    let line = |cells: [&str; 6]| {
        let widths = [7, 11, 9, 16, 15];
        let mut line = String::new();
        for (cell, width) in cells.iter().zip(widths) {
            line += &fit(cell, width);
            line.push(' ');
        }
        line += fit(cells[5], 80 - display_width(&line)).trim_end();
        line.truncate(line.trim_end().len());
        line.push('\n');
        line
    };
    text += &line(["ID", "OUTCOME", "REVIEW", "LOCATION", "SERIAL", "MARKING"]);
    for plate in plates {
        let id = plate.id.to_string();
        text += &line([
            &id,
            plate.outcome.map_or("-", OutcomeDto::name),
            review_word(plate.review),
            plate.location.as_deref().unwrap_or("-"),
            plate.serial.as_deref().unwrap_or("-"),
            if plate.marking.is_empty() {
                "-"
            } else {
                &plate.marking
            },
        ]);
    }
    if let Some(next) = next {
        text.push_str("more: --after ");
        text.push_str(next);
        text.push('\n');
    }
    text
}

fn review_word(state: ReviewState) -> &'static str {
    match state {
        ReviewState::NotNeeded => "-",
        ReviewState::Waiting => "waiting",
        ReviewState::PutBack => "put back",
        ReviewState::Settled => "settled",
    }
}

/// A cell of exactly so many columns; what is cut ends in `…`.
fn fit(text: &str, width: usize) -> String {
    let text = clean(text);
    if display_width(&text) <= width {
        let blanks = width - display_width(&text);
        return text + &" ".repeat(blanks);
    }
    let mut cut = String::new();
    for c in text.chars() {
        if display_width(&cut) + display_width(c.encode_utf8(&mut [0; 4])) + 1 > width {
            break;
        }
        cut.push(c);
    }
    cut.push('…');
    let blanks = width.saturating_sub(display_width(&cut));
    cut + &" ".repeat(blanks)
}

/// One plate with all that is known.
pub(crate) fn plate_page(plate: &PlateRecord, history: &[Event]) -> String {
    let mut page = Page::default();
    let row = &plate.row;
    let outcome = row
        .outcome
        .map_or("NOT JUDGED".to_owned(), |o| o.name().to_uppercase());
    let stands = row
        .location
        .as_deref()
        .map_or("no location".to_owned(), |tag| format!("at {tag}"));
    page.heading(&format!("{outcome}: plate {} {stands}.", row.id));
    let mut put = |label: &str, text: Option<&str>| {
        if let Some(text) = text {
            page.row(label, text);
        }
    };
    put("tag", row.tag.as_deref());
    put(
        "marking",
        Some(row.marking.as_str()).filter(|m| !m.is_empty()),
    );
    put("certificate", row.certificate.as_deref());
    put("maker", row.maker.as_deref());
    put("type", row.kind.as_deref());
    put("serial", row.serial.as_deref());
    put("year", row.year.map(|y| y.to_string()).as_deref());
    put("review", Some(row.review.words()));
    put("put back", plate.put_back.as_deref());
    if let Some(hold) = &plate.hold {
        put(
            "held",
            Some(&format!("by {} until {}", hold.who, hold.until)),
        );
    }
    if let Some(settled) = &plate.settlement {
        let text = format!(
            "{} by {} at {}",
            settled.kind.name(),
            settled.who,
            settled.at
        );
        put("settled", Some(&text));
        put("note", settled.note.as_deref());
    }
    section(
        &mut page,
        "Why",
        &list(&plate.answer, "/verdict/grounds", ground),
    );
    section(&mut page, "Photos differ", &plate.differences);
    section(
        &mut page,
        "Look at the plate",
        &list(&plate.answer, "/review/reasons", |v| {
            Some(v.as_str()?.to_owned())
        }),
    );
    page.heading("Where each value was read best");
    for (name, field) in &plate.fields {
        let percent = (field.confidence * 1000.0).floor() / 10.0;
        page.row(
            name,
            &format!("{} ({percent:.1} %, photo {})", field.value, field.photo),
        );
    }
    page.heading("Photos");
    for photo in &plate.photos {
        page.row(&photo.id.to_string(), &photo.sources.join("; "));
        if let Some(taken) = &photo.taken_at {
            page.beneath(&format!("taken {taken}"));
        }
    }
    page.heading("History");
    for event in history {
        page.bullet(&format!("{}: {}, {}", event.at, event.who, event.what));
    }
    section(
        &mut page,
        "Keep in mind",
        &list(&plate.answer, "/cautions", |v| Some(v.as_str()?.to_owned())),
    );
    page.into_text()
}

fn list(answer: &Value, at: &str, text: impl Fn(&Value) -> Option<String>) -> Vec<String> {
    answer
        .pointer(at)
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(text)
        .collect()
}

fn ground(ground: &Value) -> Option<String> {
    let text = |key: &str| ground.get(key)?.as_str();
    Some(format!(
        "{}: {} [{}]",
        text("outcome")?,
        text("detail")?,
        text("source")?
    ))
}

fn section(page: &mut Page, title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    page.heading(title);
    for line in lines {
        page.bullet(line);
    }
}

/// What judging a plate again would change.
pub(crate) fn rejudged(row: &PlateRow, rejudged: &Rejudged) -> String {
    let mut page = Page::default();
    let name = |outcome: Option<OutcomeDto>| outcome.map_or("not judged", OutcomeDto::name);
    let what = if rejudged.outcome_differs() {
        format!(
            "CHANGED from {} to {}",
            name(rejudged.before),
            name(rejudged.after)
        )
    } else {
        format!("{} as before, with other words", name(rejudged.after))
    };
    let settled = if row.review == ReviewState::Settled {
        " (settled lines stay)"
    } else {
        ""
    };
    page.paragraph(&format!("plate {}: {what}{settled}", row.id));
    if let Some((before, after)) = rejudged.markings() {
        page.row("was read", before);
        page.row("now read", after);
    }
    for marking in rejudged.further() {
        page.row(
            "new plate",
            &format!("{marking} (beside it on the same photo)"),
        );
    }
    page.into_text()
}

/// The lists of certificates that were given, newest first.
pub(crate) fn certificate_lists(lists: &[CertificateListRecord]) -> String {
    let mut page = Page::default();
    let Some((counts, before)) = lists.split_first() else {
        page.paragraph(
            "The register keeps no list of certificates: plates are not held against any. Give one \
             with `vetplate register certificates CSV`.",
        );
        return page.into_text();
    };
    let mut put = |list: &CertificateListRecord| {
        page.row(
            &day(list.at),
            &format!("{}, given by {}", list.source, list.who),
        );
        page.beneath(&format!(
            "{} certificates, SHA-256 {:.16}…",
            list.certificates, list.sha256
        ));
    };
    put(counts);
    if !before.is_empty() {
        before.iter().for_each(&mut put);
        page.paragraph("The first one counts; plates are held against it.");
    }
    page.into_text()
}

/// The day of a moment, UTC.
fn day(at: Timestamp) -> String {
    at.strftime("%Y-%m-%d").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_have_their_width_whatever_is_in_them() {
        for (text, width, shown) in [
            ("abc", 5, "abc  "),
            ("abcdef", 5, "abcd…"),
            ("a\u{1b}b", 4, "a\u{fffd}b "),
        ] {
            assert_eq!(fit(text, width), shown);
        }
    }
}
