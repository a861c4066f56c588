//! Certificate numbers of each scheme.

use super::words::{Parsed, digits, ends_line, is, is_year, next_line, no, no_case, one_word, sp};
use crate::marking::{CertificateScheme, Suffix};
use crate::tables::{LookAlike, look_alikes};
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while_m_n};
use nom::character::complete::{char, one_of, satisfy};
use nom::combinator::{opt, recognize};

/// A certificate before it is tied to the text.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Found {
    pub(crate) scheme: CertificateScheme,
    /// Number without suffix, tidy.
    pub(crate) number: String,
    pub(crate) suffix: Suffix,
    pub(crate) year: Option<i32>,
    pub(crate) issue: Option<u32>,
    /// Bytes of the input up to the end of the number, and whether a shape was repaired.
    pub(crate) repaired: bool,
}

/// A two-digit year of the certification schemes: 75 to 99 are of the last century.
fn year(text: &str) -> Option<i32> {
    let two: i32 = text.parse().ok()?;
    Some(if two >= 75 { 1900 + two } else { 2000 + two })
}

/// Letters of the body that issued it.
fn body(input: &str) -> Parsed<'_, &str> {
    take_while_m_n(2, 10, |c: char| c.is_ascii_uppercase()).parse(input)
}

/// Figures of a running number; `O`, `l` and `I` between figures are figures.
fn running(input: &str) -> Parsed<'_, (String, bool)> {
    let end = input
        .find(|c: char| {
            !(c.is_ascii_digit() || LookAlike::of(look_alikes::CERTIFICATE_FIGURE, c).is_some())
        })
        .unwrap_or(input.len());
    let text = &input[..end];
    let figures = text.chars().filter(char::is_ascii_digit).count();
    if !(2..=8).contains(&text.len()) || figures * 2 < text.len() {
        return no(input);
    }
    let tidy = LookAlike::tidy(look_alikes::CERTIFICATE_FIGURE, text);
    let repaired = tidy != text;
    Ok((&input[end..], (tidy, repaired)))
}

/// X or U behind a number, set apart by a blank, a dash, a slash or nothing.
fn suffix(input: &str) -> Parsed<'_, (Suffix, bool)> {
    let (rest, _) = sp(input)?;
    let (rest, _) = opt((one_of("-/"), sp)).parse(rest)?;
    let clean = one_of::<_, _, nom::error::Error<&str>>("XU")
        .parse(rest)
        .ok();
    let misread = || {
        let (after, row) = LookAlike::prefix(look_alikes::CERTIFICATE_SUFFIX, rest)?;
        Some((after, row.meant.chars().next()?))
    };
    let repaired = clean.is_none();
    let Some((after, letter)) = clean.or_else(misread) else {
        return Ok((input, (Suffix::None, false)));
    };
    let first = letter == 'X';
    let (after, second) = match (sp, one_of::<_, _, nom::error::Error<&str>>("XU")).parse(after) {
        Ok((next, (_, c))) if first != (c == 'X') && !next.starts_with(char::is_alphanumeric) => {
            (next, true)
        }
        _ => (after, false),
    };
    // The letter must stand alone, or be glued to the number as its last character.
    if after.starts_with(char::is_alphanumeric) {
        return Ok((input, (Suffix::None, false)));
    }
    let suffix = match (first, second) {
        (_, true) => Suffix::XAndU,
        (true, false) => Suffix::X,
        (false, false) => Suffix::U,
    };
    Ok((after, (suffix, repaired)))
}

fn issue(input: &str) -> Parsed<'_, u32> {
    let (rest, _) = sp(input)?;
    let (rest, _) = opt(one_of(",;/(")).parse(rest)?;
    let (rest, _) = sp(rest)?;
    let (rest, _) = one_word(&["ISSUE NO", "ISSUE", "ISS"])(rest)?;
    let (rest, _) = opt(one_of(".:")).parse(rest)?;
    let (rest, _) = sp(rest)?;
    let (rest, figures) = digits(1, 3).parse(rest)?;
    match figures.parse() {
        Ok(number) => Ok((rest, number)),
        Err(_) => no(input),
    }
}

/// `ATEX` or `UKEX`, and whether it was misread.
fn scheme_word(input: &str) -> Parsed<'_, (&'static str, bool)> {
    let clean = alt((is("ATEX", "ATEX"), is("UKEX", "UKEX"))).parse(input);
    if let Ok((rest, name)) = clean {
        return Ok((rest, (name, false)));
    }
    match LookAlike::prefix(look_alikes::CERTIFICATE_WORD, input) {
        Some((rest, row)) => Ok((rest, (row.meant, true))),
        None => no(input),
    }
}

/// `ABC 14 ATEX 1234 X`, `ABC14ATEX1234X`, `ABC 21 UKEX 0310`.
fn directive(input: &str) -> Parsed<'_, Found> {
    let (rest, letters) = body(input)?;
    let (rest, gap1) = sp(rest)?;
    // A speck behind the letters of the body.
    let (rest, speck) = opt((one_of(".,-_'"), sp)).parse(rest)?;
    let gap1 = if speck.is_some() { " " } else { gap1 };
    let (rest, figures) = digits(2, 2).parse(rest)?;
    let (rest, gap2) = sp(rest)?;
    let (rest, (name, word_repaired)) = scheme_word(rest)?;
    let scheme = if name == "ATEX" {
        CertificateScheme::Atex
    } else {
        CertificateScheme::Ukex
    };
    let (rest, gap3) = sp(rest)?;
    let (rest, is_broken) = next_line(rest);
    let (rest, letter) = opt(recognize((
        one_of("ABCDEFGHJKLMNPQRSTVWYZ"),
        opt(one_of("-")),
    )))
    .parse(rest)?;
    let (rest, gap4) = if letter.is_some() {
        sp(rest)?
    } else {
        (rest, "")
    };
    let (rest, _) = opt(one_of("-.")).parse(rest)?;
    let (rest, (number, figures_repaired)) = running(rest)?;
    let (rest, (suffix, suffix_repaired)) = suffix(rest)?;
    let (rest, issue) = opt(issue).parse(rest)?;
    // In a line of its own it may be anything: a year, or `24 V`.
    let is_its_end = ends_line(rest)
        && number.len() > 2
        && !(figures_repaired || suffix_repaired)
        && !(suffix == Suffix::None && is_year(&number));
    if is_broken && !is_its_end {
        return no(input);
    }
    let one = |gap: &str| if gap.is_empty() { "" } else { " " };
    let letter_text = letter.map_or(String::new(), |l| format!("{l}{}", one(gap4)));
    Ok((
        rest,
        Found {
            scheme,
            number: format!(
                "{letters}{}{figures}{}{name}{}{letter_text}{number}",
                one(gap1),
                one(gap2),
                if is_broken { " " } else { one(gap3) },
            ),
            suffix,
            year: year(figures),
            issue,
            repaired: speck.is_some() || word_repaired || figures_repaired || suffix_repaired,
        },
    ))
}

/// `IECEx ABC 12.0034X Issue 2`
fn iecex(input: &str) -> Parsed<'_, Found> {
    let clean = input
        .strip_prefix("IECEx")
        .or_else(|| input.strip_prefix("IECEX"));
    let misread = || LookAlike::prefix(look_alikes::IECEX_WORD, input).map(|(rest, _)| rest);
    let Some(rest) = clean.or_else(misread) else {
        return no(input);
    };
    let word_repaired = clean.is_none();
    let (rest, _) = sp(rest)?;
    let (rest, _) = opt((tag(":"), sp)).parse(rest)?;
    let (rest, before_body) = next_line(rest);
    let (rest, letters) = body(rest)?;
    let (rest, gap) = sp(rest)?;
    let (rest, before_number) = next_line(rest);
    let (rest, figures) = digits(2, 2).parse(rest)?;
    let (rest, _) = one_of(".,").parse(rest)?;
    let (rest, (number, figures_repaired)) = running(rest)?;
    let (rest, (suffix, suffix_repaired)) = suffix(rest)?;
    let (rest, issue) = opt(issue).parse(rest)?;
    if (before_body || before_number) && !ends_line(rest) {
        return no(input);
    }
    let gap = if gap.is_empty() && !before_number {
        ""
    } else {
        " "
    };
    Ok((
        rest,
        Found {
            scheme: CertificateScheme::IecEx,
            number: format!("IECEx {letters}{gap}{figures}.{number}"),
            suffix,
            year: year(figures),
            issue,
            repaired: figures_repaired || suffix_repaired || word_repaired,
        },
    ))
}

/// `Ex-87.B.1234`
fn dotted(input: &str) -> Parsed<'_, &str> {
    recognize((
        tag("Ex-"),
        digits(2, 2),
        one_of("./"),
        satisfy(|c| c.is_ascii_uppercase()),
        one_of("./"),
        digits(2, 6),
    ))
    .parse(input)
}

/// `87D1234`
fn by_year(input: &str) -> Parsed<'_, &str> {
    recognize((
        digits(2, 2),
        satisfy(|c| c.is_ascii_uppercase()),
        digits(2, 6),
    ))
    .parse(input)
}

/// `98 E 103 128`, `98.E.1031`: the year before the directive's numbers, which bounds what is taken.
fn by_year_apart(input: &str) -> Parsed<'_, &str> {
    let (rest, text) = recognize((
        digits(2, 2),
        one_of(" .-"),
        satisfy(|c| c.is_ascii_uppercase()),
        one_of(" .-"),
        digits(3, 6),
        opt((char(' '), digits(3, 3))),
    ))
    .parse(input)?;
    if year(&text[..2]).is_some_and(|year| year < 2004) {
        Ok((rest, text))
    } else {
        no(input)
    }
}

/// Before the directive: `ABC Ex-87.B.1234`, `ABC No. 87D1234U`, `ABC 98 E 103 128 X`.
fn older(input: &str) -> Parsed<'_, Found> {
    let (rest, text) = recognize(alt((
        recognize((opt((body, sp)), dotted)),
        recognize((body, sp, tag("No."), sp, by_year)),
        recognize((body, one_of(" .-"), by_year_apart)),
    )))
    .parse(input)?;
    let (rest, (suffix, repaired)) = suffix(rest)?;
    let first_digits: String = text
        .chars()
        .skip_while(|c| !c.is_ascii_digit())
        .take(2)
        .collect();
    Ok((
        rest,
        Found {
            scheme: CertificateScheme::National,
            number: text.split_whitespace().collect::<Vec<_>>().join(" "),
            suffix,
            year: year(&first_digits),
            issue: None,
            repaired,
        },
    ))
}

/// The words that announce a certificate, in the plate languages.
pub(crate) fn caption(input: &str) -> Parsed<'_, &str> {
    let (rest, text) = recognize((
        opt(alt((
            no_case("EU-Type "),
            no_case("EC-Type "),
            no_case("EU "),
            no_case("EC "),
            no_case("EG-"),
            no_case("EU-"),
        ))),
        alt((
            no_case("certificate"),
            no_case("certificato"),
            no_case("certificado"),
            no_case("certificat"),
            no_case("zertifikat"),
            no_case("bescheinigung"),
            no_case("baumusterprüfbescheinigung"),
            no_case("baumusterprüfb."),
            no_case("approval"),
            no_case("cert"),
        )),
        opt(one_of(".")),
        opt((
            one_of("- "),
            alt((no_case("nr"), no_case("no"), no_case("number"))),
            opt(one_of(".")),
        )),
        opt((
            sp,
            alt((no_case("no."), no_case("nr."), no_case("n°"), no_case("nº"))),
        )),
    ))
    .parse(input)?;
    if rest.starts_with(char::is_alphabetic) {
        return no(input);
    }
    let (rest, _) = sp(rest)?;
    let (rest, _) = opt((one_of(":"), sp)).parse(rest)?;
    Ok((rest, text))
}

/// Bytes that are looked at behind a caption.
const LONGEST_NUMBER: usize = 40;

/// A number behind a caption that has no form of its own: kept as printed, up to a wide gap.
fn captioned(input: &str) -> Parsed<'_, Found> {
    let (rest, _) = caption(input)?;
    if let Ok(found) = numbered(rest) {
        return Ok(found);
    }
    let window = super::captions::start(rest, LONGEST_NUMBER);
    let end = window
        .find("  ")
        .into_iter()
        .chain(window.find(['\n', ';']))
        .min()
        .unwrap_or(window.len());
    let text = window[..end].trim_end();
    if text.len() > LONGEST_NUMBER - 10 || text.chars().filter(char::is_ascii_digit).count() < 3 {
        return no(input);
    }
    let (number, letter) = match text.char_indices().next_back() {
        Some((at, 'X')) => (&text[..at], Suffix::X),
        Some((at, 'U')) => (&text[..at], Suffix::U),
        _ => (text, Suffix::None),
    };
    Ok((
        &rest[text.len()..],
        Found {
            scheme: CertificateScheme::National,
            number: number.trim_end().to_owned(),
            suffix: letter,
            year: None,
            issue: None,
            repaired: false,
        },
    ))
}

/// A number of a known form.
fn numbered(input: &str) -> Parsed<'_, Found> {
    alt((directive, iecex, older)).parse(input)
}

/// Any certificate number.
pub(crate) fn certificate(input: &str) -> Parsed<'_, Found> {
    alt((numbered, captioned)).parse(input)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms() {
        for (text, number, suffix, year) in [
            (
                "ABC 14 ATEX 1234 X",
                "ABC 14 ATEX 1234",
                Suffix::X,
                Some(2014),
            ),
            ("ABC14ATEX1234X", "ABC14ATEX1234", Suffix::X, Some(2014)),
            (
                "ABC 14 ATEX E 123 X",
                "ABC 14 ATEX E 123",
                Suffix::X,
                Some(2014),
            ),
            (
                "ABC 99 ATEX 1022",
                "ABC 99 ATEX 1022",
                Suffix::None,
                Some(1999),
            ),
            (
                "ABC 21 UKEX 1234 X",
                "ABC 21 UKEX 1234",
                Suffix::X,
                Some(2021),
            ),
            (
                "IECEx ABC 12.0034X",
                "IECEx ABC 12.0034",
                Suffix::X,
                Some(2012),
            ),
            (
                "IECEx XYZ 16.0102U",
                "IECEx XYZ 16.0102",
                Suffix::U,
                Some(2016),
            ),
            (
                "ABC Ex-87.B.1234",
                "ABC Ex-87.B.1234",
                Suffix::None,
                Some(1987),
            ),
            ("ABC No. 87D1234U", "ABC No. 87D1234", Suffix::U, Some(1987)),
            (
                "ABC 98 E 103 128 X",
                "ABC 98 E 103 128",
                Suffix::X,
                Some(1998),
            ),
            ("ABC 98.E.1031", "ABC 98.E.1031", Suffix::None, Some(1998)),
            ("Ex-94.C.2119 X", "Ex-94.C.2119", Suffix::X, Some(1994)),
            (
                "Certificate: ABC 15 ATEX 8016",
                "ABC 15 ATEX 8016",
                Suffix::None,
                Some(2015),
            ),
            ("Cert. No. QX 77/1203 X", "QX 77/1203", Suffix::X, None),
            (
                "ABC 18 ATEX 12O4 x",
                "ABC 18 ATEX 1204",
                Suffix::X,
                Some(2018),
            ),
        ] {
            let (_, found) = certificate(text).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert_eq!(found.number, number, "{text}");
            assert_eq!(found.suffix, suffix, "{text}");
            assert_eq!(found.year, year, "{text}");
        }
        for (text, number) in [
            ("ABC 14 ATEX\n3621X\nIP66", "ABC 14 ATEX 3621"),
            ("ABC 14 ATEX\n 3621", "ABC 14 ATEX 3621"),
            ("IECEx\nABC 12.0034X", "IECEx ABC 12.0034"),
            ("IECEx ABC\n12.0034X Issue 2\nTa", "IECEx ABC 12.0034"),
        ] {
            assert_eq!(certificate(text).unwrap().1.number, number, "{text}");
        }
        // What stands below an incomplete number need not be its end.
        for text in [
            "ABC 14 ATEX\n2019",
            "ABC 14 ATEX\n3621 W",
            "ABC 14 ATEX\n24 V",
            "IECEx ABC\n12.0034X 24 V",
            "IECEx\n\nABC 12.0034X",
        ] {
            assert!(certificate(text).is_err(), "{text}");
        }
        let (_, found) = certificate("IECEx ABC 12.0034X Issue 2").unwrap();
        assert_eq!(found.issue, Some(2));
        for text in ["ATEX", "Certified", "ABC 14", "IECEx"] {
            assert!(certificate(text).is_err(), "{text}");
        }
    }
}
