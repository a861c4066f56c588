//! What a place asks for, for people.

use super::page::Page;
use crate::answer::RequirementDto;
use vetplate_parser::{Joint, Message, message};

/// The order line first, then each atmosphere.
pub(super) fn requirement(page: &mut Page, requirement: &RequirementDto) {
    page.paragraph(&message!("terminal-order", line = &requirement.order_line));
    if !requirement.missing.is_empty() {
        page.heading(&message!("terminal-missing"));
        for missing in &requirement.missing {
            page.bullet(missing);
        }
    }
    for need in &requirement.needs {
        page.heading(&match need.atmosphere {
            "gas" => message!("terminal-for-gas"),
            "dust" => message!("terminal-for-dust"),
            _ => message!("terminal-for-mines"),
        });
        let mut row = |label: Message, value: Option<Message>| {
            if let Some(value) = value {
                page.row(&label, &value);
            }
        };
        let as_it_is = |value: &Option<String>| value.as_ref().map(Message::verbatim);
        row(Message::verbatim("EPL"), as_it_is(&need.epl));
        row(message!("label-category"), as_it_is(&need.category));
        // `IIB+H2 or IIC` is two.
        let groups = need.group.as_ref();
        row(
            message!("label-group"),
            groups.map(|g| Message::list(g.split(" or ").map(Message::verbatim), Joint::Or)),
        );
        row(message!("label-class"), as_it_is(&need.t_class));
        row(
            message!("label-surface"),
            need.max_surface_c
                .map(|c| message!("permitted-celsius", celsius = c.0)),
        );
        row(
            Message::verbatim("IP"),
            need.dust_ip
                .map(|d| message!("terminal-dust-ip", digit = d)),
        );
        for option in &need.types {
            page.row(
                &option.symbol,
                &format!("{} ({}), {}", option.name, option.standard, option.epl),
            );
        }
    }
    if !requirement.notes.is_empty() {
        page.heading(&message!("terminal-notes"));
        for note in &requirement.notes {
            page.bullet(note);
        }
    }
}
