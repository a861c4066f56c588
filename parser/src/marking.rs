//! A plate taken apart: the types that the grammar fills and the rules read.

mod atex;
mod certificate;
mod epl;
mod group;
mod level;
mod mark;
mod notation;
mod parameters;
mod protection;
mod temperature;

pub use atex::{AtexLine, Category, CategoryToken};
pub use certificate::{Certificate, CertificateScheme, Suffix};
pub use epl::{Atmosphere, Epl, Level, NonLevel};
pub use group::Group;
pub(crate) use group::letter_class;
pub(crate) use level::{names_a_room, worth};
pub use mark::{Ambient, AmericanPlace, BodyMark, Ip, Marking, Plate, Scheme};
pub use parameters::{Entity, Quantity};
pub use protection::{Protection, ProtectionType};
pub use temperature::{AmbientClass, DustTemperature, TClass, Temperature};
