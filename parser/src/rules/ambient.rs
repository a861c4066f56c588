//! Does the ambient range of the plate hold that of the place?

use super::{Case, Rule};
use crate::marking::{Ambient, AmbientClass, Temperature};
use crate::verdict::{Ground, Outcome};
use crate::{Message, message, signed};

/// Nothing printed and nothing given both mean −20 to +40 °C.
pub(super) struct AmbientRange;

/// The range for which the plate holds, and true where it is the default.
fn plate_range(case: &Case<'_>) -> (Ambient, bool) {
    if let Some(printed) = &case.plate.ambient {
        return (printed.value, false);
    }
    // `T6 (Ta ≤ +40 °C) / T4 (Ta ≤ +60 °C)` prints the range class by class.
    let by_class = case.marking().and_then(|m| match &m.temperature {
        Some(t) => match &t.value {
            Temperature::ByAmbient(classes) => AmbientClass::range(classes),
            _ => None,
        },
        None => None,
    });
    match by_class {
        Some(range) => (range, false),
        None => (Ambient::DEFAULT, true),
    }
}

impl Rule for AmbientRange {
    fn id(&self) -> &'static str {
        "ambient"
    }
    fn question(&self) -> &'static str {
        "Does the ambient range of the plate hold that of the place?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-0:2017 5.1.1, IEC 60079-14 (checked)"
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let (marked, default) = plate_range(case);
        let place = case.place.ambient.unwrap_or(Ambient::DEFAULT);
        let words = |a: Ambient| {
            message!(
                "ambient-range",
                low = signed(a.low_c),
                high = signed(a.high_c)
            )
        };
        let whose = if default {
            message!("ambient-default", range = words(marked))
        } else {
            message!("ambient-of-plate", range = words(marked))
        };
        let mut details: Vec<Message> = Vec::new();
        if place.low_c < marked.low_c {
            details.push(message!(
                "ambient-too-cold",
                low = signed(place.low_c),
                range = &whose
            ));
        }
        if place.high_c > marked.high_c {
            details.push(message!(
                "ambient-too-hot",
                high = signed(place.high_c),
                range = &whose
            ));
        }
        let spans: Vec<_> = case.plate.ambient.iter().map(|a| a.span).collect();
        let finish = |ground: Ground| {
            ground
                .at(spans.clone())
                .using("ambient of the plate", words(marked))
                .using("ambient of the place", words(place))
        };
        if details.is_empty() {
            let detail = message!("ambient-within", place = words(place), range = whose);
            return vec![finish(case.ground(self, Outcome::Suitable, detail))];
        }
        details
            .into_iter()
            .map(|detail| finish(case.ground(self, Outcome::Unsuitable, detail)))
            .collect()
    }
}
