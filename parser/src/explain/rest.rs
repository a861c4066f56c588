//! The rest of the plate in plain words.

use super::{Piece, piece};
use crate::marking::{Plate, Suffix};
use crate::{Joint, Message, message, signed};

/// Conformity marks, certificates, ambient and enclosure, in plain words.
pub fn explain_rest(plate: &Plate) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for mark in &plate.marks {
        let name = if mark.ukca { "UKCA" } else { "CE" };
        match &mark.body {
            Some(body) => pieces.push(piece(
                format!("{name} {}", body.value),
                message!("explain-mark-body"),
                Some(body.span),
            )),
            None => pieces.push(piece(name, message!("explain-mark"), None)),
        }
    }
    for certificate in &plate.certificates {
        let scheme = certificate.scheme.to_string();
        let mut meaning = vec![match certificate.year {
            Some(year) => message!("explain-certificate-year", scheme = scheme, year = year),
            None => message!("explain-certificate", scheme = scheme),
        }];
        if matches!(certificate.suffix, Suffix::X | Suffix::XAndU) {
            meaning.push(message!("explain-x-of-certificate"));
        }
        if matches!(certificate.suffix, Suffix::U | Suffix::XAndU) {
            meaning.push(message!("explain-u-of-certificate"));
        }
        pieces.push(piece(
            format!("{} {}", certificate.number.value, certificate.suffix).trim_end(),
            Message::list(meaning, Joint::Semicolon),
            Some(certificate.number.span),
        ));
    }
    match &plate.ambient {
        Some(ambient) => pieces.push(piece(
            ambient.raw.trim(),
            message!(
                "explain-ambient",
                low = signed(ambient.value.low_c),
                high = signed(ambient.value.high_c)
            ),
            Some(ambient.span),
        )),
        None if plate.markings.is_empty() => {}
        None => pieces.push(Piece {
            text: message!("explain-no-ambient"),
            meaning: message!("explain-no-ambient-meaning"),
            span: None,
        }),
    }
    if let Some(ip) = &plate.ip {
        pieces.push(piece(
            ip.value.text.clone(),
            message!(
                "explain-ip",
                solids = solids(ip.value.best_first()),
                water = water(ip.value.second.first().copied().flatten())
            ),
            Some(ip.span),
        ));
    }
    pieces
}

fn solids(first: Option<u8>) -> Message {
    match first {
        Some(6) => message!("explain-ip-dust-tight"),
        Some(5) => message!("explain-ip-dust-protected"),
        Some(0) => message!("explain-ip-open"),
        Some(_) => message!("explain-ip-objects"),
        None => message!("explain-ip-no-solids"),
    }
}

fn water(second: Option<u8>) -> Message {
    match second {
        Some(0) => message!("explain-ip-no-protection"),
        Some(1 | 2) => message!("explain-ip-drips"),
        Some(3) => message!("explain-ip-spray"),
        Some(4) => message!("explain-ip-splashes"),
        Some(5) => message!("explain-ip-jets"),
        Some(6) => message!("explain-ip-strong-jets"),
        Some(7) => message!("explain-ip-short-immersion"),
        Some(8) => message!("explain-ip-long-immersion"),
        Some(9) => message!("explain-ip-hot-jets"),
        _ => message!("explain-ip-no-water"),
    }
}
