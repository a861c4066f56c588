//! Gases and dusts by name.

use super::Reader;
use crate::substance::{self, Kind, Match};

impl Reader {
    pub(super) fn named(
        &mut self,
        field: &'static str,
        name: &str,
        found: Match,
        kind: Kind,
        own_values: bool,
    ) -> Option<usize> {
        match found {
            Match::One(row) => Some(row),
            Match::Many(rows) => {
                let names: Vec<String> = rows
                    .iter()
                    .map(|&row| match kind {
                        Kind::Gas => {
                            let gas = &substance::gases()[row];
                            format!("{} ({})", gas.name, gas.cas)
                        }
                        Kind::Dust => substance::dusts()[row].name.to_owned(),
                    })
                    .collect();
                self.refuse(
                    field,
                    name,
                    format!(
                        "{field}: '{name}' stands for several substances; write one of {}",
                        names.join(", ")
                    ),
                );
                None
            }
            Match::None if own_values => None,
            Match::None => {
                let mut near: Vec<&str> = Vec::new();
                for hit in substance::find(name) {
                    if hit.kind == kind && !near.contains(&hit.name()) && near.len() < 4 {
                        near.push(hit.name());
                    }
                }
                let meant = if near.is_empty() {
                    String::new()
                } else {
                    format!("; did you mean {}?", near.join(", "))
                };
                let values = match kind {
                    Kind::Gas => "gas_group and ignition_c",
                    Kind::Dust => "dust_group (and cloud_ignition_c, layer_ignition_c)",
                };
                self.refuse(
                    field,
                    name,
                    format!(
                        "{field}: '{name}' is not in the table{meant} For a mixture or a trade \
                         name give {values} as well"
                    )
                    .replacen("table For", "table. For", 1),
                );
                None
            }
        }
    }
}
