//! Grades and kinds for people.

use crate::register::{Grade, InspectionKind};

/// The grade in a word.
pub const fn grade_words(grade: Grade) -> &'static str {
    match grade {
        Grade::Visual => "visual",
        Grade::Close => "close",
        Grade::Detailed => "detailed",
    }
}

/// The kind in a word or two.
pub const fn kind_words(kind: InspectionKind) -> &'static str {
    match kind {
        InspectionKind::Initial => "initial",
        InspectionKind::Periodic => "periodic",
        InspectionKind::Sample => "sample",
        InspectionKind::AfterRepair => "after repair",
    }
}
