//! Bytes of files and of standard input, never more than allowed.

use std::io::Read;
use std::path::Path;

/// The bytes of the file at `path`; `-` is standard input.
///
/// # Errors
///
/// A sentence that says what is wrong and what to do.
pub(super) fn bytes(path: &Path, input: &mut dyn Read, limit: usize) -> Result<Vec<u8>, String> {
    if path == Path::new("-") {
        return limited(input, limit);
    }
    let meta = std::fs::metadata(path).map_err(|e| sentence(&e))?;
    if meta.is_dir() {
        return Err(format!(
            "this is a folder; name the photos in it, such as {}",
            path.join("*.jpg").display()
        ));
    }
    if meta.len() > limit as u64 {
        return Err(too_large(limit));
    }
    let mut file = std::fs::File::open(path).map_err(|e| sentence(&e))?;
    // Devices and pipes have no length, so the limit is kept while reading, too.
    limited(&mut file, limit)
}

/// The text of standard input.
///
/// # Errors
///
/// A sentence, also where it is not UTF-8.
pub(super) fn text(input: &mut dyn Read, limit: usize) -> Result<String, String> {
    String::from_utf8(limited(input, limit)?)
        .map_err(|_| "the text is not UTF-8; convert it first".to_owned())
}

fn limited(input: &mut dyn Read, limit: usize) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    input
        .take(limit as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| sentence(&e))?;
    if bytes.len() > limit {
        return Err(too_large(limit));
    }
    Ok(bytes)
}

fn too_large(limit: usize) -> String {
    format!("this has more than the {limit} bytes allowed; give a smaller one")
}

fn sentence(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file; check the path".to_owned(),
        std::io::ErrorKind::PermissionDenied => {
            "the file may not be read; check its permissions".to_owned()
        }
        _ => format!("the file cannot be read ({error}); copy it again"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_limit_holds_while_reading() {
        let mut input = std::io::repeat(b'x').take(11);
        assert!(
            bytes(Path::new("-"), &mut input, 10)
                .unwrap_err()
                .contains("10 bytes")
        );
        let mut input = std::io::repeat(b'x').take(10);
        assert_eq!(bytes(Path::new("-"), &mut input, 10).unwrap().len(), 10);
    }

    #[test]
    fn text_must_be_utf8() {
        assert!(
            text(&mut &b"\xff\xfe"[..], 10)
                .unwrap_err()
                .contains("UTF-8")
        );
        assert_eq!(text(&mut "Ex \u{b0}C".as_bytes(), 10).unwrap(), "Ex °C");
    }
}
