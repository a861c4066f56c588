//! Generated from `parser/data/nec_letters.csv` by `parser/tests/tables.rs`; do not edit by hand.

use super::LetterRow;
use crate::marking::Group;

/// Every North American group letter.
#[rustfmt::skip]
pub(crate) const NEC_LETTERS: &[LetterRow] = &[
    LetterRow { letter: 'A', class: 1, usual: Group::IIC, every: Group::IIC },
    LetterRow { letter: 'B', class: 1, usual: Group::IIC, every: Group::IIC },
    LetterRow { letter: 'C', class: 1, usual: Group::IIB, every: Group::IIC },
    LetterRow { letter: 'D', class: 1, usual: Group::IIA, every: Group::IIB },
    LetterRow { letter: 'E', class: 2, usual: Group::IIIC, every: Group::IIIC },
    LetterRow { letter: 'F', class: 2, usual: Group::IIIC, every: Group::IIIC },
    LetterRow { letter: 'G', class: 2, usual: Group::IIIB, every: Group::IIIB },
];
