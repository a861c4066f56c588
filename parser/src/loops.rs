//! Simple intrinsically safe loops: one linear source, devices, one cable.
//!
//! Every comparison is made with exact fractions: at the limit equal is a pass and the next
//! digit is not, and exactly 1 % already halves. A missing value leaves its line undecided.
//!
//! **Source:** IEC 60079-14 16.2.4, IEC 60079-25 (checked in part; the ≥ at 1 %, the limit of
//! Li on the L/R way and the ceiling for I, IIA and III from memory).

mod check;
mod exact;
mod group;
mod parts;
mod plate;
mod verdict;

pub use check::check;
pub use exact::{Exact, exact, exact_of, number};
pub use group::LoopGroup;
pub use parts::{Cable, Device, Loop, Source};
pub use plate::{FromPlate, PlateValue, device, source};
pub use verdict::{Line, LoopVerdict};
