//! Finds a substance by name, synonym, formula or CAS number.

use super::{dusts, gases};
use std::collections::BTreeMap;

/// Gas or dust.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// Row of [`gases`].
    Gas,
    /// Row of [`dusts`].
    Dust,
}

/// One row that a search found.
#[derive(Debug, Clone, PartialEq)]
pub struct Hit {
    /// Which table.
    pub kind: Kind,
    /// Index into that table.
    pub row: usize,
    /// The name, synonym, formula or number that matched.
    pub matched: &'static str,
    /// How near, 0 to 1; 1 is the same name.
    pub score: f64,
}

impl Hit {
    /// The usual name of the row.
    pub fn name(&self) -> &'static str {
        match self.kind {
            Kind::Gas => gases()[self.row].name,
            Kind::Dust => dusts()[self.row].name,
        }
    }
}

/// What a strict look-up answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Match {
    /// No row has this name.
    None,
    /// Exactly one row.
    One(usize),
    /// The name stands for several rows.
    Many(Vec<usize>),
}

/// Names below this likeness are not worth showing: `ethnol` to `ethanol` has 0.86,
/// unrelated names of equal length seldom reach 0.6.
const LIKENESS: f64 = 0.66;
/// Likeness of a row of the same atoms: nearer than any misspelt name.
const ISOMER: f64 = 0.99;
/// More hits than this help nobody.
const SHOWN: usize = 10;

/// Letters and digits alone, lower case, in one spelling of British and American.
///
/// ```text
/// Hydrogen Sulphide → hydrogensulfide      Aluminium → aluminum
/// α-picoline        → alphapicoline        n-Hexane  → nhexane
/// ```
fn fold(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars().flat_map(char::to_lowercase) {
        match c {
            'a'..='z' | '0'..='9' => out.push(c),
            'à' | 'á' | 'â' | 'ã' | 'å' | 'ä' => out.push('a'),
            'è' | 'é' | 'ê' | 'ë' => out.push('e'),
            'ì' | 'í' | 'î' | 'ï' => out.push('i'),
            'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' => out.push('o'),
            'ù' | 'ú' | 'û' | 'ü' => out.push('u'),
            'ç' => out.push('c'),
            'ñ' => out.push('n'),
            'ß' => out.push_str("ss"),
            'α' => out.push_str("alpha"),
            'β' => out.push_str("beta"),
            'γ' => out.push_str("gamma"),
            '₀'..='₉' => {
                let digit = u32::from(c) - u32::from('₀');
                out.extend(char::from_digit(digit, 10));
            }
            _ => {}
        }
    }
    for (british, american) in [
        ("sulph", "sulf"),
        ("aluminium", "aluminum"),
        ("fibre", "fiber"),
        ("vulcanis", "vulcaniz"),
        ("kerosine", "kerosene"),
    ] {
        if out.contains(british) {
            out = out.replace(british, american);
        }
    }
    out
}

/// A formula without blanks and with plain digits; case counts, `CO` is not `Co`.
fn formula(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| match c {
            '₀'..='₉' => char::from_digit(u32::from(c) - u32::from('₀'), 10).unwrap_or(c),
            _ => c,
        })
        .collect()
}

fn one(rows: Vec<usize>) -> Match {
    match rows.as_slice() {
        [] => Match::None,
        [row] => Match::One(*row),
        _ => Match::Many(rows),
    }
}

/// The row of a gas or vapour by CAS number, exact name or formula; never a guess.
pub fn gas(query: &str) -> Match {
    let query = query.trim();
    if let Some(row) = gases()
        .iter()
        .position(|g| !g.cas.is_empty() && g.cas == query)
    {
        return Match::One(row);
    }
    let folded = fold(query);
    if folded.is_empty() {
        return Match::None;
    }
    let rows_where = |test: &dyn Fn(&super::Substance) -> bool| -> Vec<usize> {
        (0..gases().len()).filter(|&r| test(&gases()[r])).collect()
    };
    // The usual name outranks a synonym: `hexane` is a synonym of several isomers in old tables.
    let by_name = rows_where(&|g| fold(g.name) == folded);
    if !by_name.is_empty() {
        return one(by_name);
    }
    let by_synonym = rows_where(&|g| g.synonyms.iter().any(|s| fold(s) == folded));
    if !by_synonym.is_empty() {
        return one(by_synonym);
    }
    let wanted = formula(query);
    one(rows_where(&|g| g.formulas.iter().any(|f| *f == wanted)))
}

/// The row of a dust by exact name; never a guess.
pub fn dust(query: &str) -> Match {
    let folded = fold(query);
    if folded.is_empty() {
        return Match::None;
    }
    one((0..dusts().len())
        .filter(|&r| {
            let d = &dusts()[r];
            std::iter::once(&d.name)
                .chain(d.synonyms)
                .any(|n| fold(n) == folded)
        })
        .collect())
}

fn likeness(query: &str, name: &str) -> f64 {
    // The larger the share of the name that the query is, the likelier it is meant.
    let share = query.len() as f64 / name.len().max(1) as f64;
    if name == query {
        1.0
    } else if name.starts_with(query) && query.len() > 2 {
        0.85 + 0.14 * share
    } else if name.contains(query) && query.len() > 2 {
        0.8 + 0.15 * share
    } else {
        strsim::normalized_damerau_levenshtein(query, name)
    }
}

/// True if two names differ in case, accents, hyphens or spelling only.
pub(crate) fn same_name(a: &str, b: &str) -> bool {
    fold(a) == fold(b)
}

/// The one row that a query with a slip of the pen means; none where no name is near, or where
/// two rows are equally near. What is found so is to be shown to a person, never used.
///
/// ```
/// use vetplate_parser::substance::nearest;
/// assert_eq!(nearest("ethnol").unwrap().name(), "ethanol");
/// assert_eq!(nearest("natural gas"), None);
/// ```
pub fn nearest(query: &str) -> Option<Hit> {
    let folded = fold(query);
    // One slip in five letters: in less than five any word is near another.
    let slips = folded.chars().count() / 5;
    let distance = |hit: &Hit| strsim::osa_distance(&folded, &fold(hit.matched));
    let mut near: Vec<(usize, Hit)> = find(query)
        .into_iter()
        .map(|hit| (distance(&hit), hit))
        .filter(|(distance, _)| *distance <= slips)
        .collect();
    near.sort_by_key(|(distance, _)| *distance);
    match near.as_slice() {
        [(best, _), (next, _), ..] if best == next => None,
        _ => near.into_iter().next().map(|(_, hit)| hit),
    }
}

/// Atoms of a formula, by element; none where the text is no formula. Chains as chemists write
/// them (`CH3CH2OH`, `C6H5(CH3)`) count alike.
fn atoms(text: &str) -> Option<BTreeMap<String, u32>> {
    let mut groups: Vec<BTreeMap<String, u32>> = vec![BTreeMap::new()];
    let chars: Vec<char> = formula(text).chars().collect();
    let mut at = 0;
    let number = |at: &mut usize| {
        let start = *at;
        while chars.get(*at).is_some_and(char::is_ascii_digit) {
            *at += 1;
        }
        let digits: String = chars[start..*at].iter().collect();
        if digits.is_empty() {
            Some(1)
        } else {
            digits.parse::<u32>().ok().filter(|n| *n < 1000)
        }
    };
    while let Some(&c) = chars.get(at) {
        at += 1;
        match c {
            '(' => groups.push(BTreeMap::new()),
            ')' => {
                let times = number(&mut at)?;
                let inner = groups.pop()?;
                let outer = groups.last_mut()?;
                for (element, count) in inner {
                    let sum = outer.entry(element).or_default();
                    *sum = sum.checked_add(count.checked_mul(times)?)?;
                }
            }
            'A'..='Z' => {
                let mut element = c.to_string();
                if let Some(&small) = chars.get(at).filter(|s| s.is_ascii_lowercase()) {
                    element.push(small);
                    at += 1;
                }
                let count = number(&mut at)?;
                let sum = groups.last_mut()?.entry(element).or_default();
                *sum = sum.checked_add(count)?;
            }
            _ => return None,
        }
    }
    let all = groups.pop()?;
    (groups.is_empty() && all.len() > 1).then_some(all)
}

/// Every row that the query may mean, nearest first.
///
/// ```
/// let hits = vetplate_parser::substance::find("ethnol");
/// assert_eq!(hits[0].name(), "ethanol");
/// ```
pub fn find(query: &str) -> Vec<Hit> {
    let trimmed = query.trim();
    let folded = fold(trimmed);
    if folded.is_empty() {
        return Vec::new();
    }
    let wanted = formula(trimmed);
    let composition = atoms(trimmed);
    let best = |kind, row, names: &mut dyn Iterator<Item = &'static str>| {
        names
            .map(|name| Hit {
                kind,
                row,
                matched: name,
                score: likeness(&folded, &fold(name)),
            })
            .max_by(|a, b| a.score.total_cmp(&b.score))
    };
    let mut hits: Vec<Hit> = Vec::new();
    for (row, g) in gases().iter().enumerate() {
        let exact = if !g.cas.is_empty() && g.cas == trimmed {
            Some(g.cas)
        } else {
            g.formulas.iter().copied().find(|f| *f == wanted)
        };
        let hit = match exact {
            Some(matched) => Some(Hit {
                kind: Kind::Gas,
                row,
                matched,
                score: 1.0,
            }),
            None => best(
                Kind::Gas,
                row,
                &mut std::iter::once(g.name).chain(g.synonyms.iter().copied()),
            ),
        };
        // A formula written as a chain has isomers, so it is near and never the same.
        let isomer = composition.as_ref().and_then(|c| {
            g.formulas
                .iter()
                .copied()
                .find(|f| atoms(f).as_ref() == Some(c))
        });
        let hit = match (isomer, hit) {
            (Some(matched), Some(hit)) if hit.score < ISOMER => Some(Hit {
                matched,
                score: ISOMER,
                ..hit
            }),
            (_, hit) => hit,
        };
        hits.extend(hit.filter(|h| h.score >= LIKENESS));
    }
    for (row, d) in dusts().iter().enumerate() {
        let hit = best(
            Kind::Dust,
            row,
            &mut std::iter::once(d.name).chain(d.synonyms.iter().copied()),
        );
        hits.extend(hit.filter(|h| h.score >= LIKENESS));
    }
    hits.sort_by(|a, b| {
        b.score
            .total_cmp(&a.score)
            .then_with(|| a.name().len().cmp(&b.name().len()))
            .then_with(|| a.name().cmp(b.name()))
    });
    hits.truncate(SHOWN);
    hits
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn named(query: &str) -> &'static str {
        match gas(query) {
            Match::One(row) => gases()[row].name,
            other => panic!("{query}: {other:?}"),
        }
    }

    #[test]
    fn one_substance_by_many_names() {
        for (query, name) in [
            ("Ethanol", "ethanol"),
            ("64-17-5", "ethanol"),
            ("ÉTHANOL", "ethanol"),
            ("gasoline", "petrol"),
            ("carbon disulphide", "carbon disulphide"),
            ("Carbon Disulfide", "carbon disulphide"),
            ("CS2", "carbon disulphide"),
            ("CS₂", "carbon disulphide"),
            ("n hexane", "n-hexane"),
            ("hexane", "n-hexane"),
            ("isobutane", "isobutane"),
            ("iso-Butane", "isobutane"),
            ("MEK", "methyl ethyl ketone"),
            ("H2S", "hydrogen sulphide"),
            ("ether", "diethyl ether"),
            ("butane", "n-butane"),
        ] {
            assert_eq!(named(query), name, "{query}");
        }
    }

    #[test]
    fn a_formula_of_several_isomers_is_no_answer() {
        assert!(matches!(gas("C2H6O"), Match::Many(rows) if rows.len() == 2));
        assert_eq!(gas("Co"), Match::None);
        assert_eq!(gas("unobtainium"), Match::None);
        assert_eq!(gas("  "), Match::None);
    }

    #[test]
    fn typing_errors_are_found_but_never_looked_up() {
        assert_eq!(gas("ethnol"), Match::None);
        for (query, name) in [
            ("ethnol", "ethanol"),
            ("acetlyene", "acetylene"),
            ("hydrogen sulfid", "hydrogen sulphide"),
            ("aluminum", "aluminium"),
            ("flor", "wheat flour"),
        ] {
            assert!(
                find(query).iter().take(4).any(|h| h.name() == name),
                "{query}: {:?}",
                find(query)
            );
        }
        assert!(find("").is_empty());
    }

    #[test]
    fn a_chain_of_atoms_finds_every_isomer_and_is_no_answer() {
        assert_eq!(gas("C2H5OH"), Match::None);
        let names: Vec<&str> = find("C2H5OH").iter().map(Hit::name).collect();
        assert!(
            names.starts_with(&["ethanol", "dimethyl ether"]),
            "{names:?}"
        );
        assert_eq!(find("CH3OH")[0].name(), "methanol");
        assert_eq!(find("(CH3)2CO")[0].name(), "acetone");
        assert_eq!(atoms("C6H5(CH3)"), atoms("C7H8"));
        for text in ["", "CH3)", "(CH3", "ethanol", "H2", "C99999999999H"] {
            assert_eq!(atoms(text), None, "{text}");
        }
    }

    #[test]
    fn one_slip_leaves_one_row() {
        for (query, name) in [
            ("ethnol", "ethanol"),
            ("Äthanol", "ethanol"),
            ("methan", "methane"),
            ("acetylen", "acetylene"),
            ("stryene", "styrene"),
            ("ammoniac", "ammonia"),
            ("tolune", "toluene"),
            ("hydrgen", "hydrogen"),
            ("propan", "propane"),
            ("wheat flower", "wheat flour"),
        ] {
            assert_eq!(nearest(query).map(|h| h.name()), Some(name), "{query}");
        }
        for query in [
            "",
            "tin",
            "natural gas",
            "whisky",
            "propanol",
            "unobtainium",
        ] {
            assert_eq!(nearest(query), None, "{query}");
        }
    }

    #[test]
    fn dusts_by_name() {
        for (query, name) in [
            ("flour", "wheat flour"),
            ("Sulfur", "sulphur"),
            ("grain", "cereals"),
        ] {
            match dust(query) {
                Match::One(row) => assert_eq!(dusts()[row].name, name),
                other => panic!("{query}: {other:?}"),
            }
        }
    }
}
