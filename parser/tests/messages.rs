//! The catalogue against the code: every id that the code names stands in every language, none
//! stands there for nothing, and each call gives the arguments that the words ask for.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use vetplate_parser::{CHECKS, Language, Message, rules::RULES, substance};

type Arguments = BTreeSet<String>;

fn parser() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file under a folder with an ending, in order.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path, ending));
        } else if path.extension().is_some_and(|e| e == ending) {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn variables(pattern: &Pattern<String>, into: &mut Arguments) {
    for element in &pattern.elements {
        if let PatternElement::Placeable { expression } = element {
            match expression {
                Expression::Inline(inline) => variable(inline, into),
                Expression::Select { selector, variants } => {
                    variable(selector, into);
                    for variant in variants {
                        variables(&variant.value, into);
                    }
                }
            }
        }
    }
}

fn variable(inline: &InlineExpression<String>, into: &mut Arguments) {
    match inline {
        InlineExpression::VariableReference { id } => {
            into.insert(id.name.clone());
        }
        InlineExpression::StringLiteral { .. } | InlineExpression::NumberLiteral { .. } => {}
        other => panic!("the catalogue uses variables and literals only, not {other:?}"),
    }
}

/// The entries of a language with what they ask for.
fn catalogue(language: Language) -> BTreeMap<String, Arguments> {
    let mut found = BTreeMap::new();
    for path in files(&parser().join("messages").join(language.tag()), "ftl") {
        let text = std::fs::read_to_string(&path).unwrap();
        let resource = fluent_syntax::parser::parse(text)
            .unwrap_or_else(|(_, errors)| panic!("{}: {errors:?}", path.display()));
        for entry in resource.body {
            let Entry::Message(message) = entry else {
                continue;
            };
            let id = message.id.name;
            let value = message.value.unwrap_or_else(|| panic!("{id} has no words"));
            let mut asked = Arguments::new();
            variables(&value, &mut asked);
            let twice = found.insert(id.clone(), asked);
            assert!(twice.is_none(), "{id} stands twice in {language}");
        }
    }
    found
}

/// The file of an entry, by which a reader finds it in another language.
fn subjects(language: Language) -> BTreeMap<String, String> {
    let folder = parser().join("messages").join(language.tag());
    let mut found = BTreeMap::new();
    for path in files(&folder, "ftl") {
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        for line in std::fs::read_to_string(&path).unwrap().lines() {
            if let Some((id, _)) = line.split_once(" = ") {
                found.insert(id.to_owned(), name.clone());
            }
        }
    }
    found
}

/// The text of a macro call from behind its bracket to the one that closes it.
fn call(text: &str) -> &str {
    let mut depth = 1;
    let mut quoted = false;
    let mut escaped = false;
    for (at, c) in text.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' if quoted => escaped = true,
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' if !quoted => {
                depth -= 1;
                if depth == 0 {
                    return &text[..at];
                }
            }
            _ => {}
        }
    }
    panic!(
        "a call of message! does not end: {}",
        &text[..60.min(text.len())]
    )
}

/// What stands between the commas outside inner brackets.
fn parts(call: &str) -> Vec<String> {
    let mut depth = 0;
    let mut quoted = false;
    let mut part = String::new();
    let mut parts = Vec::new();
    for c in call.chars() {
        match c {
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' if !quoted => depth -= 1,
            ',' if depth == 0 && !quoted => {
                parts.push(std::mem::take(&mut part));
                continue;
            }
            _ => {}
        }
        part.push(c);
    }
    parts.push(part);
    parts
}

/// The names before `=`.
fn arguments(call: &str) -> Arguments {
    parts(call)
        .iter()
        .skip(1)
        .filter_map(|part| part.split_once('='))
        .map(|(name, _)| name.trim().to_owned())
        .collect()
}

/// Every call of `message!` in the workspace: id, arguments, file.
fn calls() -> Vec<(String, Arguments, String)> {
    let mut found = Vec::new();
    for krate in ["parser", "service"] {
        for path in files(&parser().join("..").join(krate).join("src"), "rs") {
            let code: String = std::fs::read_to_string(&path)
                .unwrap()
                .lines()
                .filter(|line| !line.trim_start().starts_with("//"))
                .collect::<Vec<_>>()
                .join("\n");
            for (at, word) in code.match_indices("message!(") {
                let inside = call(&code[at + word.len()..]);
                let id = inside.trim_start().strip_prefix('"').unwrap_or_else(|| {
                    panic!("{}: message!({inside}) has no plain id", path.display())
                });
                let id = id.split('"').next().unwrap().to_owned();
                found.push((id, arguments(inside), path.display().to_string()));
            }
        }
    }
    found
}

/// Entries that are named after a value.
fn named() -> BTreeSet<String> {
    let slug = |prefix: &str, name: &str| {
        let name: String = name
            .chars()
            .map(|c| {
                if c.is_ascii_alphanumeric() {
                    c.to_ascii_lowercase()
                } else {
                    '-'
                }
            })
            .collect();
        format!("{prefix}-{name}")
    };
    let mut found = BTreeSet::new();
    for check in CHECKS.iter().flat_map(|list| list.iter()) {
        found.insert(slug("check-name", check.name));
    }
    for gas in substance::gases() {
        if gas.group.is_some() {
            let number = if gas.cas.is_empty() {
                gas.name
            } else {
                gas.cas
            };
            found.insert(slug("gas", number));
        }
        found.extend(
            gas.group
                .iter()
                .filter(|g| !g.remark.is_empty())
                .map(|g| slug("remark", g.remark)),
        );
        found.extend(
            Some(gas.note)
                .filter(|n| !n.is_empty())
                .map(|n| slug("remark", n)),
        );
    }
    for dust in substance::dusts() {
        found.insert(slug("dust", dust.name));
        for text in [dust.note, dust.group_note] {
            found.extend(
                Some(text)
                    .filter(|n| !n.is_empty())
                    .map(|n| slug("remark", n)),
            );
        }
    }
    found.extend(repairs().iter().map(|name| slug("repair", name)));
    found
}

/// The names of the repairs of shape, from the code of the grammar and the table of look-alikes.
fn repairs() -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let mut paths = files(&parser().join("src/grammar"), "rs");
    paths.push(parser().join("src/grammar.rs"));
    for path in paths {
        let code = std::fs::read_to_string(&path).unwrap();
        for (at, word) in code.match_indices("Token::repaired(") {
            let inside = call(&code[at + word.len()..]);
            // A literal in the second place; a variable there is one of those below.
            if let Some(second) = parts(inside).get(1)
                && let Some(rest) = second.trim().strip_prefix('"')
            {
                found.insert(rest.trim_end_matches('"').to_owned());
            }
        }
        for (at, word) in code.match_indices("repair: Some((") {
            let inside = &code[at + word.len()..];
            if let Some(rest) = inside.trim_start().strip_prefix('"') {
                found.insert(rest.split('"').next().unwrap().to_owned());
            }
        }
    }
    found.extend(["closed b", "first letter of the EPL", "capitals"].map(ToOwned::to_owned));
    let mut table = csv::Reader::from_path(parser().join("data/look_alikes.csv")).unwrap();
    for row in table.deserialize::<BTreeMap<String, String>>() {
        found.insert(row.unwrap()["repair"].clone());
    }
    found.remove("");
    found
}

/// Entries that the module of messages itself names.
const OWN: [&str; 2] = ["joint-and", "joint-or"];

#[test]
fn every_language_says_the_same_things() {
    let english = catalogue(Language::English);
    let places = subjects(Language::English);
    for language in [Language::German, Language::French] {
        let other = catalogue(language);
        let missing: Vec<_> = english
            .keys()
            .filter(|id| !other.contains_key(*id))
            .collect();
        assert!(missing.is_empty(), "{language} lacks {missing:?}");
        let extra: Vec<_> = other
            .keys()
            .filter(|id| !english.contains_key(*id))
            .collect();
        assert!(extra.is_empty(), "{language} alone has {extra:?}");
        for (id, asked) in &english {
            assert_eq!(
                asked, &other[id],
                "{id} asks for other arguments in {language}"
            );
        }
        assert_eq!(places, subjects(language), "entries stand in other files");
    }
}

#[test]
fn every_call_has_its_words_and_its_arguments() {
    let english = catalogue(Language::English);
    let mut wrong = Vec::new();
    for (id, given, file) in calls() {
        match english.get(&id) {
            None => wrong.push(format!("{file}: {id} is not in the catalogue")),
            Some(asked) if *asked != given => {
                wrong.push(format!(
                    "{file}: {id} asks for {asked:?} and is given {given:?}"
                ));
            }
            Some(_) => {}
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_is_named_after_a_value_has_words() {
    let english = catalogue(Language::English);
    let wrong: Vec<_> = named()
        .into_iter()
        .filter(|id| !english.contains_key(id))
        .collect();
    assert!(wrong.is_empty(), "not in the catalogue: {wrong:?}");
}

#[test]
fn nothing_stands_in_the_catalogue_for_nothing() {
    let mut used: BTreeSet<String> = calls().into_iter().map(|(id, ..)| id).collect();
    used.extend(named());
    used.extend(OWN.map(ToOwned::to_owned));
    let unused: Vec<_> = catalogue(Language::English)
        .into_keys()
        .filter(|id| !used.contains(id) && !id.starts_with("cite-"))
        .collect();
    assert!(unused.is_empty(), "no code says {unused:?}");
}

/// The words around the names of standards are few; all are translated.
#[test]
fn citations_keep_the_names_and_translate_the_rest() {
    let checks = CHECKS.iter().flat_map(|list| list.iter()).map(|c| c.source);
    let rules = RULES.iter().map(|r| r.source());
    // What stays: names of standards, codes and their parts, and the letters of a formula.
    let names = [
        "IEC", "EN", "EC", "EU", "NEC", "CEC", "UK", "SI", "ISO", "IECEx", "II", "I", "B", "D",
        "IP", "da", "P", "U", "Annexes",
    ];
    let english: BTreeSet<&str> = [
        "clause",
        "clauses",
        "checked",
        "memory",
        "practice",
        "standards",
        "the",
        "others",
        "years",
        "part",
    ]
    .into();
    let mut wrong = BTreeSet::new();
    for source in checks.chain(rules) {
        let said = Message::citation(source).text(Language::German);
        for word in source
            .split(|c: char| !c.is_alphabetic())
            .filter(|w| w.len() > 1)
        {
            let kept = said.split(|c: char| !c.is_alphabetic()).any(|w| w == word);
            if kept && !names.contains(&word) {
                wrong.insert(format!("{word} in {source:?}"));
            }
        }
        for word in said.split(|c: char| !c.is_alphabetic()) {
            if english.contains(word) {
                wrong.insert(format!("{word} in {said:?}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Every entry in every language, with something that can be found again for each argument.
#[test]
fn every_entry_says_all_its_arguments_in_every_language() {
    for (id, asked) in catalogue(Language::English) {
        let id: &'static str = id.leak();
        let given: Vec<(&'static str, String)> = asked
            .into_iter()
            .enumerate()
            .map(|(i, name)| (&*name.leak(), format!("<{i}>")))
            .collect();
        let arguments = given
            .iter()
            .map(|(name, text)| (*name, text.into()))
            .collect();
        let message = Message::entry(id, arguments);
        for language in Language::ALL {
            let said = message.text(language);
            for (name, text) in &given {
                assert!(
                    said.contains(text),
                    "{id} loses {name} in {language}: {said}"
                );
            }
            assert!(
                !said.contains(['{', '}']) && !said.contains("[cite") && said == said.trim(),
                "{id} in {language}: {said}"
            );
        }
    }
}

/// Labels stand in a column of 14.
#[test]
fn labels_are_short() {
    let labels: Vec<String> = catalogue(Language::English)
        .into_iter()
        .filter(|(id, asked)| {
            let missing =
                id.starts_with("explain-no-") && !id.ends_with("-meaning") && !id.ends_with("-old");
            (id.starts_with("label-") || missing || id.starts_with("outcome-")) && asked.is_empty()
        })
        .map(|(id, _)| id)
        .collect();
    assert!(labels.len() > 40);
    for id in labels {
        let message = Message::entry(id.leak(), Vec::new());
        for language in Language::ALL {
            let said = message.text(language);
            assert!(said.chars().count() <= 14, "{language}: {said}");
        }
    }
}

/// Numbers keep their point in English and take a comma elsewhere; minus is a true one.
#[test]
fn numbers_follow_the_language() {
    let said = vetplate_parser::message!("check-power-low", watt = 0.25, quarter = 0.651);
    assert!(said.text(Language::English).contains("0.25 W"));
    assert!(said.text(Language::German).contains("0,25 W"));
    assert!(said.text(Language::French).contains("0,651 W"));
    let range = vetplate_parser::message!(
        "ambient-range",
        low = vetplate_parser::signed(-20.5),
        high = vetplate_parser::signed(40.0)
    );
    assert_eq!(range.text(Language::German), "−20,5 °C bis +40 °C");
}
