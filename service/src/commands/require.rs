//! `vetplate require`: the least marking for a place.

use super::{Streams, place};
use crate::cli::RequireArgs;
use crate::failure::{Ending, Failure};
use crate::pipeline::requirement;
use crate::render;

/// Writes what the place asks for.
///
/// # Errors
///
/// [`Failure`] for a place that is missing or cannot be used, or where the answer cannot be
/// written.
pub fn require(args: &RequireArgs, streams: &mut Streams<'_>) -> Result<Ending, Failure> {
    let Some(place) = place::given(&args.place)? else {
        return Err(Failure::Usage(
            "give the place: --zone and what is present there, or --site and --location".to_owned(),
        ));
    };
    let requirement = requirement(&place, streams.language);
    if args.json {
        let json =
            serde_json::to_string(&requirement).map_err(|e| Failure::Internal(e.to_string()))?;
        writeln!(streams.output, "{json}")?;
    } else {
        streams
            .output
            .write_all(render::requirement(&requirement).as_bytes())?;
    }
    streams.output.flush()?;
    Ok(Ending::Answered)
}
