//! Text of plates as people type it.

/// Largest text of one plate in bytes. A plate holds some hundred characters.
pub(crate) const MAX_PLATE_BYTES: usize = 16 << 10;

/// The lines of one plate, which `;` or a line break separates.
pub(crate) fn split(text: &str) -> Vec<String> {
    text.split([';', '\n'])
        .map(str::trim)
        .filter(|line| !line.is_empty())
        .map(ToOwned::to_owned)
        .collect()
}

/// Checks that the lines can be a plate at all.
///
/// # Errors
///
/// A sentence, where there is no text or far too much.
pub(crate) fn usable(lines: &[String]) -> Result<(), String> {
    let bytes: usize = lines.iter().map(|line| line.trim().len()).sum();
    if bytes == 0 {
        return Err("the text is empty; write a marking such as Ex db IIC T4 Gb".to_owned());
    }
    if bytes > MAX_PLATE_BYTES {
        return Err(format!(
            "the text has {bytes} bytes, more than the {MAX_PLATE_BYTES} that one plate may have; \
             give one plate at a time"
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn semicolons_and_line_breaks_part_lines() {
        assert_eq!(
            split(" II 2 G ; Ex db IIC T4 Gb;;\nIP66\r\n"),
            ["II 2 G", "Ex db IIC T4 Gb", "IP66"]
        );
    }

    #[test]
    fn nothing_and_far_too_much_are_refused() {
        assert!(usable(&[]).is_err());
        assert!(usable(&["  ".to_owned()]).is_err());
        assert!(usable(&["x".repeat(MAX_PLATE_BYTES + 1)]).is_err());
        usable(&["Ex".to_owned()]).unwrap();
    }
}
