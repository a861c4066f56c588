//! A cable in one flag: `300 m, 200 pF/m, 1 µH/m, 25 µH/Ω`.

use crate::answer::LoopCableDto;

/// Reads the figures of a cable, each told by its unit; `ordinary` stands for the usual ones.
///
/// # Errors
///
/// A sentence that names the piece that cannot be used.
pub(super) fn cable(text: &str) -> Result<LoopCableDto, String> {
    let mut cable = LoopCableDto::default();
    for piece in text.split([',', ';']).map(str::trim) {
        if piece.is_empty() {
            continue;
        }
        if piece.eq_ignore_ascii_case("ordinary") {
            cable.ordinary = true;
            continue;
        }
        let split = piece
            .find(|c: char| !(c.is_ascii_digit() || c == '.'))
            .unwrap_or(piece.len());
        let (number, unit) = piece.split_at(split);
        let wrong = || {
            format!(
                "'{piece}' is no figure of a cable; write such as 300 m, 200 pF/m, 1 µH/m, \
                 25 µH/Ω, or ordinary"
            )
        };
        let number: f64 = number.parse().map_err(|_| wrong())?;
        // Micro sign and Greek letter, ohm sign and Greek letter.
        let unit = unit
            .trim()
            .replace(['\u{b5}', '\u{3bc}'], "u")
            .replace(['\u{2126}', '\u{3a9}'], "ohm");
        let slot = match unit.as_str() {
            "m" => &mut cable.length_m,
            "pF/m" | "nF/km" => &mut cable.c_pf_per_m,
            "uH/m" | "mH/km" => &mut cable.l_uh_per_m,
            "uH/ohm" => &mut cable.l_r_uh_per_ohm,
            _ => return Err(wrong()),
        };
        if slot.replace(number).is_some() {
            return Err(format!(
                "'{piece}': a figure with this unit stands twice; keep one"
            ));
        }
    }
    if cable.length_m.is_none() {
        return Err("the length is missing; write it in metres, such as 300 m".to_owned());
    }
    Ok(cable)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_told_by_their_units() {
        let got = cable("300 m, 200pF/m, 0.7 µH/m, 25 uH/ohm").unwrap();
        assert_eq!((got.length_m, got.c_pf_per_m), (Some(300.0), Some(200.0)));
        assert_eq!(
            (got.l_uh_per_m, got.l_r_uh_per_ohm),
            (Some(0.7), Some(25.0))
        );
        assert!(!got.ordinary);
        let got = cable("300m, ordinary").unwrap();
        assert!(got.ordinary && got.c_pf_per_m.is_none());
    }

    #[test]
    fn what_cannot_be_used_is_named() {
        for (text, part) in [
            ("ordinary", "the length is missing"),
            ("300 ft", "'300 ft'"),
            ("300 m, 200 m", "stands twice"),
            ("300 m, thick", "'thick'"),
            ("-3 m", "'-3 m'"),
        ] {
            assert!(cable(text).unwrap_err().contains(part), "{text}");
        }
    }
}
