//! Pictures on the pages of a PDF: a report that was scanned, or one with photos in it.
//!
//! Only pictures that a page names among its resources are taken; what a page draws is not looked
//! at, so that nothing depends on how it draws. A JPEG within the file comes out as the bytes it is.

mod guard;
mod pixels;

use super::budget::Budget;
use super::sources::{Flow, Found, Walk, refused};
use crate::register::Sighting;
use hayro_syntax::object::dict::keys::{HEIGHT, RESOURCES, SUBTYPE, WIDTH, XOBJECT};
use hayro_syntax::object::{Dict, MaybeRef, Name, Object, ObjectIdentifier, Stream};
use hayro_syntax::page::Page;
use hayro_syntax::{LoadPdfError, Pdf};
use std::collections::HashSet;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Pictures with a shorter side are logos and lines, and no plate can be read on them.
const SHORTEST_SIDE: u32 = 200;
/// Forms within forms are looked into so deep; what is drawn by hand or program is two or three deep.
const DEEPEST: usize = 12;
/// Forms of one page that are looked into.
const MOST_FORMS: usize = 1000;

/// What a PDF may cost.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limits {
    /// Bytes of one picture as a file.
    pub(super) bytes: u64,
    /// Pixels of one picture.
    pub(super) pixels: u64,
}

/// True where these first bytes are those of a PDF.
pub(super) fn is_pdf(head: &[u8]) -> bool {
    let head = head.strip_prefix(b"\xef\xbb\xbf").unwrap_or(head);
    head.trim_ascii_start().starts_with(b"%PDF-")
}

/// A picture of a page.
struct Picture<'a> {
    page: usize,
    /// From 1, counted over the pictures of the page that are large enough.
    number: usize,
    stream: Stream<'a>,
    size: (u32, u32),
}

impl Picture<'_> {
    fn name(&self) -> String {
        format!("page {}/picture {}", self.page, self.number)
    }
}

/// Walks the pictures of a PDF, page by page. `sighting` gives that of a picture by its name.
pub(super) fn walk(
    walk: &Walk<'_>,
    source: &str,
    path: &[String],
    bytes: Vec<u8>,
    (budget, sighting): (&mut Budget, &dyn Fn(&str) -> Sighting),
    each: &mut dyn FnMut(Found) -> Flow,
) -> Flow {
    let refuse = |reason: &str| refused(source.to_owned(), reason);
    let pdf = match open(bytes) {
        Ok(pdf) => pdf,
        Err(reason) => return each(refuse(&reason)),
    };
    let mut taken: HashSet<ObjectIdentifier> = HashSet::new();
    let mut any = false;
    for number in 1..=pdf.pages().len() {
        if !walk.control.goes_on() {
            return Flow::Break(());
        }
        let Some(pictures) = caught(|| pictures(&pdf, number)) else {
            each(refuse(&format!(
                "page {number} cannot be taken apart; save it as JPEG"
            )))?;
            any = true;
            continue;
        };
        for picture in pictures {
            any = true;
            // A letterhead is on every page and is one picture.
            if !taken.insert(picture.stream.obj_id()) {
                continue;
            }
            let limits = walk.pdf_limits();
            let sighting = sighting(&picture.name());
            let made = caught(|| pixels::file(&picture.stream, picture.size, &limits));
            let made = made
                .unwrap_or_else(|| Err("it cannot be decoded; save the page as JPEG".to_owned()));
            let length = made.as_ref().map_or(0, |bytes| bytes.len() as u64);
            if let Err(over) = budget.spend(length) {
                return each(refuse(&over));
            }
            each(match made {
                Err(reason) => refused(sighting.source, &reason),
                Ok(bytes) => Found::Bytes {
                    sighting,
                    path: path.to_vec(),
                    bytes,
                },
            })?;
        }
    }
    if any {
        return Flow::Continue(());
    }
    each(refuse(&match pdf.pages().len() {
        0 => "the PDF has no page; save it again with the program that made it".to_owned(),
        _ => format!(
            "no page of the PDF holds a picture of {SHORTEST_SIDE} × {SHORTEST_SIDE} pixels or more; \
             save the pages that show plates as JPEG"
        ),
    }))
}

/// The picture with this name, as the walk gave it; none where the PDF has none.
pub(super) fn picture(bytes: Vec<u8>, name: &str, limits: &Limits) -> Option<Vec<u8>> {
    let page = name
        .strip_prefix("page ")?
        .split('/')
        .next()?
        .parse()
        .ok()?;
    let pdf = open(bytes).ok()?;
    caught(|| {
        let wanted = pictures(&pdf, page)
            .into_iter()
            .find(|p| p.name() == name)?;
        pixels::file(&wanted.stream, wanted.size, limits).ok()
    })
    .flatten()
}

/// Opens a PDF once nothing in it can unpack to more than it may.
fn open(bytes: Vec<u8>) -> Result<Pdf, String> {
    guard::check(&bytes)?;
    match caught(|| Pdf::new(bytes)) {
        Some(Ok(pdf)) => Ok(pdf),
        Some(Err(LoadPdfError::Decryption(_))) => Err(guard::ENCRYPTED.to_owned()),
        Some(Err(LoadPdfError::Invalid)) | None => Err(
            "the PDF is cut short or damaged; copy it again, or print it to a new PDF".to_owned(),
        ),
    }
}

/// What `work` gives; none where the library stops in the midst of it.
fn caught<T>(work: impl FnOnce() -> T) -> Option<T> {
    catch_unwind(AssertUnwindSafe(work)).ok()
}

/// The pictures of a page that are large enough, in the order of their names.
fn pictures(pdf: &Pdf, number: usize) -> Vec<Picture<'_>> {
    let mut found = Collected {
        page: number,
        forms: HashSet::new(),
        pictures: Vec::new(),
    };
    if let Some(page) = number.checked_sub(1).and_then(|at| pdf.pages().get(at)) {
        found.of_page(page);
    }
    found.pictures
}

struct Collected<'a> {
    page: usize,
    forms: HashSet<ObjectIdentifier>,
    pictures: Vec<Picture<'a>>,
}

impl<'a> Collected<'a> {
    fn of_page(&mut self, page: &Page<'a>) {
        self.among(&page.resources().x_objects, DEEPEST);
    }

    /// Pictures and forms of a resource dictionary; a form has resources of its own.
    fn among(&mut self, objects: &Dict<'a>, deeper: usize) {
        for (name, _) in objects.entries() {
            let Some(stream) = objects.get::<Stream<'a>>(&name) else {
                continue;
            };
            let dict = stream.dict();
            match dict.get::<Name<'_>>(SUBTYPE).as_deref() {
                Some(b"Image") => self.picture(stream),
                Some(b"Form") if deeper > 0 && self.forms.len() < MOST_FORMS => {
                    if self.forms.insert(stream.obj_id())
                        && let Some(inner) = dict.get::<Dict<'_>>(RESOURCES)
                        && let Some(inner) = inner.get::<Dict<'_>>(XOBJECT)
                    {
                        self.among(&inner, deeper - 1);
                    }
                }
                _ => {}
            }
        }
    }

    fn picture(&mut self, stream: Stream<'a>) {
        let pixels = |key: &[u8]| stream.dict().get::<u32>(key).unwrap_or(0);
        let size = (pixels(WIDTH), pixels(HEIGHT));
        if size.0.min(size.1) < SHORTEST_SIDE || pixels::is_mask(stream.dict()) {
            return;
        }
        self.pictures.push(Picture {
            page: self.page,
            number: self.pictures.len() + 1,
            stream,
            size,
        });
    }
}

/// The elements of an array, or the object itself where it is none.
fn one_or_many<'a>(dict: &Dict<'a>, keys: [&[u8]; 2]) -> Vec<MaybeRef<Object<'a>>> {
    let raw = keys.iter().find_map(|key| dict.get_raw::<Object<'a>>(key));
    match raw {
        None => Vec::new(),
        Some(MaybeRef::NotRef(Object::Array(array))) => array.raw_iter().collect(),
        Some(one) => vec![one],
    }
}
