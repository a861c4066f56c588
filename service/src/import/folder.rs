//! A folder with everything beneath it, in the order of names.

use super::names;
use super::sources::{Flow, Found, Walk, failed, refused};
use std::path::Path;
use walkdir::WalkDir;

/// Walks the folder. Links are not followed, so that no loop can be walked and nothing outside
/// is taken; each is named.
pub(super) fn walk(walk: &Walk<'_>, root: &Path, each: &mut dyn FnMut(Found) -> Flow) -> Flow {
    // The folder's own name may be that of a location, also where it was given as `.`.
    let name = root
        .canonicalize()
        .ok()
        .and_then(|full| Some(full.file_name()?.to_string_lossy().into_owned()))
        .unwrap_or_default();
    let entries = WalkDir::new(root)
        .sort_by_file_name()
        .follow_links(false)
        .into_iter()
        .filter_entry(|entry| !walk.own.iter().any(|own| own == entry.path()));
    for entry in entries {
        if !walk.control.goes_on() {
            return Flow::Break(());
        }
        let entry = match entry {
            Ok(entry) => entry,
            Err(error) => {
                let source = error
                    .path()
                    .map_or_else(|| names::of_path(root), names::of_path);
                let reason = error.into_io_error().map_or_else(
                    || "it cannot be walked".to_owned(),
                    |e| super::sources::sentence(&e),
                );
                each(failed(source, reason))?;
                continue;
            }
        };
        let kind = entry.file_type();
        if kind.is_dir() {
            continue;
        }
        let source = names::of_path(entry.path());
        if kind.is_symlink() {
            each(refused(
                source,
                "a link; what it points to is taken where it lies",
            ))?;
            continue;
        }
        if !kind.is_file() {
            each(refused(source, "no regular file"))?;
            continue;
        }
        let mut path = vec![name.clone()];
        if let Ok(inner) = entry.path().strip_prefix(root) {
            path.extend(inner.iter().map(|part| part.to_string_lossy().into_owned()));
        }
        walk.file(entry.path(), &path, each)?;
    }
    Flow::Continue(())
}
