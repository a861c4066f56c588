//! A site's list of certificates: what was certified, beside what plates claim.
//!
//! Numbers are compared by their letters and digits, so that blanks, dots and case do not
//! count. A number that is only near is never taken for the same one.

mod compare;
mod entry;
mod key;

pub use entry::{CertificateEntry, CertificateFault, CertificateFields};

pub(crate) use compare::{Difference, against};
pub(crate) use key::differs_at;

use crate::marking::Certificate;

/// The certificates of a site, one entry an issue.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CertificateList {
    entries: Vec<CertificateEntry>,
}

/// Two entries of a list are for the same issue of the same certificate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Doubled {
    /// Index of the first.
    pub first: usize,
    /// Index of the second.
    pub second: usize,
}

/// What a list says of one number.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Found<'a> {
    /// Nothing.
    None,
    /// No entry, but some whose numbers are nearly the same.
    Near(Vec<&'a CertificateEntry>),
    /// The number stands in the list, without the issue that is asked for.
    OtherIssues(Vec<&'a CertificateEntry>),
    /// The entry to hold the plate against; true where a later issue stands in the list.
    Entry(&'a CertificateEntry, bool),
}

/// Numbers that differ by more single characters than this are two numbers, not one misread.
const NEAR: usize = 2;

impl CertificateList {
    /// A list of these entries.
    ///
    /// # Errors
    ///
    /// [`Doubled`] where one issue of one certificate stands twice.
    pub fn new(entries: Vec<CertificateEntry>) -> Result<Self, Doubled> {
        let mut order: Vec<usize> = (0..entries.len()).collect();
        order.sort_by(|&a, &b| {
            let of = |i: usize| (&entries[i].key, entries[i].issue, i);
            of(a).cmp(&of(b))
        });
        let twice = order
            .windows(2)
            .map(|w| (w[0], w[1]))
            .filter(|&(a, b)| {
                entries[a].key == entries[b].key && entries[a].issue == entries[b].issue
            })
            .min_by_key(|&(_, second)| second);
        match twice {
            Some((first, second)) => Err(Doubled { first, second }),
            None => Ok(Self { entries }),
        }
    }

    /// Every entry, in the order of the list.
    pub fn entries(&self) -> &[CertificateEntry] {
        &self.entries
    }

    /// True if a number as printed, with or without its X or U, stands in the list.
    pub(crate) fn has(&self, printed: &str) -> bool {
        let wanted = key::key(printed);
        let bare = wanted.trim_end_matches(['X', 'U']);
        self.entries
            .iter()
            .any(|e| e.key == wanted || e.key == bare)
    }

    /// The entry for a number on a plate: of the printed issue, or of the latest where none
    /// is printed.
    pub(crate) fn find(&self, printed: &Certificate) -> Found<'_> {
        let wanted = key::key(&printed.number.value);
        let mut issues: Vec<&CertificateEntry> =
            self.entries.iter().filter(|e| e.key == wanted).collect();
        issues.sort_by_key(|e| e.issue);
        let Some(latest) = issues.last().copied() else {
            let near = self.near(&wanted);
            return if near.is_empty() {
                Found::None
            } else {
                Found::Near(near)
            };
        };
        match printed.issue {
            None => Found::Entry(latest, false),
            Some(issue) => match issues.iter().find(|e| e.issue == issue) {
                Some(entry) => Found::Entry(entry, entry.issue < latest.issue),
                None => Found::OtherIssues(issues),
            },
        }
    }

    /// Entries whose numbers are nearly `wanted`, nearest first, one a number.
    pub(crate) fn near(&self, wanted: &str) -> Vec<&CertificateEntry> {
        let mut near: Vec<(usize, &CertificateEntry)> = self
            .entries
            .iter()
            .filter(|e| e.key != wanted)
            .map(|e| (strsim::osa_distance(&e.key, wanted), e))
            .filter(|(distance, _)| *distance <= NEAR)
            .collect();
        near.sort_by(|a, b| (a.0, &a.1.key).cmp(&(b.0, &b.1.key)));
        near.dedup_by(|a, b| a.1.key == b.1.key);
        near.into_iter().map(|(_, entry)| entry).collect()
    }
}
