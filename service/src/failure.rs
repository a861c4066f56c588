//! How a command ends.

use std::process::ExitCode;

/// Why a command could not do its work. Its text is printed on standard error.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The command line asks for what makes no sense.
    #[error("{0}")]
    Usage(String),
    /// Our own fault or the machine's.
    #[error("{0}")]
    Internal(String),
    /// The answer could not be written.
    #[error("the answer could not be written: {0}")]
    Output(#[from] std::io::Error),
}

/// How a command that ran to its end wants the program to exit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// 0: every input was answered.
    Answered,
    /// 3: at least one input could not be used at all.
    InputUnusable,
    /// 4: what `--fail-on` names was met.
    FailOnMet,
    /// 5: a check found something that is not as it must be.
    NotWhole,
    /// 130: a signal stopped the work; what was done is kept.
    Stopped,
}

impl Ending {
    /// The more urgent of two endings: an input that was not read outranks all.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        let rank = |e: Self| match e {
            Self::Answered => 0,
            Self::FailOnMet => 1,
            Self::NotWhole => 2,
            Self::InputUnusable => 3,
            Self::Stopped => 4,
        };
        if rank(other) > rank(self) {
            other
        } else {
            self
        }
    }
}

impl From<Ending> for ExitCode {
    fn from(ending: Ending) -> Self {
        Self::from(match ending {
            Ending::Answered => 0,
            Ending::InputUnusable => 3,
            Ending::FailOnMet => 4,
            Ending::NotWhole => 5,
            Ending::Stopped => 130,
        })
    }
}

impl Failure {
    /// 2 for bad usage, 1 for everything that is not the user's fault; a reader that went
    /// away (`| head`) is no failure.
    pub fn exit_code(&self) -> ExitCode {
        match self {
            Self::Usage(_) => ExitCode::from(2),
            Self::Output(error) if error.kind() == std::io::ErrorKind::BrokenPipe => {
                ExitCode::SUCCESS
            }
            Self::Internal(_) | Self::Output(_) => ExitCode::from(1),
        }
    }

    /// True where nothing is to be said.
    pub fn is_quiet(&self) -> bool {
        matches!(self, Self::Output(e) if e.kind() == std::io::ErrorKind::BrokenPipe)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unread_input_outranks_a_verdict() {
        use Ending::{Answered, FailOnMet, InputUnusable};
        assert_eq!(Answered.worse(FailOnMet), FailOnMet);
        assert_eq!(FailOnMet.worse(InputUnusable), InputUnusable);
        assert_eq!(InputUnusable.worse(FailOnMet), InputUnusable);
        assert_eq!(FailOnMet.worse(Answered), FailOnMet);
    }
}
