//! Pages that fill from top to bottom.

use super::file::PdfFile;
use super::font::{Fonts, Typeface, pack};
use super::picture::Picture;
use super::{ReportError, wrapped};
use pdf_writer::types::PageMode;
use pdf_writer::writers::Outline;
use pdf_writer::{Content, Filter, Name, Rect, Ref, Str, TextStr};
use std::io::Write;

/// A4, in points.
const PAGE: [f32; 2] = [595.0, 842.0];
/// Left and right edge of the text.
pub(super) const LEFT: f32 = 48.0;
pub(super) const RIGHT: f32 = 553.0;
/// Height of the first line and of the last one.
const TOP: f32 = 794.0;
const BOTTOM: f32 = 62.0;
/// Most pages of one node of the tree of pages.
const NODE: usize = 32;
/// Said at the foot of every page; the whole list stands on the front page and on each sheet.
const FOOT: &str = "Decision support only: certificate, standards, local code, authority and a \
                    competent person decide.";

/// How text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Style {
    pub(super) face: Typeface,
    pub(super) size: f32,
}

impl Style {
    pub(super) const BODY: Self = Self::new(Typeface::Plain, 9.0);
    pub(super) const STRONG: Self = Self::new(Typeface::Bold, 9.0);
    pub(super) const SMALL: Self = Self::new(Typeface::Plain, 7.5);
    pub(super) const READ: Self = Self::new(Typeface::Mono, 9.0);
    pub(super) const MARKING: Self = Self::new(Typeface::Mono, 11.0);
    pub(super) const HEADING: Self = Self::new(Typeface::Bold, 11.0);
    pub(super) const TITLE: Self = Self::new(Typeface::Bold, 16.0);

    const fn new(face: Typeface, size: f32) -> Self {
        Self { face, size }
    }

    /// From one line to the next.
    pub(super) const fn leading(self) -> f32 {
        self.size * 1.32
    }
}

/// A section in the table of contents of the file.
struct Mark {
    title: String,
    page: Ref,
}

/// Pages that are being filled.
pub(super) struct Flow<W: Write> {
    file: PdfFile<W>,
    fonts: Fonts,
    title: String,
    made_on: String,
    content: Content,
    /// Where the next line's top is.
    y: f32,
    /// The page being filled; its number is `pages` + 1.
    page: Ref,
    pages: usize,
    /// Pictures of the page being filled.
    pictures: Vec<Ref>,
    /// What heads a page on which something goes on.
    running: String,
    marks: Vec<Mark>,
    pending_mark: Option<String>,
    root: Ref,
    node: Ref,
    kids: Vec<Ref>,
    nodes: Vec<(Ref, i32)>,
    faces: [Ref; 3],
    /// The number of all pages, written last and shown on each page.
    total: Ref,
}

impl<W: Write> Flow<W> {
    pub(super) fn new(out: W, title: &str, made_on: &str) -> Result<Self, ReportError> {
        let fonts = Fonts::bundled()?;
        let mut file = PdfFile::new(out)?;
        let mut faces = Vec::new();
        for typeface in Typeface::ALL {
            faces.push(fonts.embed(&mut file, typeface)?);
        }
        let title = fonts.printable(title);
        let made_on = fonts.printable(made_on);
        Ok(Self {
            faces: [faces[0], faces[1], faces[2]],
            root: file.reserve(),
            node: file.reserve(),
            page: file.reserve(),
            total: file.reserve(),
            file,
            fonts,
            title,
            made_on,
            content: Content::new(),
            y: TOP,
            pages: 0,
            pictures: Vec::new(),
            running: String::new(),
            marks: Vec::new(),
            pending_mark: None,
            kids: Vec::new(),
            nodes: Vec::new(),
        })
    }

    /// Heads every page on which what begins now goes on.
    pub(super) fn run(&mut self, running: &str) {
        self.running = self.fonts.printable(running);
    }

    /// The page being filled begins a section.
    pub(super) fn mark(&mut self, title: &str) {
        let title = self.fonts.printable(title);
        self.marks.push(Mark {
            title,
            page: self.page,
        });
    }

    /// The next page that is begun begins a section.
    pub(super) fn mark_next_page(&mut self, title: &str) {
        self.pending_mark = Some(self.fonts.printable(title));
    }

    /// Begins a page unless nothing stands on this one yet.
    pub(super) fn fresh_page(&mut self) -> Result<(), ReportError> {
        self.running.clear();
        if self.y < TOP {
            self.turn()?;
        }
        if let Some(title) = self.pending_mark.take() {
            self.marks.push(Mark {
                title,
                page: self.page,
            });
        }
        Ok(())
    }

    /// Turns the page where less than `height` points are left.
    pub(super) fn need(&mut self, height: f32) -> Result<(), ReportError> {
        if self.y - height < BOTTOM && self.y < TOP {
            self.turn()?;
            if !self.running.is_empty() {
                let running = format!("{} (continued)", self.running);
                let y = self.y - Style::SMALL.size;
                self.put(Style::SMALL, LEFT, y, &running);
                self.y -= Style::SMALL.leading();
                self.rule(0.5);
            }
        }
        Ok(())
    }

    /// Leaves `height` points free, except at the top of a page.
    pub(super) fn gap(&mut self, height: f32) {
        if self.y < TOP {
            self.y -= height;
        }
    }

    /// Points from here to the end of the page.
    pub(super) fn left(&self) -> f32 {
        self.y - BOTTOM
    }

    /// Where the next line's top is.
    pub(super) fn y(&self) -> f32 {
        self.y
    }

    /// Goes on at `y`, which is on this page.
    pub(super) fn go_to(&mut self, y: f32) {
        self.y = y;
    }

    /// Lines of `text` between `x` and `right`.
    pub(super) fn lines(&self, style: Style, x: f32, right: f32, text: &str) -> Vec<String> {
        let text = self.fonts.printable(text);
        wrapped::lines(&self.fonts, style.face, style.size, right - x, &text)
    }

    /// Width of printable text.
    pub(super) fn width(&self, style: Style, text: &str) -> f32 {
        self.fonts.width(style.face, style.size, text)
    }

    /// A paragraph between `x` and `right`, over as many pages as it needs.
    pub(super) fn paragraph(
        &mut self,
        style: Style,
        x: f32,
        right: f32,
        text: &str,
    ) -> Result<(), ReportError> {
        for line in self.lines(style, x, right, text) {
            self.need(style.leading())?;
            let y = self.y - style.size;
            self.put(style, x, y, &line);
            self.y -= style.leading();
        }
        Ok(())
    }

    /// Several texts side by side, each in its column; a row that fits on a page is not torn.
    ///
    /// A column is its left and right edge, style and text.
    pub(super) fn row(&mut self, columns: &[(f32, f32, Style, &str)]) -> Result<(), ReportError> {
        let cells: Vec<(f32, Style, Vec<String>)> = columns
            .iter()
            .map(|(x, right, style, text)| (*x, *style, self.lines(*style, *x, *right, text)))
            .collect();
        let leading = columns
            .iter()
            .map(|(_, _, style, _)| style.leading())
            .fold(0.0, f32::max);
        let count = cells.iter().map(|c| c.2.len()).max().unwrap_or(0);
        let height = leading * count as f32;
        if height <= TOP - BOTTOM - 2.0 * leading {
            self.need(height)?;
        }
        for index in 0..count {
            self.need(leading)?;
            for (x, style, lines) in &cells {
                if let Some(line) = lines.get(index) {
                    let y = self.y - style.size;
                    self.put(*style, *x, y, line);
                }
            }
            self.y -= leading;
        }
        Ok(())
    }

    /// A heading that never stands alone at the foot of a page.
    pub(super) fn heading(&mut self, text: &str) -> Result<(), ReportError> {
        self.gap(8.0);
        self.need(Style::HEADING.leading() + 3.0 * Style::BODY.leading())?;
        self.paragraph(Style::HEADING, LEFT, RIGHT, text)?;
        self.rule(0.75);
        Ok(())
    }

    /// A line across the page.
    pub(super) fn rule(&mut self, thickness: f32) {
        self.line(LEFT, RIGHT, self.y - 1.0, thickness);
        self.y -= 4.0;
    }

    /// A line from `x` to `right` at height `y`.
    pub(super) fn line(&mut self, x: f32, right: f32, y: f32, thickness: f32) {
        self.content
            .set_line_width(thickness)
            .move_to(x, y)
            .line_to(right, y)
            .stroke();
    }

    /// One line of printable text with its foot at `y`.
    pub(super) fn put(&mut self, style: Style, x: f32, y: f32, text: &str) {
        let glyphs = self.fonts.encode(style.face, text);
        self.content
            .begin_text()
            .set_font(style.face.name(), style.size)
            .next_line(x, y)
            .show(Str(&glyphs))
            .end_text();
    }

    /// An outcome in a box at the right edge: the worse, the heavier. White on black is
    /// unsuitable, so that a copy in black and white tells the same.
    pub(super) fn badge(&mut self, text: &str, weight: Weight, y: f32) {
        let style = Style::STRONG;
        let width = self.width(style, text) + 12.0;
        let x = RIGHT - width;
        let frame = match weight {
            Weight::Filled | Weight::Thick => 2.0,
            Weight::Thin => 0.75,
        };
        self.content
            .set_line_width(frame)
            .rect(x, y - 4.0, width, style.size + 7.0);
        if weight == Weight::Filled {
            self.content.fill_nonzero_and_stroke().set_fill_gray(1.0);
        } else {
            self.content.stroke();
        }
        self.put(style, x + 6.0, y, text);
        self.content.set_fill_gray(0.0);
    }

    /// Writes a picture into the file, once for all places where it is shown.
    pub(super) fn keep(&mut self, picture: &Picture) -> Result<Ref, ReportError> {
        Ok(self.file.add(|chunk, id| {
            let mut image = chunk.image_xobject(id, &picture.jpeg);
            image.filter(Filter::DctDecode);
            image.width(picture.width as i32);
            image.height(picture.height as i32);
            image.color_space().device_rgb();
            image.bits_per_component(8);
        })?)
    }

    /// Shows a picture with its top left corner at `x` and the height `top`.
    pub(super) fn show(&mut self, picture: Ref, x: f32, top: f32, width: f32, height: f32) {
        self.pictures.push(picture);
        let name = format!("I{}", self.pictures.len());
        self.content
            .save_state()
            .transform([width, 0.0, 0.0, height, x, top - height])
            .x_object(Name(name.as_bytes()))
            .restore_state();
        self.content
            .set_line_width(0.5)
            .rect(x, top - height, width, height)
            .stroke();
    }

    /// Ends the page and begins the next one.
    fn turn(&mut self) -> Result<(), ReportError> {
        let number = format!("Page {} of", self.pages + 1);
        let y = BOTTOM - 26.0;
        self.line(LEFT, RIGHT, y + 11.0, 0.5);
        let foot = self.fonts.printable(FOOT);
        self.put(Style::SMALL, LEFT, y, &foot);
        let below = format!("{} · {}", self.title, self.made_on);
        self.put(Style::SMALL, LEFT, y - Style::SMALL.leading(), &below);
        self.put(Style::SMALL, RIGHT - 84.0, y, &number);
        let after = RIGHT - 81.0 + self.width(Style::SMALL, &number);
        self.content
            .save_state()
            .transform([1.0, 0.0, 0.0, 1.0, after, y])
            .x_object(Name(b"N"))
            .restore_state();
        let content = std::mem::replace(&mut self.content, Content::new()).finish();
        let packed = pack(content.as_slice())?;
        let stream = self.file.add(|chunk, id| {
            chunk.stream(id, &packed).filter(Filter::FlateDecode);
        })?;
        let names: Vec<String> = (1..=self.pictures.len()).map(|n| format!("I{n}")).collect();
        let (faces, total, node) = (self.faces, self.total, self.node);
        let pictures = std::mem::take(&mut self.pictures);
        self.file.put(self.page, |chunk| {
            let mut page = chunk.page(self.page);
            page.media_box(Rect::new(0.0, 0.0, PAGE[0], PAGE[1]));
            page.parent(node);
            page.contents(stream);
            let mut resources = page.resources();
            let mut fonts = resources.fonts();
            for (typeface, id) in Typeface::ALL.iter().zip(faces) {
                fonts.pair(typeface.name(), id);
            }
            drop(fonts);
            let mut objects = resources.x_objects();
            objects.pair(Name(b"N"), total);
            for (name, id) in names.iter().zip(&pictures) {
                objects.pair(Name(name.as_bytes()), *id);
            }
        })?;
        self.kids.push(self.page);
        self.pages += 1;
        if self.kids.len() == NODE {
            self.close_node()?;
            self.node = self.file.reserve();
        }
        self.page = self.file.reserve();
        self.y = TOP;
        Ok(())
    }

    fn close_node(&mut self) -> Result<(), ReportError> {
        let kids = std::mem::take(&mut self.kids);
        let count = kids.len() as i32;
        let (node, root) = (self.node, self.root);
        self.file.put(node, |chunk| {
            chunk.pages(node).parent(root).kids(kids).count(count);
        })?;
        self.nodes.push((node, count));
        Ok(())
    }

    /// Ends the file. Every report has at least one page.
    pub(super) fn finish(mut self) -> Result<(usize, W), ReportError> {
        if self.y < TOP || self.pages == 0 {
            self.turn()?;
        }
        if !self.kids.is_empty() {
            self.close_node()?;
        }
        let nodes = std::mem::take(&mut self.nodes);
        let (root, total) = (self.root, self.total);
        let count = nodes.iter().map(|n| n.1).sum();
        self.file.put(root, |chunk| {
            chunk
                .pages(root)
                .kids(nodes.iter().map(|n| n.0))
                .count(count);
        })?;
        self.write_total(total)?;
        let outline = self.write_outline()?;
        let title = self.title.clone();
        let pages = self.pages;
        let out = self.file.finish(
            |catalogue| {
                catalogue.pages(root).outlines(outline);
                catalogue.page_mode(PageMode::UseOutlines);
                catalogue.lang(TextStr("en"));
                catalogue.viewer_preferences().display_doc_title(true);
            },
            |properties| {
                properties
                    .title(TextStr(&title))
                    .creator(TextStr("vetplate"))
                    .producer(TextStr(concat!("vetplate ", env!("CARGO_PKG_VERSION"))));
            },
        )?;
        Ok((pages, out))
    }

    /// The number of pages is known only at the end; every page shows this one object.
    fn write_total(&mut self, total: Ref) -> Result<(), ReportError> {
        let text = self.pages.to_string();
        let width = self.width(Style::SMALL, &text);
        let glyphs = self.fonts.encode(Typeface::Plain, &text);
        let mut content = Content::new();
        content
            .begin_text()
            .set_font(Typeface::Plain.name(), Style::SMALL.size)
            .show(Str(&glyphs))
            .end_text();
        let content = content.finish();
        let face = self.faces[0];
        self.file.put(total, |chunk| {
            let mut form = chunk.form_xobject(total, content.as_slice());
            form.bbox(Rect::new(0.0, -3.0, width, Style::SMALL.size));
            form.resources().fonts().pair(Typeface::Plain.name(), face);
        })?;
        Ok(())
    }

    fn write_outline(&mut self) -> Result<Ref, ReportError> {
        let outline = self.file.reserve();
        let ids: Vec<Ref> = self.marks.iter().map(|_| self.file.reserve()).collect();
        for (index, mark) in self.marks.iter().enumerate() {
            let id = ids[index];
            self.file.put(id, |chunk| {
                let mut item = chunk.outline_item(id);
                item.title(TextStr(&mark.title)).parent(outline);
                if index > 0 {
                    item.prev(ids[index - 1]);
                }
                if let Some(next) = ids.get(index + 1) {
                    item.next(*next);
                }
                item.dest().page(mark.page).fit();
            })?;
        }
        self.file.put(outline, |chunk| {
            let mut item: Outline<'_> = chunk.outline(outline);
            if let (Some(first), Some(last)) = (ids.first(), ids.last()) {
                item.first(*first).last(*last).count(ids.len() as i32);
            }
        })?;
        Ok(outline)
    }
}

/// How heavy a box is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    Filled,
    Thick,
    Thin,
}
