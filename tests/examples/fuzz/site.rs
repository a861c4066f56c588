use crate::{folder, kind_of};
use std::cell::OnceCell;
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;
use vetplate::Site;

thread_local! {
    static FOLDER: OnceCell<TempDir> = const { OnceCell::new() };
}

/// Any bytes as a site file (CSV, TOML) and as a list of certificates: taken or refused with a
/// sentence that names the file.
pub(crate) fn site(bytes: &[u8]) -> String {
    let mut answers = String::new();
    let path =
        |name: &str| -> PathBuf { FOLDER.with(|cell| cell.get_or_init(folder).path().join(name)) };
    for name in ["site.csv", "site.toml", "list.csv"] {
        let file = path(name);
        fs::write(&file, bytes).expect("the folder can be written to");
        let opened = if name == "list.csv" {
            Site::open(None, Some(&file))
        } else {
            Site::open(Some(&file), None)
        };
        match opened {
            Err(error) => {
                let error = error.to_string();
                assert!(error.contains(name), "{error}");
                answers += &kind_of(&error);
            }
            Ok(site) => {
                answers += &site.locations().len().min(9).to_string();
                for location in site.locations() {
                    for fault in site.faults(location) {
                        assert!(!fault.to_string().is_empty());
                    }
                    let _ = site.location(&location.tag);
                }
            }
        }
    }
    answers
}
