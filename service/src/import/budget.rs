//! What an archive may unpack to.

/// What an archive may cost. Whatever it holds, only one member at a time is in memory, and
/// nothing of it is written to disk under a name of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ArchiveLimits {
    /// A member may unpack to so many times its packed size; photos hardly shrink at all.
    pub member_ratio: u64,
    /// Members up to so many bytes may unpack to more.
    pub member_floor: u64,
    /// All members together may unpack to so many times the archive's size.
    pub total_ratio: u64,
    /// Archives may unpack to so many bytes whatever their size.
    pub total_floor: u64,
    /// Most members.
    pub members: u64,
    /// Largest PDF, bytes: it is held in memory as a whole.
    pub pdf_bytes: u64,
}

impl Default for ArchiveLimits {
    /// 200 times and 16 MiB for a member; 100 times and 1 GiB for all; a million members; 128 MiB
    /// for a PDF.
    fn default() -> Self {
        Self {
            member_ratio: 200,
            member_floor: 16 << 20,
            total_ratio: 100,
            total_floor: 1 << 30,
            members: 1_000_000,
            pdf_bytes: 128 << 20,
        }
    }
}

/// What of its limits one archive has used.
#[derive(Debug)]
pub(super) struct Budget {
    limits: ArchiveLimits,
    total: u64,
    left: u64,
    members: u64,
}

impl Budget {
    /// For an archive of so many bytes.
    pub(super) fn new(limits: ArchiveLimits, archive_bytes: u64) -> Self {
        let total = limits
            .total_floor
            .max(archive_bytes.saturating_mul(limits.total_ratio));
        Self {
            limits,
            total,
            left: total,
            members: 0,
        }
    }

    /// Most bytes that a member of this packed size may unpack to.
    pub(super) fn member(&self, packed: u64) -> u64 {
        self.limits
            .member_floor
            .max(packed.saturating_mul(self.limits.member_ratio))
    }

    /// What is left for all further members together.
    pub(super) fn left(&self) -> u64 {
        self.left
    }

    /// Counts a member and what it unpacked to.
    ///
    /// # Errors
    ///
    /// A sentence where the archive has used up its limits.
    pub(super) fn spend(&mut self, bytes: u64) -> Result<(), String> {
        self.members += 1;
        if self.members > self.limits.members {
            return Err(format!(
                "it has more than {} members; the rest is not read; split it",
                self.limits.members
            ));
        }
        match self.left.checked_sub(bytes) {
            Some(left) => {
                self.left = left;
                Ok(())
            }
            None => Err(self.exceeded()),
        }
    }

    /// What to say where the limit of all members is reached.
    pub(super) fn exceeded(&self) -> String {
        format!(
            "it unpacks to more than {} MiB, which is out of all proportion to its size; the rest \
             is not read; unpack it by hand if you trust it",
            self.total >> 20
        )
    }

    /// What to say of a member that unpacks to too much.
    pub(super) fn member_exceeded(&self) -> String {
        format!(
            "it unpacks to more than {} times its packed size, which no photo does; unpack it by \
             hand if you trust it",
            self.limits.member_ratio
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_grow_with_the_archive_and_end() {
        let limits = ArchiveLimits {
            total_floor: 100,
            members: 3,
            ..ArchiveLimits::default()
        };
        let mut budget = Budget::new(limits, 0);
        assert_eq!(budget.spend(60), Ok(()));
        assert!(
            budget
                .spend(41)
                .unwrap_err()
                .contains("out of all proportion")
        );
        assert_eq!(budget.left(), 40);
        assert_eq!(budget.spend(1), Ok(()));
        assert!(budget.spend(0).unwrap_err().contains("3 members"));
        assert_eq!(Budget::new(limits, 50).left(), 5000);
    }
}
