//! What is sent for an import goes to disk as it comes. Names that clients give never become
//! paths: an archive lies under a name of ours, and photos go into an archive as its members.

use crate::bulk::SENT_PHOTOS;
use axum::body::Bytes;
use std::collections::HashSet;
use std::fs::File;
use std::io::{self, BufWriter, Seek, Write};
use std::path::{Path, PathBuf};
use tokio::sync::mpsc::{Receiver, Sender, channel};
use tokio::task::JoinHandle;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// Longest name of a member, characters.
const MAX_NAME_CHARS: usize = 500;

/// A file that is being sent.
pub(crate) struct Spool {
    pieces: Sender<Piece>,
    written: JoinHandle<io::Result<PathBuf>>,
}

/// The next of what is sent.
enum Piece {
    /// The next photo begins.
    Member(String),
    Bytes(Bytes),
    /// It is whole.
    End,
}

/// As what the bytes are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kept {
    /// As they come, as an archive of this ending.
    Archive(&'static str),
    /// Each photo as a member of one archive.
    Photos,
}

impl Kept {
    /// An archive by the name or the content type it was sent with; its content decides later
    /// what it is, but for a packed tar archive, whose name must say so.
    pub(crate) fn archive(name: &str, content_type: Option<&str>) -> Self {
        let name = name.to_lowercase();
        let packed = matches!(
            content_type,
            Some("application/gzip" | "application/x-gzip")
        );
        let ends = |suffix: &str| name.ends_with(suffix);
        Self::Archive(if packed || ends(".tar.gz") || ends(".tgz") {
            "archive.tgz"
        } else if ends(".tar") {
            "archive.tar"
        } else {
            "archive.zip"
        })
    }
}

impl Spool {
    /// Begins a file in a folder of its own, `name`, below `root`.
    pub(crate) fn begin(root: &Path, name: &str, kept: Kept) -> Self {
        // Few, so that a client that is faster than the disk waits.
        let (pieces, to_write) = channel(4);
        let folder = root.join(name);
        let written = tokio::task::spawn_blocking(move || {
            let written = write(&folder, kept, to_write);
            if written.is_err() {
                // Half of what was sent is of no use; a second try sends it again.
                let _ = std::fs::remove_dir_all(&folder);
            }
            written
        });
        Self { pieces, written }
    }

    /// The next photo begins.
    pub(crate) async fn member(&self, name: &str) {
        // Where the writer has given up, its error is heard at the end.
        let _ = self.pieces.send(Piece::Member(tidy(name))).await;
    }

    /// The next bytes.
    pub(crate) async fn bytes(&self, bytes: Bytes) {
        let _ = self.pieces.send(Piece::Bytes(bytes)).await;
    }

    /// The file, which is whole and on disk.
    ///
    /// # Errors
    ///
    /// What the system says; nothing is left then.
    pub(crate) async fn end(self) -> io::Result<PathBuf> {
        let _ = self.pieces.send(Piece::End).await;
        self.written.await.map_err(io::Error::other)?
    }

    /// Removes what has come.
    pub(crate) async fn drop_it(self) {
        drop(self.pieces);
        // It ends with an error, as it is meant to.
        let _ = self.written.await;
    }
}

fn write(folder: &Path, kept: Kept, pieces: Receiver<Piece>) -> io::Result<PathBuf> {
    std::fs::create_dir_all(folder)?;
    let path = folder.join(match kept {
        Kept::Archive(name) => name,
        Kept::Photos => SENT_PHOTOS,
    });
    let file = BufWriter::new(File::create_new(&path)?);
    let mut file = match kept {
        Kept::Archive(_) => as_they_come(file, pieces)?,
        Kept::Photos => as_members(file, pieces)?,
    };
    file.flush()?;
    file.get_ref().sync_all()?;
    if cfg!(unix) {
        let above = folder.parent().and_then(Path::parent);
        for folder in [Some(folder), folder.parent(), above].into_iter().flatten() {
            let here = folder.as_os_str().is_empty();
            File::open(if here { Path::new(".") } else { folder })?.sync_all()?;
        }
    }
    Ok(path)
}

fn broken_off() -> io::Error {
    io::Error::new(io::ErrorKind::UnexpectedEof, "it broke off")
}

fn as_they_come<W: Write>(mut file: W, mut pieces: Receiver<Piece>) -> io::Result<W> {
    loop {
        match pieces.blocking_recv() {
            Some(Piece::Bytes(bytes)) => file.write_all(&bytes)?,
            Some(Piece::Member(_)) => {}
            Some(Piece::End) => return Ok(file),
            None => return Err(broken_off()),
        }
    }
}

fn as_members<W: Write + Seek>(file: W, mut pieces: Receiver<Piece>) -> io::Result<W> {
    let mut zip = ZipWriter::new(file);
    // Photos are packed already.
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Stored)
        .large_file(true);
    let mut names = HashSet::new();
    loop {
        match pieces.blocking_recv() {
            Some(Piece::Member(name)) => {
                let name = alone(&name, &mut names);
                zip.start_file(name, options).map_err(io::Error::other)?;
            }
            Some(Piece::Bytes(bytes)) => zip.write_all(&bytes)?,
            Some(Piece::End) => return zip.finish().map_err(io::Error::other),
            None => return Err(broken_off()),
        }
    }
}

/// A name that no other member has.
fn alone(name: &str, names: &mut HashSet<String>) -> String {
    let mut unique = name.to_owned();
    let mut number = 1;
    while !names.insert(unique.clone()) {
        number += 1;
        unique = match name.rsplit_once('.') {
            Some((stem, ending)) => format!("{stem} ({number}).{ending}"),
            None => format!("{name} ({number})"),
        };
    }
    unique
}

/// The folders and the name of a file as a browser sends them, without what leads elsewhere.
fn tidy(name: &str) -> String {
    let parts: Vec<String> = name
        .split(['/', '\\'])
        .map(|part| part.chars().filter(|c| !c.is_control()).collect::<String>())
        .filter(|part| !matches!(part.trim(), "" | "." | ".."))
        .collect();
    let name: String = parts.join("/").chars().take(MAX_NAME_CHARS).collect();
    if name.is_empty() {
        "photo".to_owned()
    } else {
        name
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_keep_their_folders_and_lead_nowhere() {
        for (name, tidied) in [
            ("site/STILL-1/IMG 1.jpg", "site/STILL-1/IMG 1.jpg"),
            ("../../etc/passwd", "etc/passwd"),
            ("C:\\a\\..\\b.jpg", "C:/a/b.jpg"),
            ("/a\u{1b}[31m.jpg", "a[31m.jpg"),
            ("..", "photo"),
        ] {
            assert_eq!(tidy(name), tidied);
        }
    }

    #[test]
    fn only_the_ending_of_an_archive_is_taken_from_its_name() {
        for (name, kind, kept) in [
            ("../x.ZIP", None, "archive.zip"),
            ("a.tar.gz", None, "archive.tgz"),
            ("a.tar", Some("application/x-tar"), "archive.tar"),
            ("", Some("application/gzip"), "archive.tgz"),
        ] {
            assert_eq!(Kept::archive(name, kind), Kept::Archive(kept));
        }
    }

    #[tokio::test]
    async fn photos_become_members_and_what_breaks_off_leaves_nothing() {
        let dir = tempfile::tempdir().unwrap();
        let spool = Spool::begin(dir.path(), "1", Kept::Photos);
        for bytes in [&b"one"[..], b"two"] {
            spool.member("a/../x.jpg").await;
            spool.bytes(Bytes::from_static(bytes)).await;
        }
        let path = spool.end().await.unwrap();
        let mut zip = zip::ZipArchive::new(File::open(path).unwrap()).unwrap();
        let mut members = Vec::new();
        for index in 0..zip.len() {
            let mut entry = zip.by_index(index).unwrap();
            let text = io::read_to_string(&mut entry).unwrap();
            let name = String::from_utf8(entry.name_raw().to_vec()).unwrap();
            members.push((name, text));
        }
        let expected = [("a/x.jpg", "one"), ("a/x (2).jpg", "two")];
        assert_eq!(members, expected.map(|(n, t)| (n.to_owned(), t.to_owned())));
        let broken = Spool::begin(dir.path(), "2", Kept::Archive("archive.zip"));
        broken.bytes(Bytes::from_static(b"half")).await;
        broken.drop_it().await;
        assert!(!dir.path().join("2").exists());
    }
}
