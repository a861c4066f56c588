//! What a place asks for, for people.

use super::page::Page;
use crate::answer::RequirementDto;

/// The order line first, then each atmosphere.
pub(super) fn requirement(page: &mut Page, requirement: &RequirementDto) {
    page.paragraph(&format!("Order: {}", requirement.order_line));
    if !requirement.missing.is_empty() {
        page.heading("Missing before anything is ordered");
        for missing in &requirement.missing {
            page.bullet(missing);
        }
    }
    for need in &requirement.needs {
        page.heading(&format!("For {}", need.atmosphere));
        let mut row = |label: &str, value: &Option<String>| {
            if let Some(value) = value {
                page.row(label, value);
            }
        };
        row("EPL", &need.epl);
        row("category", &need.category);
        row("group", &need.group);
        row("class", &need.t_class);
        row(
            "surface",
            &need.max_surface_c.map(|c| format!("at most {} °C", c.0)),
        );
        row(
            "IP",
            &need
                .dust_ip
                .map(|d| format!("IP{d}X for types that keep dust out")),
        );
        for option in &need.types {
            page.row(
                &option.symbol,
                &format!("{} ({}), {}", option.name, option.standard, option.epl),
            );
        }
    }
    if !requirement.notes.is_empty() {
        page.heading("Notes");
        for note in &requirement.notes {
            page.bullet(note);
        }
    }
}
