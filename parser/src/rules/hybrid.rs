//! Are gas and dust present together?

use super::{Case, Rule, Scope};
use crate::marking::Atmosphere;
use crate::message;
use crate::verdict::{Ground, Outcome};

/// Each is judged with its own marking; the mixture may ignite more easily than either.
pub(super) struct GasAndDust;

impl Rule for GasAndDust {
    fn id(&self) -> &'static str {
        "gas-and-dust"
    }
    fn question(&self) -> &'static str {
        "Are gas and dust present together?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-14, caution on hybrid mixtures (memory)"
    }
    fn scope(&self) -> Scope {
        Scope::Plate
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let present = case.place.atmospheres();
        if !(present.contains(&Atmosphere::Gas) && present.contains(&Atmosphere::Dust)) {
            return Vec::new();
        }
        let detail = message!("hybrid-mixture");
        vec![
            case.ground(self, Outcome::Conditional, detail)
                .next(message!("next-assess-mixture")),
        ]
    }
}
