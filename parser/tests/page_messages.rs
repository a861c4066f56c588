//! The texts of the page stand in Fluent files of the same layout as the service's: every language
//! says the same things, with the same arguments, and what both say they say alike.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use vetplate_parser::{Language, message};

type Arguments = BTreeSet<String>;

fn page() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../service/page")
}

fn arguments(pattern: &Pattern<String>, into: &mut Arguments) {
    let mut name = |inline: &InlineExpression<String>| {
        if let InlineExpression::VariableReference { id } = inline {
            into.insert(id.name.clone());
        }
    };
    let mut inner = Vec::new();
    for element in &pattern.elements {
        let PatternElement::Placeable { expression } = element else {
            continue;
        };
        match expression {
            Expression::Inline(inline) => name(inline),
            Expression::Select { selector, variants } => {
                name(selector);
                inner.extend(variants.iter().map(|variant| &variant.value));
            }
        }
    }
    for pattern in inner {
        arguments(pattern, into);
    }
}

/// File, id and, where it has one, attribute of each text, with its arguments.
fn texts(language: Language) -> BTreeMap<String, Arguments> {
    let mut found = BTreeMap::new();
    for file in std::fs::read_dir(page().join("messages").join(language.tag())).unwrap() {
        let path = file.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        let text = std::fs::read_to_string(&path).unwrap();
        let resource = fluent_syntax::parser::parse(text)
            .unwrap_or_else(|(_, errors)| panic!("{}: {errors:?}", path.display()));
        for entry in resource.body {
            let Entry::Message(message) = entry else {
                panic!("{}: {entry:?}", path.display())
            };
            let attributes = message.attributes.iter();
            let patterns = attributes
                .map(|one| (format!(".{}", one.id.name), &one.value))
                .chain(message.value.iter().map(|value| (String::new(), value)));
            for (attribute, pattern) in patterns {
                let mut asked = Arguments::new();
                arguments(pattern, &mut asked);
                let id = format!("{name}: {}{attribute}", message.id.name);
                assert!(found.insert(id.clone(), asked).is_none(), "{id} twice");
            }
        }
    }
    found
}

#[test]
fn every_language_of_the_page_says_the_same_things() {
    let english = texts(Language::English);
    assert!(english.len() > 250, "{} texts", english.len());
    for language in [Language::German, Language::French] {
        assert_eq!(english, texts(language), "{language}");
    }
}

/// Where there is no network, the page judges a photo by itself, in the words of the service.
#[test]
fn what_page_and_service_both_say_they_say_alike() {
    for language in Language::ALL {
        let path = page()
            .join("src/words")
            .join(format!("{}.ts", language.tag()));
        let made = std::fs::read_to_string(path).unwrap();
        for said in [message!("flaw-blurred"), message!("flaw-dark")] {
            let said = said.text(language);
            assert!(
                made.contains(&format!("`{said}`")),
                "{language}: {said}: run `npm run build` in service/page"
            );
        }
    }
}
