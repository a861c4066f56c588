//! Enclosure codes (IP, IK, Type) and conformity marks.

use super::text::Token;
use super::words::{Parsed, ends_line, is_year, next_line, no, no_case, not_letter, sp, word_end};
use crate::marking::Ip;
use crate::tables::{LookAlike, look_alikes};
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while_m_n, take_while1};
use nom::character::complete::{char, one_of, satisfy};
use nom::combinator::{opt, recognize, value};

/// Two characteristic figures; `S` stands for a misread 5.
fn figures(input: &str) -> Parsed<'_, (Option<u8>, Option<u8>, &str, bool)> {
    let figure = |most: u32| {
        satisfy(move |c: char| {
            c == 'X'
                || c.to_digit(10).is_some_and(|d| d <= most)
                || LookAlike::of(look_alikes::IP_FIGURE, c).is_some()
        })
    };
    let (rest, first) = figure(6).parse(input)?;
    let (rest, second) = figure(9).parse(rest)?;
    let (rest, _) = opt(one_of("KMSWDH")).parse(rest)?;
    let (rest, ()) = word_end(rest)?;
    let misread = |c: char| LookAlike::meant(look_alikes::IP_FIGURE, c);
    let figure = |c: char| misread(c).unwrap_or(c).to_digit(10).map(|d| d as u8);
    let length = input.len() - rest.len();
    let repaired = misread(first).or(misread(second)).is_some();
    Ok((
        rest,
        (figure(first), figure(second), &input[..length], repaired),
    ))
}

/// `IP66`, `IP 66/67`, `IP66/IP67`, `IP6X`, `lP66`.
///
/// **Source:** IEC 60529 (checked).
pub(crate) fn ip(input: &str) -> Parsed<'_, Token<Ip>> {
    let clean = input.strip_prefix("IP");
    let misread = || LookAlike::prefix(look_alikes::IP_PREFIX, input).map(|(rest, _)| rest);
    let Some(rest) = clean.or_else(misread) else {
        return no(input);
    };
    let (rest, _) = sp(rest)?;
    let (rest, _) = opt((char('-'), sp)).parse(rest)?;
    let (rest, (first, second, text, bad)) = figures(rest)?;
    let mut code = Ip {
        text: format!("IP{}", LookAlike::tidy(look_alikes::IP_FIGURE, text)),
        first: vec![first],
        second: vec![second],
    };
    let mut repaired = bad || clean.is_none();
    let mut rest = rest;
    while let Ok((after, (_, _, _, _, (first, second, text, bad)))) = (
        sp,
        one_of::<_, _, nom::error::Error<&str>>("/&,"),
        sp,
        opt((tag("IP"), sp)),
        figures,
    )
        .parse(rest)
    {
        code.text.push('/');
        code.text
            .push_str(&LookAlike::tidy(look_alikes::IP_FIGURE, text));
        code.first.push(first);
        code.second.push(second);
        repaired |= bad;
        rest = after;
    }
    let token = if repaired {
        let text = code.text.clone();
        Token::repaired(code, "IP code", text)
    } else {
        Token::strict(code)
    };
    Ok((rest, token))
}

/// `IK10`, `Type 4X`, `NEMA 4X, 7BCD`: kept as printed.
pub(crate) fn other(input: &str) -> Parsed<'_, &str> {
    recognize(alt((
        recognize((
            tag("IK"),
            sp,
            take_while_m_n(2, 2, |c: char| c.is_ascii_digit()),
            word_end,
        )),
        recognize((
            alt((no_case("type"), no_case("nema"))),
            sp,
            opt((no_case("type"), sp)),
            type_number,
            nom::multi::many0((sp, one_of(",/"), sp, type_number)),
        )),
    )))
    .parse(input)
}

/// An enclosure type: 1 to 13 with R, S, X, P, K or, for 7 and 9, group letters.
fn type_number(input: &str) -> Parsed<'_, &str> {
    let (rest, text) = recognize((
        take_while_m_n(1, 2, |c: char| c.is_ascii_digit()),
        opt(take_while1(|c: char| "RSXPKABCDEFG×".contains(c))),
    ))
    .parse(input)?;
    let (rest, ()) = word_end(rest)?;
    let number: u8 = text
        .trim_end_matches(|c: char| !c.is_ascii_digit())
        .parse()
        .unwrap_or(0);
    if (1..=13).contains(&number) && !rest.starts_with(['-', '.']) {
        Ok((rest, text))
    } else {
        no(input)
    }
}

/// True for UKCA, and the figures behind the mark with the place where they start.
pub(crate) type Mark = (bool, Option<(usize, Token<String>)>);

/// What begins with the four figures of a body in the line below its mark, where they have that line for
/// themselves.
fn below(rest: &str) -> Option<&str> {
    let (line, is_next) = next_line(rest);
    let figures = line.get(..4).filter(|_| is_next)?;
    let is_number = figures.chars().all(|c| c.is_ascii_digit()) && !is_year(figures);
    (is_number && ends_line(&line[4..])).then_some(line)
}

/// A CE or UKCA mark with the figures behind or below it; `true` for UKCA.
pub(crate) fn mark(input: &str) -> Parsed<'_, Mark> {
    let (rest, ukca) = alt((
        value(true, alt((tag("UKCA"), tag("UK CA"), tag("UKCÁ")))),
        value(false, alt((tag("CE"), tag("C E"), tag("( E")))),
    ))
    .parse(input)?;
    let (rest, ()) = not_letter(rest)?;
    let (after, _) = sp(rest)?;
    let after = below(after).unwrap_or(after);
    let end = after
        .find(|c: char| !(c.is_ascii_digit() || c == 'O'))
        .unwrap_or(after.len());
    let text = &after[..end];
    let starts_well = text.starts_with(|c: char| c.is_ascii_digit())
        || (text.len() == 4 && text.chars().any(|c| c.is_ascii_digit()));
    let word_ends = !after[end..].starts_with(|c: char| c.is_alphabetic() || c == '.' || c == '/');
    if (3..=5).contains(&text.len()) && starts_well && word_ends {
        let tidy = text.replace('O', "0");
        let token = if tidy == text && !input.starts_with('(') {
            Token::strict(tidy)
        } else {
            Token::repaired(tidy.clone(), "body number", tidy)
        };
        let start = input.len() - after.len();
        return Ok((&after[end..], (ukca, Some((start, token)))));
    }
    // `CE 99 99`
    if let Ok((tail, (a, _, b))) =
        (super::words::digits(2, 2), sp, super::words::digits(2, 2)).parse(after)
        && word_end(tail).is_ok()
    {
        let tidy = format!("{a}{b}");
        let start = input.len() - after.len();
        return Ok((
            tail,
            (
                ukca,
                Some((start, Token::repaired(tidy.clone(), "body number", tidy))),
            ),
        ));
    }
    if !ukca && input.starts_with(['C', '(']) && !input.starts_with("CE") {
        return no(input);
    }
    Ok((rest, (ukca, None)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ip_codes() {
        for (text, tidy, best) in [
            ("IP66", "IP66", Some(6)),
            ("IP 66", "IP66", Some(6)),
            ("IP66/67", "IP66/67", Some(6)),
            ("IP66/IP67", "IP66/67", Some(6)),
            ("IP6X", "IP6X", Some(6)),
            ("IPX4", "IPX4", None),
            ("IP69K", "IP69K", Some(6)),
            ("lP54", "IP54", Some(5)),
            ("IPS4", "IP54", Some(5)),
        ] {
            let (_, token) = ip(text).unwrap();
            assert_eq!(token.value.text, tidy);
            assert_eq!(token.value.best_first(), best, "{text}");
        }
        assert!(ip("IPX").is_err());
        assert!(ip("IP665").is_err());
    }

    #[test]
    fn marks() {
        assert_eq!(mark("CE 9999 ").unwrap().1.1.unwrap().1.value, "9999");
        assert!(mark("CE O000").is_ok());
        assert_eq!(mark("CE 99 99").unwrap().1.1.unwrap().1.value, "9999");
        assert!(mark("UKCA 9998").unwrap().1.0);
        let below = |text| mark(text).unwrap().1.1.map(|(_, token)| token.value);
        assert_eq!(below("CE\n9999\nII 2 G"), Some("9999".to_owned()));
        assert_eq!(below("CE \n 9999"), Some("9999".to_owned()));
        for text in ["CE\n2019", "CE\n9999 V", "CE\n99995", "CE\n\n9999"] {
            assert_eq!(below(text), None, "{text}");
        }
        assert_eq!(mark("CE II 3 G").unwrap().1.1, None);
        assert!(mark("CEMENT").is_err());
        assert!(other("Type 4X").is_ok());
        assert!(other("NEMA 4X, 7BCD").is_ok());
        assert!(other("Type EV-191/1").is_err());
        assert!(other("Type 40-12").is_err());
    }
}
