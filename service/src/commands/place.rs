//! Flags and site file → place.

use crate::answer::KeyError;
use crate::cli::PlaceArgs;
use crate::failure::Failure;
use crate::pipeline::GivenPlace;
use crate::site;

/// The place that the flags, and the site file beneath them, describe.
///
/// # Errors
///
/// [`Failure::Usage`] that names every flag or cell that cannot be used.
pub(super) fn given(args: &PlaceArgs) -> Result<Option<GivenPlace>, Failure> {
    let flags = args.fields();
    let (Some(path), Some(tag)) = (&args.site, &args.location) else {
        return GivenPlace::check(flags).map_err(|e| usage(&e));
    };
    // The flags alone first, so that a slip on the command line is not blamed on the file.
    GivenPlace::check(flags.clone()).map_err(|e| usage(&e))?;
    let location = site::location(path, tag).map_err(|e| Failure::Usage(e.to_string()))?;
    if let Err(errors) = GivenPlace::check(location.place.clone()) {
        return Err(Failure::Usage(
            errors
                .iter()
                .map(|e| {
                    format!(
                        "{}: {}, column {}: {}",
                        path.display(),
                        location.at,
                        e.key,
                        bare(e)
                    )
                })
                .collect::<Vec<_>>()
                .join("\n"),
        ));
    }
    GivenPlace::check(site::overlay(location.place, &flags)).map_err(|e| usage(&e))
}

fn usage(errors: &[KeyError]) -> Failure {
    Failure::Usage(
        errors
            .iter()
            .map(|e| format!("--{}: {}", e.key.replace('_', "-"), bare(e)))
            .collect::<Vec<_>>()
            .join("\n"),
    )
}

/// The message without the name of the field before it, which the flag or column gives.
fn bare(error: &KeyError) -> &str {
    let message = &error.message;
    message
        .strip_prefix(&error.key)
        .and_then(|rest| rest.strip_prefix(": "))
        .unwrap_or(message)
}
