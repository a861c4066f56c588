//! Flags and site files → place.

use crate::answer::KeyError;
use crate::cli::{CertificateArgs, PlaceArgs};
use crate::failure::Failure;
use crate::pipeline::GivenPlace;
use crate::site::{CertificateFile, Site};

/// The place that the flags, and the site file beneath them, describe.
///
/// # Errors
///
/// [`Failure::Usage`] that names every flag or cell that cannot be used.
pub(super) fn given(args: &PlaceArgs) -> Result<Option<GivenPlace>, Failure> {
    judged(args, &CertificateArgs::default())
}

/// As [`given`], to be held against a list of certificates, too.
///
/// # Errors
///
/// As [`given`], and where certificates are given without a place: they are held against a
/// plate in its verdict.
pub(super) fn judged(
    args: &PlaceArgs,
    certificates: &CertificateArgs,
) -> Result<Option<GivenPlace>, Failure> {
    let flags = args.fields();
    // The flags alone first, so that a slip on the command line is not blamed on the file.
    GivenPlace::check(flags.clone()).map_err(|e| usage(&e))?;
    let list = certificates.certificates.as_deref();
    let open = |e: crate::site::SiteError| Failure::Usage(e.to_string());
    let site = Site::open(args.site.as_deref(), list).map_err(open)?;
    let location = match &args.location {
        Some(tag) => Some(site.location(tag).map_err(open)?),
        None => None,
    };
    if let Some(location) = location {
        let faults = site.faults(location);
        if !faults.is_empty() {
            let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
            return Err(Failure::Usage(faults.join("\n")));
        }
    }
    let place = site.place(flags, location).map_err(|e| usage(&e))?;
    if place.is_none() && list.is_some() {
        return Err(Failure::Usage(
            "--certificates: plates are held against certificates in the verdict; give the place \
             too, --zone and what is present there, or --site and --location"
                .to_owned(),
        ));
    }
    Ok(place)
}

/// The list of certificates that the flags name, with its text.
///
/// # Errors
///
/// [`Failure::Usage`] that names row and column of what cannot be used.
pub(super) fn certificates(args: &CertificateArgs) -> Result<Option<CertificateFile>, Failure> {
    let path = args.certificates.as_deref();
    path.map(CertificateFile::load)
        .transpose()
        .map_err(|e| Failure::Usage(e.to_string()))
}

fn usage(errors: &[KeyError]) -> Failure {
    Failure::Usage(
        errors
            .iter()
            .map(|e| format!("--{}: {}", e.key.replace('_', "-"), e.bare()))
            .collect::<Vec<_>>()
            .join("\n"),
    )
}
