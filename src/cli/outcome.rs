//! From an answer to an exit code.

use std::process::ExitCode;

/// What came of a command.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// The answer is yes, and nothing wrong was found.
    Clean,
    /// The answer is no, or something wrong was found.
    Negative,
    /// The question could not be answered.
    Unanswered,
}

impl Outcome {
    /// 0, 1 or 2.
    pub(crate) fn code(self) -> ExitCode {
        ExitCode::from(match self {
            Self::Clean => 0,
            Self::Negative => 1,
            Self::Unanswered => 2,
        })
    }
}
