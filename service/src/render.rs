//! The answer for people: 80 columns, the outcome in the first line.

mod loops;
mod marking;
mod page;
mod plate;
mod register;
mod require;
mod review;
mod substance;
mod verdict;

use crate::answer::{Answer, LoopCheckDto, RequirementDto, ReviewEntryDto, SubstancesDto};
use page::Page;
pub(crate) use register::{dry_import, imported, plate_list, plate_page, rejudged};
pub(crate) use verdict::place as place_words;

/// The answer as text. `name` heads it where several inputs are answered.
pub fn people(answer: &Answer, name: Option<&str>) -> String {
    let mut page = Page::default();
    verdict::outcome(&mut page, answer, name);
    if let Some(found) = &answer.verdict {
        verdict::grounds(&mut page, found);
        verdict::doubt(&mut page, found);
    }
    for (index, one) in answer.markings.iter().enumerate() {
        marking::taken_apart(&mut page, one, index, answer.markings.len());
    }
    plate::facts(&mut page, &answer.plate);
    plate::suspicions(&mut page, &answer.suspicions);
    plate::unread(&mut page, answer);
    verdict::by_hand(&mut page, answer);
    plate::photo(&mut page, answer);
    page.heading("Keep in mind");
    for caution in &answer.cautions {
        page.bullet(caution);
    }
    page.into_text()
}

/// A plate that waits for a person, as text.
pub(crate) fn review_entry(entry: &ReviewEntryDto) -> String {
    let mut page = Page::default();
    review::entry(&mut page, entry);
    page.into_text()
}

/// Rows of the substance table as text.
pub(crate) fn substances(found: &SubstancesDto) -> String {
    let mut page = Page::default();
    substance::rows(&mut page, found);
    page.into_text()
}

/// The check of a loop as text.
pub(crate) fn loop_check(check: &LoopCheckDto) -> String {
    let mut page = Page::default();
    loops::check(&mut page, check);
    page.into_text()
}

/// What a place asks for, as text.
pub(crate) fn requirement(requirement: &RequirementDto) -> String {
    let mut page = Page::default();
    require::requirement(&mut page, requirement);
    page.into_text()
}
