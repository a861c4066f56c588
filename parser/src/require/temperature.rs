//! Ignition temperatures of a place and the classes that stay below them.

use crate::marking::TClass;
use crate::place::{NamedSubstance, Place};
use crate::{Message, message};

pub(super) fn all_named(substances: &[NamedSubstance]) -> bool {
    substances.iter().all(|s| s.row.is_some())
}

/// Lowest ignition temperature of a place with gas, and its words.
pub(super) fn ignition(place: &Place) -> Option<(f64, Message)> {
    if let Some(celsius) = place.ignition_c {
        return Some((
            celsius,
            message!("require-ignition-given", celsius = celsius),
        ));
    }
    if place.gases.is_empty() || !all_named(&place.gases) {
        return None;
    }
    let mut lowest: Option<(f64, Message)> = None;
    for gas in place.gases.iter().filter_map(NamedSubstance::gas) {
        let value = gas.lowest_ignition()?;
        if lowest.as_ref().is_none_or(|(c, _)| value.value < *c) {
            lowest = Some((
                value.value,
                message!(
                    "require-ignites",
                    gas = gas.said(),
                    tables = gas.ignition_shown()
                ),
            ));
        }
    }
    lowest
}

/// The hottest class of a family that stays below the ignition temperature and within what
/// the site permits.
pub(super) fn least_class(place: &Place, ignites: Option<f64>, american: bool) -> Option<TClass> {
    let most = [place.t_class.map(TClass::limit_c), place.max_surface_c]
        .into_iter()
        .flatten()
        .min_by(f64::total_cmp);
    if ignites.is_none() && most.is_none() {
        return None;
    }
    TClass::all()
        .filter(|class| american || !class.is_american())
        .find(|class| {
            ignites.is_none_or(|c| class.limit_c() < c) && most.is_none_or(|m| class.limit_c() <= m)
        })
}
