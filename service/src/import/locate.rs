//! Which location a photo belongs to: by a list, by the names of folders, by its own name.

use super::mapping::Mapping;

/// What is known of where a photo belongs.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Located {
    pub(super) location: Option<String>,
    pub(super) tag: Option<String>,
}

/// Finds the location of a photo from its path.
#[derive(Debug, Clone, Default)]
pub struct Locator {
    /// Tags, longest first, with their plain form.
    tags: Vec<(String, String)>,
    mapping: Mapping,
    by_folder: bool,
    otherwise: Option<String>,
}

impl Locator {
    /// The same; photos that tell no location are at this one.
    #[must_use]
    pub fn otherwise(mut self, location: Option<String>) -> Self {
        self.otherwise = location;
        self
    }

    /// Knows these tags and this list. Where `by_folder`, the folder that a photo lies in is
    /// its location if nothing else tells: good where no site is described.
    pub fn new(tags: impl IntoIterator<Item = String>, mapping: Mapping, by_folder: bool) -> Self {
        let mut tags: Vec<(String, String)> = tags
            .into_iter()
            .map(|tag| (plain(&tag), tag))
            .filter(|(plain, _)| !plain.is_empty())
            .collect();
        tags.sort_by(|a, b| b.0.len().cmp(&a.0.len()).then_with(|| a.0.cmp(&b.0)));
        Self {
            tags,
            mapping,
            by_folder,
            otherwise: None,
        }
    }

    /// `path` holds the names from the source down to the file, the source's own name first.
    pub(super) fn locate(&self, path: &[String]) -> Located {
        let row = self.mapping.find(path);
        let tag = row.and_then(|r| r.tag.clone());
        let location = row
            .and_then(|r| r.location.clone())
            .or_else(|| self.by_name(path))
            .or_else(|| self.folder(path))
            .or_else(|| self.otherwise.clone());
        Located { location, tag }
    }

    /// The deepest folder that is called like a location, or begins so; then the file.
    fn by_name(&self, path: &[String]) -> Option<String> {
        let (file, folders) = path.split_last()?;
        let named = |name: &str, whole: bool| {
            let name = plain(name);
            self.tags
                .iter()
                .find(|(tag, _)| {
                    name == *tag
                        || !whole
                            && name
                                .strip_prefix(tag.as_str())
                                .is_some_and(|rest| rest.starts_with('-'))
                })
                .map(|(_, tag)| tag.clone())
        };
        let stem = file
            .rsplit_once('.')
            .map_or(file.as_str(), |(stem, _)| stem);
        folders
            .iter()
            .rev()
            .find_map(|name| named(name, true))
            .or_else(|| folders.iter().rev().find_map(|name| named(name, false)))
            .or_else(|| named(stem, false))
    }

    /// The folder that the photo lies in, where it is not the source itself.
    fn folder(&self, path: &[String]) -> Option<String> {
        let inner = path.get(1..path.len().checked_sub(1)?)?;
        self.by_folder.then(|| inner.last().cloned()).flatten()
    }
}

/// Capitals, blanks and underscores make no difference.
fn plain(name: &str) -> String {
    name.trim()
        .chars()
        .map(|c| if c == ' ' || c == '_' { '-' } else { c })
        .collect::<String>()
        .to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn locate(locator: &Locator, path: &str) -> Option<String> {
        let path: Vec<String> = path.split('/').map(ToOwned::to_owned).collect();
        locator.locate(&path).location
    }

    #[test]
    fn folders_and_names_tell_the_location() {
        let tags = ["STILL-HOUSE", "MILL", "MILL-ELEVATOR"].map(ToOwned::to_owned);
        let locator = Locator::new(tags, Mapping::default(), false);
        for (path, tag) in [
            ("photos/still house/IMG_1.jpg", Some("STILL-HOUSE")),
            ("photos/MILL/elevator/IMG_1.jpg", Some("MILL")),
            ("photos/mill_elevator/2026/IMG_1.jpg", Some("MILL-ELEVATOR")),
            (
                "photos/mill-elevator level 2/IMG_1.jpg",
                Some("MILL-ELEVATOR"),
            ),
            ("photos/2026/STILL-HOUSE_0007.jpg", Some("STILL-HOUSE")),
            ("STILL-HOUSE/a.jpg", Some("STILL-HOUSE")),
            ("photos/millstone/a.jpg", None),
            ("photos/a.jpg", None),
        ] {
            assert_eq!(locate(&locator, path).as_deref(), tag, "{path}");
        }
    }

    #[test]
    fn without_a_site_the_folder_is_the_location() {
        let locator = Locator::new([], Mapping::default(), true);
        assert_eq!(
            locate(&locator, "photos/boiler/a.jpg").as_deref(),
            Some("boiler")
        );
        assert_eq!(locate(&locator, "photos/a.jpg"), None);
        assert_eq!(locate(&locator, "a.jpg"), None);
        let locator = locator.otherwise(Some("yard".to_owned()));
        assert_eq!(
            locate(&locator, "photos/boiler/a.jpg").as_deref(),
            Some("boiler")
        );
        assert_eq!(locate(&locator, "a.jpg").as_deref(), Some("yard"));
    }
}
