//! The list of certificates that a register keeps.

use super::Streams;
use super::import::register_failed;
use crate::cli::CertificatesArgs;
use crate::failure::{Ending, Failure};
use crate::register::SqliteRegister;
use crate::render;
use crate::site::CertificateFile;

/// Shows the lists that were given, and keeps another one where a file is named.
///
/// # Errors
///
/// [`Failure`] where the list or the register cannot be used, or the answer cannot be written.
pub(super) fn certificates(
    args: &CertificatesArgs,
    register: &SqliteRegister,
    streams: &mut Streams<'_>,
) -> Result<Ending, Failure> {
    if let Some(path) = &args.list {
        let file = CertificateFile::load(path).map_err(|e| Failure::Usage(e.to_string()))?;
        keep(register, Some(&file), &args.by, streams)?;
    }
    let lists = register.certificate_lists().map_err(register_failed)?;
    if args.json {
        let document = serde_json::json!({ "lists": lists });
        writeln!(streams.output, "{document}")?;
    } else {
        let text = render::certificate_lists(&lists);
        streams.output.write_all(text.as_bytes())?;
    }
    Ok(Ending::Answered)
}

/// Keeps a list that was given, and says so where it is another one than before.
///
/// # Errors
///
/// [`Failure`] where the register fails.
pub(super) fn keep(
    register: &SqliteRegister,
    file: Option<&CertificateFile>,
    who: &str,
    streams: &mut Streams<'_>,
) -> Result<(), Failure> {
    let Some(file) = file else { return Ok(()) };
    if register
        .keep_certificates(file, who)
        .map_err(register_failed)?
    {
        streams.complain(&file.name, &kept(file));
    }
    Ok(())
}

/// What to say of a list that is kept now.
pub(super) fn kept(file: &CertificateFile) -> String {
    format!(
        "the register keeps this list of {} certificates and holds plates against it from now on; \
         `vetplate register reread` judges those that are there already",
        file.list.entries().len()
    )
}
