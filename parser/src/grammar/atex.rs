//! The group and category line: `II 2 G`, `II 2(1) GD`, `I M2`, `II 1/2 G`.

use super::text::Token;
use super::words::{Parsed, no, sp};
use crate::marking::{Atmosphere, Category, CategoryToken};
use crate::tables::{LookAlike, look_alikes};
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::tag;
use nom::character::complete::{char, one_of, satisfy};
use nom::combinator::{opt, value};
use nom::sequence::delimited;

/// A category line before it is tied to the text.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    pub(crate) mining: bool,
    /// Tokens, each with its length in bytes counted from the start of the line to its end.
    pub(crate) categories: Vec<(usize, usize, Token<CategoryToken>)>,
    pub(crate) atmospheres: Vec<Atmosphere>,
    pub(crate) repair: Option<(&'static str, String)>,
}

fn category(input: &str) -> Parsed<'_, Category> {
    alt((
        value(Category::One, char('1')),
        value(Category::Two, char('2')),
        value(Category::Three, char('3')),
    ))
    .parse(input)
}

fn side(input: &str) -> Parsed<'_, Option<Category>> {
    alt((category.map(Some), value(None, char('-')))).parse(input)
}

/// One token: `2`, `1/2`, `(1)`, `-/2`.
fn token(input: &str) -> Parsed<'_, CategoryToken> {
    alt((
        delimited(
            (one_of("([{"), sp),
            category.map(CategoryToken::Circuit),
            (sp, one_of(")]}")),
        ),
        (side, sp, char('/'), sp, side).map(|(a, _, _, _, b)| CategoryToken::Boundary(a, b)),
        category.map(CategoryToken::Own),
    ))
    .parse(input)
}

/// Name of the repair of an atmosphere letter; the group of the string must confirm it.
pub(crate) const LETTER: &str = "atmosphere letter";

/// `II 2 6`, `II 2 C`: the look of a G where a letter must stand.
fn letter_by_look(input: &str) -> Parsed<'_, Vec<Atmosphere>> {
    let Some((rest, _)) = LookAlike::prefix(look_alikes::CATEGORY_LETTER, input) else {
        return no(input);
    };
    match rest.chars().next() {
        None | Some(' ' | '\n') => Ok((rest, vec![Atmosphere::Gas])),
        _ => no(input),
    }
}

/// The atmosphere letters: `G`, `D`, `GD`, `G/D`, `G D`.
fn letters(input: &str) -> Parsed<'_, Vec<Atmosphere>> {
    let (rest, first) = one_of("GD").parse(input)?;
    let to = |c| {
        if c == 'G' {
            Atmosphere::Gas
        } else {
            Atmosphere::Dust
        }
    };
    let second = (sp, opt(one_of("/&+,")), sp, one_of("GD")).parse(rest);
    let (rest, all) = match second {
        Ok((after, (_, _, _, letter))) if letter != first && end(after).is_ok() => {
            (after, vec![to(first), to(letter)])
        }
        _ => (rest, vec![to(first)]),
    };
    let (rest, ()) = end(rest)?;
    Ok((rest, all))
}

/// The line ends: nothing follows that would make the last letter another word. The small letters
/// of EN 13463 and a glued `Ex` may follow.
fn end(input: &str) -> Parsed<'_, ()> {
    match input.chars().next() {
        Some('E') => {
            let tail = &input[1..];
            if tail.starts_with('x') || tail.starts_with('E') || tail.starts_with('X') {
                Ok((input, ()))
            } else {
                no(input)
            }
        }
        Some(c) if c.is_alphanumeric() => no(input),
        _ => Ok((input, ())),
    }
}

/// A category line printed as it should be, or with strokes for the numeral.
pub(crate) fn line(input: &str) -> Parsed<'_, Line> {
    alt((surface, mining)).parse(input)
}

/// How the numeral II was found.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Numeral {
    Clean,
    /// Two strokes of any kind.
    Strokes,
    /// Two strokes glued to the category figure: the strokes and the figure may belong together
    /// in another way.
    Glued,
    /// One stroke: group I never carries 1, 2, 3 with G or D, so the other was lost.
    One,
}

fn numeral(input: &str) -> Parsed<'_, Numeral> {
    let stroke = |c: char| matches!(c, 'I' | 'l' | '1' | '|' | '!' | 'i');
    // More than three strokes are no numeral; the look at them is bounded.
    let end = input.chars().take(4).take_while(|c| stroke(*c)).count();
    let text = &input[..end];
    let rest = &input[end..];
    let spaced = rest.starts_with([' ', '(', '[', '-']);
    let found = match text.len() {
        2 if text == "II" => Numeral::Clean,
        2 if spaced => Numeral::Strokes,
        2 => Numeral::Glued,
        1 if spaced || matches!(text, "I" | "l" | "|") => Numeral::One,
        // `II1G`, `II1/2G`: the category is 1.
        3 if text == "II1" => return Ok((&input[2..], Numeral::Clean)),
        3 if text.ends_with('1') && text.starts_with(['l', '|', 'I']) => {
            return Ok((&input[2..], Numeral::Strokes));
        }
        _ => return no(input),
    };
    Ok((rest, found))
}

fn surface(input: &str) -> Parsed<'_, Line> {
    let (rest, numeral) = numeral(input)?;
    let repair = match numeral {
        Numeral::Clean => None,
        Numeral::Strokes | Numeral::Glued | Numeral::One => {
            Some(("strokes of the group", "II".to_owned()))
        }
    };
    let (rest, _) = sp(rest)?;
    let mut categories = Vec::new();
    let mut rest = rest;
    while categories.len() < 3 {
        let (after, _) = sp(rest)?;
        match token(after) {
            Ok((next, token)) => {
                let start = input.len() - after.len();
                let end = input.len() - next.len();
                categories.push((start, end, Token::strict(token)));
                rest = next;
            }
            Err(_) => break,
        }
    }
    let own = categories
        .iter()
        .filter(|(_, _, token)| !matches!(token.value, CategoryToken::Circuit(_)))
        .count();
    if own > 1 {
        // `II 12 G` may be 1/2, (1)2 or 2: nobody can tell.
        return no(input);
    }
    if categories.is_empty() {
        // `II Z G`: the look of a 2, which may be another figure.
        let (after, _) = sp(rest)?;
        let Some((next, row)) = LookAlike::prefix(look_alikes::CATEGORY_FIGURE, after) else {
            return no(input);
        };
        let own = |figure: &str| category(figure).ok().map(|(_, c)| CategoryToken::Own(c));
        let Some(meant) = own(row.meant) else {
            return no(input);
        };
        let rivals = row.rivals.iter().filter_map(|r| own(r)).collect();
        categories.push((
            input.len() - after.len(),
            input.len() - next.len(),
            Token::repaired(meant, row.repair, row.meant).or(rivals),
        ));
        rest = next;
    }
    if numeral == Numeral::Glued
        && let [(_, _, token)] = categories.as_mut_slice()
        && let CategoryToken::Own(category @ (Category::Two | Category::Three)) = token.value
    {
        // `112G` is II 2 G as a rule, and may be what is left of II 1/2 G.
        token
            .rivals
            .push(CategoryToken::Boundary(Some(Category::One), Some(category)));
    }
    let (rest, gap) = sp(rest)?;
    let (rest, atmospheres, repair) = match letters(rest) {
        Ok((rest, atmospheres)) => (rest, atmospheres, repair),
        Err(e) => {
            // Both blanks stand, so that no number is taken for a category.
            let blanks = input.contains("I ") && !gap.is_empty();
            if !blanks || numeral != Numeral::Clean || categories.len() != 1 {
                return Err(e);
            }
            let (after, atmospheres) = letter_by_look(rest)?;
            let read = &input[..input.len() - after.len()];
            let meant = format!("{}G", &read[..read.len() - 1]);
            (after, atmospheres, Some((LETTER, meant)))
        }
    };
    Ok((
        rest,
        Line {
            mining: false,
            categories,
            atmospheres,
            repair,
        },
    ))
}

fn mining(input: &str) -> Parsed<'_, Line> {
    let (rest, repair) = alt((
        value(None, tag("I")),
        value(Some(("strokes of the group", "I".to_owned())), tag("l")),
    ))
    .parse(input)?;
    let (rest, _) = sp(rest)?;
    let mut categories = Vec::new();
    let mut rest = rest;
    while categories.len() < 2 {
        let (after, _) = sp(rest)?;
        let Ok((next, (bracket, _, figure, _))) = (
            opt(char::<_, nom::error::Error<&str>>('(')),
            char('M'),
            (sp, one_of("12Z")).map(|(_, f)| f),
            opt(char(')')),
        )
            .parse(after)
        else {
            break;
        };
        let start = input.len() - after.len();
        let end = input.len() - next.len();
        let category = if figure == '1' {
            Category::M1
        } else {
            Category::M2
        };
        let value = if bracket.is_some() {
            CategoryToken::Circuit(category)
        } else {
            CategoryToken::Own(category)
        };
        let token = if figure == 'Z' {
            Token::repaired(value, "category figure", "M2")
        } else {
            Token::strict(value)
        };
        categories.push((start, end, token));
        rest = next;
    }
    if categories.is_empty() {
        return no(input);
    }
    let (rest, ()) = end(rest)?;
    Ok((
        rest,
        Line {
            mining: true,
            categories,
            atmospheres: Vec::new(),
            repair,
        },
    ))
}

/// Where a category line starts that is glued to the end of a word: `ApparatusII2G`. Only the tidy
/// form counts, behind a small letter, up to the word's end.
pub(crate) fn glued(word: &str) -> Option<usize> {
    let at = word.find("II").filter(|at| *at > 0)?;
    let behind_small = word[..at].ends_with(|c: char| c.is_lowercase());
    match line(&word[at..]) {
        Ok(("", line)) if behind_small && line.repair.is_none() => Some(at),
        _ => None,
    }
}

/// A category line whose numeral was lost altogether: `2 G`, `3D`. The caller must know that
/// nothing else can stand there.
pub(crate) fn headless(input: &str) -> Parsed<'_, Line> {
    let (rest, token) = token(input)?;
    let end = input.len() - rest.len();
    let (rest, _) = sp(rest)?;
    let (rest, atmospheres) = letters(rest)?;
    Ok((
        rest,
        Line {
            mining: false,
            categories: vec![(0, end, Token::strict(token))],
            atmospheres,
            repair: Some((
                "lost numeral of the group",
                format!("II {}", &input[..input.len() - rest.len()]),
            )),
        },
    ))
}

/// The hexagon mark as text: `<Ex>`, `⟨Ex⟩`, `(Ex)`, `£x`, `⬡`, or a bare `Ex`; it counts only
/// right before a category line.
pub(crate) fn hexagon(input: &str) -> Parsed<'_, ()> {
    let (rest, open) = opt(one_of("<⟨({[⬡⬢〈")).parse(input)?;
    let (rest, _) = sp(rest)?;
    let shape = |clean: char, rows: &'static [LookAlike]| {
        satisfy(move |c| c == clean || LookAlike::of(rows, c).is_some())
    };
    let letters = (
        shape('E', look_alikes::HEXAGON_LETTER),
        shape('x', look_alikes::HEXAGON_X),
    );
    let (rest, letters) = opt(letters).parse(rest)?;
    // The sign itself, with its second letter beside it.
    let (rest, _) = match (open, letters) {
        (Some('⬡' | '⬢'), None) => opt(shape('x', look_alikes::HEXAGON_X)).parse(rest)?,
        _ => (rest, None),
    };
    let (rest, _) = sp(rest)?;
    let (rest, _) = opt(one_of(">⟩)}]⬡⬢〉")).parse(rest)?;
    if open.is_none() && letters.is_none() {
        return no(input);
    }
    let (rest, _) = super::words::gap(rest)?;
    if line(rest).is_err() && headless(rest).is_err() {
        return no(input);
    }
    Ok((rest, ()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Option<(Vec<String>, usize)> {
        line(text).ok().map(|(_, l)| {
            (
                l.categories.iter().map(|c| c.2.value.to_string()).collect(),
                l.atmospheres.len(),
            )
        })
    }

    #[test]
    fn forms() {
        for (text, categories, atmospheres) in [
            ("II 2 G", vec!["2"], 1),
            ("II2G Ex", vec!["2"], 1),
            ("II 2G", vec!["2"], 1),
            ("II 2 GD", vec!["2"], 2),
            ("II 2 G/D", vec!["2"], 2),
            ("II 1/2 G", vec!["1/2"], 1),
            ("II (1) G", vec!["(1)"], 1),
            ("II 2(1) G", vec!["2", "(1)"], 1),
            ("II 3 (1) GD", vec!["3", "(1)"], 2),
            ("II -/2 D", vec!["-/2"], 1),
            ("I M2", vec!["M2"], 0),
            ("I (M1)", vec!["(M1)"], 0),
            ("ll 2 G", vec!["2"], 1),
            ("II 2 GEx db", vec!["2"], 1),
            ("112G", vec!["2"], 1),
            ("11 2 G", vec!["2"], 1),
            ("I (1) D", vec!["(1)"], 1),
            ("|I (1) G", vec!["(1)"], 1),
            ("II1G", vec!["1"], 1),
            ("II1/2G", vec!["1/2"], 1),
        ] {
            assert_eq!(
                read(text),
                Some((
                    categories.iter().map(ToString::to_string).collect(),
                    atmospheres
                )),
                "{text}"
            );
        }
        for text in [
            "II 4 G",
            "II 2 X",
            "II 2 GO",
            "II 12 G x",
            "1112G",
            "III 2 G",
            "II G",
        ] {
            let found = read(text);
            assert_eq!(found, None, "{text}");
        }
    }

    #[test]
    fn glued_to_a_word() {
        assert_eq!(glued("ApparatusII2G"), Some(9));
        assert_eq!(glued("ApparatusII"), None);
        assert_eq!(glued("RADII2GX"), None);
        assert_eq!(glued("II2G"), None);
    }

    #[test]
    fn hexagon_only_before_a_category() {
        assert!(hexagon("<Ex> II 2 G").is_ok());
        assert!(hexagon("£x II 2 G").is_ok());
        assert!(hexagon("EX112G").is_ok());
        assert!(hexagon("< 2D").is_ok());
        assert!(hexagon("Ex II 2 G").is_ok());
        assert!(hexagon("Ex db IIC").is_err());
        assert!(hexagon("(Ex ia Ga] IIC").is_err());
    }
}
