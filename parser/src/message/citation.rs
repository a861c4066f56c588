//! Standards and clauses: their names stay, the few words around them are translated.

use super::Language;
use super::catalogue::say;

/// Words of the citations and their entries in the catalogue; longer ones first, so that
/// `checked in part` is not taken for `checked`.
pub(super) const WORDS: &[(&str, &str)] = &[
    (
        "a contradictory plate is judged by its weaker reading",
        "cite-weaker",
    ),
    (
        "a doubtful reading is judged by the worst plausible one",
        "cite-worst",
    ),
    (
        "a field below its threshold decides nothing",
        "cite-threshold",
    ),
    ("what is covered is illegible, not absent", "cite-covered"),
    ("arithmetic: P is at most U times I", "cite-power-most"),
    (
        "arithmetic: a linear source gives U times I over four",
        "cite-power-quarter",
    ),
    ("installed item against its documents", "cite-documents"),
    (
        "associated apparatus feeds circuits and light",
        "cite-feeds",
    ),
    ("since its first edition", "cite-edition"),
    ("is the ceiling of the classes", "cite-ceiling"),
    ("the lower end is common practice", "cite-lower-end"),
    ("common practice, no source", "cite-no-source"),
    ("years of the part standards", "cite-years"),
    ("checked in part, else memory", "cite-part-else"),
    ("checked in part", "cite-part"),
    ("IP54 checked, the others memory", "cite-ip"),
    ("caution on hybrid mixtures", "cite-hybrid"),
    ("and the part standards", "cite-and-parts"),
    ("the part standards", "cite-parts"),
    ("on simple apparatus", "cite-simple"),
    ("on practice B", "cite-practice-b"),
    ("kept strictly below", "cite-strict"),
    ("scope of da", "cite-scope-da"),
    ("table on IP", "cite-table-ip"),
    ("as amended", "cite-amended"),
    ("clauses 13 and 29", "cite-clauses"),
    ("clause", "cite-clause"),
    ("scope", "cite-scope"),
    ("Annexes", "cite-annexes"),
    ("Annex", "cite-annex"),
    ("Article", "cite-article"),
    ("Section", "cite-section"),
    ("checked", "cite-checked"),
    ("memory", "cite-memory"),
    ("practice", "cite-practice"),
    ("and", "cite-and"),
    ("to", "cite-to"),
];

/// A citation in a language.
pub(super) fn translated(source: &str, language: Language) -> String {
    if language == Language::English {
        return source.to_owned();
    }
    let mut text = String::new();
    let mut rest = source;
    while !rest.is_empty() {
        let word = WORDS
            .iter()
            .find(|(word, _)| starts_a_word(source, rest) && is_prefix(word, rest));
        if let Some((word, id)) = word {
            text.push_str(&say(language, id, Vec::new()));
            rest = &rest[word.len()..];
        } else {
            let next = rest.chars().next().map_or(0, char::len_utf8);
            text.push_str(&rest[..next]);
            rest = &rest[next..];
        }
    }
    text
}

/// True where `rest` begins behind something that is no letter.
fn starts_a_word(source: &str, rest: &str) -> bool {
    source[..source.len() - rest.len()]
        .chars()
        .next_back()
        .is_none_or(|c| !c.is_alphanumeric())
}

fn is_prefix(word: &str, rest: &str) -> bool {
    rest.strip_prefix(word)
        .is_some_and(|tail| tail.chars().next().is_none_or(|c| !c.is_alphanumeric()))
}
