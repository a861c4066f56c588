//! Certificate numbers of each scheme.

use super::words::{Parsed, digits, is, no, no_case, one_word, sp};
use crate::marking::{CertificateScheme, Suffix};
use nom::Parser;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while_m_n};
use nom::character::complete::one_of;
use nom::combinator::{opt, recognize, value};

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
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, 'O' | 'l' | 'I')))
        .unwrap_or(input.len());
    let text = &input[..end];
    let figures = text.chars().filter(char::is_ascii_digit).count();
    if !(2..=8).contains(&text.len()) || figures * 2 < text.len() {
        return no(input);
    }
    let tidy = text.replace('O', "0").replace(['l', 'I'], "1");
    let repaired = tidy != text;
    Ok((&input[end..], (tidy, repaired)))
}

/// X or U behind a number, set apart by a blank, a dash, a slash or nothing.
fn suffix(input: &str) -> Parsed<'_, (Suffix, bool)> {
    let (rest, _) = sp(input)?;
    let (rest, _) = opt((one_of("-/"), sp)).parse(rest)?;
    let Ok((after, letter)) = one_of::<_, _, nom::error::Error<&str>>("XxU×uV").parse(rest) else {
        return Ok((input, (Suffix::None, false)));
    };
    let first = matches!(letter, 'X' | 'x' | '×');
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
    Ok((after, (suffix, !matches!(letter, 'X' | 'U'))))
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

/// `ABC 14 ATEX 1234 X`, `ABC14ATEX1234X`, `ABC 21 UKEX 0310`.
fn directive(input: &str) -> Parsed<'_, Found> {
    let (rest, letters) = body(input)?;
    let (rest, gap1) = sp(rest)?;
    // A speck behind the letters of the body.
    let (rest, speck) = opt((one_of(".,-_'"), sp)).parse(rest)?;
    let gap1 = if speck.is_some() { " " } else { gap1 };
    let (rest, figures) = digits(2, 2).parse(rest)?;
    let (rest, gap2) = sp(rest)?;
    let (rest, (scheme, name, word_repaired)) = alt((
        is("ATEX", (CertificateScheme::Atex, "ATEX", false)),
        is("UKEX", (CertificateScheme::Ukex, "UKEX", false)),
        value(
            (CertificateScheme::Atex, "ATEX", true),
            alt((tag("ATFX"), tag("AT EX"), tag("ATEx"), tag("Atex"))),
        ),
        value(
            (CertificateScheme::Ukex, "UKEX", true),
            alt((tag("UKFX"), tag("UK EX"), tag("UKEx"))),
        ),
    ))
    .parse(rest)?;
    let (rest, gap3) = sp(rest)?;
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
                one(gap3),
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
    let (rest, word) = alt((
        tag("IECEx"),
        tag("IECEX"),
        tag("lECEx"),
        tag("|ECEx"),
        tag("1ECEx"),
        tag("lECEX"),
        tag("1ECEX"),
        tag("IEC Ex"),
        tag("IECE×"),
        tag("IECFx"),
    ))
    .parse(input)?;
    let (rest, _) = sp(rest)?;
    let (rest, _) = opt((tag(":"), sp)).parse(rest)?;
    let (rest, letters) = body(rest)?;
    let (rest, gap) = sp(rest)?;
    let (rest, figures) = digits(2, 2).parse(rest)?;
    let (rest, _) = one_of(".,").parse(rest)?;
    let (rest, (number, figures_repaired)) = running(rest)?;
    let (rest, (suffix, suffix_repaired)) = suffix(rest)?;
    let (rest, issue) = opt(issue).parse(rest)?;
    let gap = if gap.is_empty() { "" } else { " " };
    Ok((
        rest,
        Found {
            scheme: CertificateScheme::IecEx,
            number: format!("IECEx {letters}{gap}{figures}.{number}"),
            suffix,
            year: year(figures),
            issue,
            repaired: figures_repaired || suffix_repaired || !matches!(word, "IECEx" | "IECEX"),
        },
    ))
}

/// Before the directive: `ABC Ex-87.B.1234`, `ABC No. 87D1234U`.
fn older(input: &str) -> Parsed<'_, Found> {
    let (rest, text) = recognize((
        body,
        sp,
        alt((
            recognize((
                tag("Ex-"),
                digits(2, 2),
                one_of("./"),
                one_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ"),
                one_of("./"),
                digits(2, 6),
            )),
            recognize((
                tag("No."),
                sp,
                digits(2, 2),
                one_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ"),
                digits(2, 6),
            )),
        )),
    ))
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
        let (_, found) = certificate("IECEx ABC 12.0034X Issue 2").unwrap();
        assert_eq!(found.issue, Some(2));
        for text in ["ATEX", "Certified", "ABC 14", "IECEx"] {
            assert!(certificate(text).is_err(), "{text}");
        }
    }
}
