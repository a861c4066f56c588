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

use crate::answer::{
    Answer, LoopCheckDto, PlaceDto, RequirementDto, ReviewEntryDto, SubstancesDto,
};
use crate::language;
use page::Page;
pub(crate) use register::{
    certificate_lists, dry_import, imported, plate_list, plate_page, rejudged,
};
use vetplate_parser::{Language, message};

/// The answer as text, in its own language. `name` heads it where several inputs are answered.
pub fn people(answer: &Answer, name: Option<&str>) -> String {
    let mut page = Page::new(language::of_tag(answer.language));
    verdict::outcome(&mut page, answer, name);
    if let Some(found) = &answer.verdict {
        verdict::grounds(&mut page, found);
        verdict::doubt(&mut page, found);
    }
    for (index, one) in answer.markings.iter().enumerate() {
        marking::taken_apart(&mut page, one, index, answer.markings.len());
    }
    plate::facts(&mut page, answer);
    plate::codes(&mut page, answer);
    plate::suspicions(&mut page, &answer.suspicions);
    plate::unread(&mut page, answer);
    verdict::by_hand(&mut page, answer);
    plate::photo(&mut page, answer);
    page.heading(&message!("terminal-keep-in-mind"));
    for caution in &answer.cautions {
        page.bullet(caution);
    }
    page.into_text()
}

/// A place in one line, in English as the papers are.
pub(crate) fn place_words(place: &PlaceDto) -> String {
    verdict::place(&Page::default(), place).to_string()
}

/// A plate that waits for a person, as text.
pub(crate) fn review_entry(entry: &ReviewEntryDto) -> String {
    let mut page = Page::default();
    review::entry(&mut page, entry);
    page.into_text()
}

/// Rows of the substance table as text.
pub(crate) fn substances(found: &SubstancesDto, language: Language) -> String {
    let mut page = Page::new(language);
    substance::rows(&mut page, found);
    page.into_text()
}

/// The check of a loop as text, in its own language.
pub(crate) fn loop_check(check: &LoopCheckDto) -> String {
    let mut page = Page::new(language::of_tag(check.language));
    loops::check(&mut page, check);
    page.into_text()
}

/// What a place asks for, as text in its own language.
pub(crate) fn requirement(requirement: &RequirementDto) -> String {
    let mut page = Page::new(language::of_tag(requirement.language));
    require::requirement(&mut page, requirement);
    page.into_text()
}
