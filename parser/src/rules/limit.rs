//! The highest surface temperature that a gas marking stands for, at the ambient of the place.

use super::Case;
use crate::marking::{Ambient, Marking, Scheme, TClass, Temperature};
use crate::{Message, message, signed};

/// One temperature and how it is written on the plate.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Surface {
    /// °C.
    pub(super) celsius: f64,
    /// `T4: at most 135 °C`.
    pub(super) words: Message,
}

/// What can be said of the surface temperature.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Limit {
    /// It is at most this.
    Fixed(Surface),
    /// It lies between these, and the certificate says where.
    Between {
        /// Hottest.
        worst: Surface,
        /// Coldest.
        best: Surface,
    },
    /// It cannot be told, and why.
    Unknown(Message),
}

/// Limit of a class. A North American subdivision on a marking of another scheme may be a
/// misread letter, so the plain class stands for it.
fn class_limit(marking: &Marking, class: TClass) -> f64 {
    let american = marking.aex
        || marking.american != crate::marking::AmericanPlace::default()
        || matches!(
            marking.scheme,
            Scheme::NecDivision | Scheme::NecZone | Scheme::Cec
        );
    if american || !class.is_american() {
        return class.limit_c();
    }
    class.undivided().limit_c()
}

fn of_class(marking: &Marking, class: TClass) -> Surface {
    let celsius = class_limit(marking, class);
    Surface {
        celsius,
        words: message!("limit-class", class = class, celsius = celsius),
    }
}

/// The surface temperature of a marking for gas.
pub(super) fn limit(case: &Case<'_>, marking: &Marking) -> Limit {
    let Some(read) = &marking.temperature else {
        return Limit::Unknown(match (&marking.unknown_class, marking.class_celsius) {
            (Some(class), _) => message!("limit-no-such-class", class = &class.raw),
            (None, Some(celsius)) => {
                message!("limit-disagree", celsius = celsius)
            }
            (None, None) => message!("limit-no-class"),
        });
    };
    match &read.value {
        Temperature::Class(class) => {
            let mut surface = of_class(marking, *class);
            // `T6 (T120 °C)` contradicts itself: the hotter of the two is the weaker reading.
            if let Some(celsius) = marking.class_celsius.filter(|c| *c > surface.celsius) {
                surface = Surface {
                    celsius,
                    words: message!("limit-beside", class = class, celsius = celsius),
                };
            }
            Limit::Fixed(surface)
        }
        Temperature::Range(a, b) => {
            let (worst, best) = if of_class(marking, *a).celsius >= of_class(marking, *b).celsius {
                (a, b)
            } else {
                (b, a)
            };
            Limit::Between {
                worst: of_class(marking, *worst),
                best: of_class(marking, *best),
            }
        }
        Temperature::MaxSurface { celsius, .. } => Limit::Fixed(Surface {
            celsius: *celsius,
            words: message!("surface-at-most", celsius = *celsius),
        }),
        Temperature::ByAmbient(classes) => {
            let high_c = case.place.ambient.unwrap_or(Ambient::DEFAULT).high_c;
            // The row of the next ambient above holds. What is hotter already at a lower one is so here:
            // a table whose classes do not follow the ambient contradicts itself.
            let row = classes
                .iter()
                .map(|c| c.ambient_max_c)
                .filter(|max| *max >= high_c)
                .min_by(f64::total_cmp);
            let holding = row.and_then(|row| {
                classes
                    .iter()
                    .filter(|c| c.ambient_max_c <= row)
                    .map(|c| of_class(marking, c.class))
                    .max_by(|a, b| a.celsius.total_cmp(&b.celsius))
            });
            match holding {
                Some(surface) => Limit::Fixed(Surface {
                    words: message!(
                        "limit-at-ambient",
                        high = signed(high_c),
                        surface = surface.words
                    ),
                    celsius: surface.celsius,
                }),
                None => Limit::Unknown(message!(
                    "limit-no-class-for-ambient",
                    high = signed(high_c)
                )),
            }
        }
    }
}
