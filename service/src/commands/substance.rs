//! `vetplate substance`: what the bundled table says.

use super::Streams;
use crate::answer::{SubstanceDto, SubstancesDto};
use crate::cli::SubstanceArgs;
use crate::failure::{Ending, Failure};
use crate::render;

/// Writes the row of every name or number.
///
/// # Errors
///
/// [`Failure`] where the answer cannot be written; a name that the table does not know is
/// reported, and the one row shown that a slip of the pen explains, or its neighbours named.
pub fn substance(args: &SubstanceArgs, streams: &mut Streams<'_>) -> Result<Ending, Failure> {
    let mut ending = Ending::Answered;
    let mut first = true;
    for name in &args.names {
        let near = SubstancesDto::find(Some(name));
        let names: Vec<&str> = near
            .substances
            .iter()
            .map(SubstanceDto::name)
            .take(5)
            .collect();
        let mut found = near.clone().exact();
        if found.substances.is_empty()
            && let Some(nearest) = SubstancesDto::nearest(name)
        {
            let meant: Vec<&str> = nearest.substances.iter().map(SubstanceDto::name).collect();
            streams.complain(
                name,
                &format!(
                    "not in the table; this is the nearest: {}",
                    meant.join(", ")
                ),
            );
            found = nearest;
        }
        if found.substances.is_empty() {
            let advice = if names.is_empty() {
                "give its CAS number, or its values as --gas-group and --ignition-c".to_owned()
            } else {
                format!("did you mean {}?", names.join(", "))
            };
            streams.complain(name, &format!("not in the table; {advice}"));
            ending = ending.worse(Ending::InputUnusable);
            continue;
        }
        if args.json {
            let json =
                serde_json::to_string(&found).map_err(|e| Failure::Internal(e.to_string()))?;
            writeln!(streams.output, "{json}")?;
        } else {
            if !first {
                writeln!(streams.output)?;
            }
            streams
                .output
                .write_all(render::substances(&found, streams.language).as_bytes())?;
        }
        streams.output.flush()?;
        first = false;
    }
    Ok(ending)
}
