//! Stretches of a row that have something in common.

use std::ops::Range;

/// The longest possible runs of places below `count` that are all `within`, from left to right.
pub(crate) fn runs(count: usize, within: impl Fn(usize) -> bool) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut start = None;
    for at in 0..=count {
        match (at < count && within(at), start) {
            (true, None) => start = Some(at),
            (false, Some(from)) => {
                found.push(from..at);
                start = None;
            }
            _ => {}
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_end_where_something_else_begins() {
        let of = |row: &[u8]| runs(row.len(), |at| row[at] == 1);
        assert_eq!(of(&[1, 1, 0, 1, 0, 0, 1]), [0..2, 3..4, 6..7]);
        assert_eq!(of(&[0, 0]), []);
        assert_eq!(of(&[]), []);
    }
}
