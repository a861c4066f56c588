//! The catalogue: one bundle a language, made when it is first spoken.

use super::Language;
use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use std::sync::LazyLock;

/// The files of one language, one a subject.
macro_rules! files {
    ($language:literal) => {
        &[
            include_str!(concat!("../../messages/", $language, "/certificates.ftl")),
            include_str!(concat!("../../messages/", $language, "/checks.ftl")),
            include_str!(concat!("../../messages/", $language, "/citations.ftl")),
            include_str!(concat!("../../messages/", $language, "/explain.ftl")),
            include_str!(concat!("../../messages/", $language, "/gases.ftl")),
            include_str!(concat!("../../messages/", $language, "/loops.ftl")),
            include_str!(concat!("../../messages/", $language, "/require.ftl")),
            include_str!(concat!("../../messages/", $language, "/review.ftl")),
            include_str!(concat!("../../messages/", $language, "/rules.ftl")),
            include_str!(concat!("../../messages/", $language, "/terminal.ftl")),
            include_str!(concat!("../../messages/", $language, "/verdict.ftl")),
            include_str!(concat!("../../messages/", $language, "/words.ftl")),
        ]
    };
}

const ENGLISH: &[&str] = files!("en");
const GERMAN: &[&str] = files!("de");
const FRENCH: &[&str] = files!("fr");

fn bundle(language: Language, files: &[&str]) -> FluentBundle<FluentResource> {
    let tag = language.tag().parse().unwrap_or_default();
    let mut bundle = FluentBundle::new_concurrent(vec![tag]);
    // Marks around arguments would show on terminals; everything here runs left to right.
    bundle.set_use_isolating(false);
    for file in files {
        // What cannot be parsed is left out; the tests parse the files again and name it.
        let resource = match FluentResource::try_new((*file).to_owned()) {
            Ok(resource) | Err((resource, _)) => resource,
        };
        bundle.add_resource_overriding(resource);
    }
    bundle
}

fn of(language: Language) -> &'static FluentBundle<FluentResource> {
    static ENGLISH_BUNDLE: LazyLock<FluentBundle<FluentResource>> =
        LazyLock::new(|| bundle(Language::English, ENGLISH));
    static GERMAN_BUNDLE: LazyLock<FluentBundle<FluentResource>> =
        LazyLock::new(|| bundle(Language::German, GERMAN));
    static FRENCH_BUNDLE: LazyLock<FluentBundle<FluentResource>> =
        LazyLock::new(|| bundle(Language::French, FRENCH));
    match language {
        Language::English => &ENGLISH_BUNDLE,
        Language::German => &GERMAN_BUNDLE,
        Language::French => &FRENCH_BUNDLE,
    }
}

/// An entry in a language.
///
/// An id that no file has is shown as it is: the tests find it, and nothing is lost in silence.
pub(super) fn say(language: Language, id: &str, arguments: Vec<(&'static str, String)>) -> String {
    let bundle = of(language);
    let Some(pattern) = bundle.get_message(id).and_then(|entry| entry.value()) else {
        return format!("[{id}]");
    };
    let arguments: FluentArgs<'_> = arguments
        .into_iter()
        .map(|(name, text)| (name, FluentValue::from(text)))
        .collect();
    let mut errors = Vec::new();
    let text = bundle.format_pattern(pattern, Some(&arguments), &mut errors);
    // The files wrap long sentences.
    if text.contains('\n') {
        text.replace('\n', " ")
    } else {
        text.into_owned()
    }
}
