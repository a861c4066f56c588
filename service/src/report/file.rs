//! A PDF file that leaves as it is made: an object is written once and forgotten.

use pdf_writer::writers::{Catalog, DocumentInfo};
use pdf_writer::{Chunk, Ref};
use std::io::{self, Write};

/// Objects go to `out` at once; only where each begins is kept, eight bytes an object.
pub(super) struct PdfFile<W: Write> {
    out: W,
    /// Where the object of number index + 1 begins; 0 while it is not written.
    offsets: Vec<u64>,
    at: u64,
}

impl<W: Write> PdfFile<W> {
    /// Begins a file.
    pub(super) fn new(mut out: W) -> io::Result<Self> {
        // The second line tells programs that the file holds more than text.
        let head = b"%PDF-1.7\n%\x80\x80\x80\x80\n";
        out.write_all(head)?;
        Ok(Self {
            out,
            offsets: Vec::new(),
            at: head.len() as u64,
        })
    }

    /// A number for an object that is written later.
    pub(super) fn reserve(&mut self) -> Ref {
        self.offsets.push(0);
        Ref::new(self.offsets.len() as i32)
    }

    /// Writes the object `id`, and only it.
    pub(super) fn put(&mut self, id: Ref, build: impl FnOnce(&mut Chunk)) -> io::Result<()> {
        let mut chunk = Chunk::new();
        build(&mut chunk);
        debug_assert!(chunk.refs().eq([id]), "one object at a time");
        self.offsets[id.get() as usize - 1] = self.at;
        self.out.write_all(chunk.as_bytes())?;
        self.at += chunk.len() as u64;
        Ok(())
    }

    /// Reserves a number and writes its object.
    pub(super) fn add(&mut self, build: impl FnOnce(&mut Chunk, Ref)) -> io::Result<Ref> {
        let id = self.reserve();
        self.put(id, |chunk| build(chunk, id))?;
        Ok(id)
    }

    /// Writes the catalogue, the properties and the table of objects.
    pub(super) fn finish(
        mut self,
        catalogue: impl FnOnce(&mut Catalog<'_>),
        properties: impl FnOnce(&mut DocumentInfo<'_>),
    ) -> io::Result<W> {
        let root =
            self.add(|chunk, id| catalogue(&mut chunk.indirect(id).start::<Catalog<'_>>()))?;
        let info =
            self.add(|chunk, id| properties(&mut chunk.indirect(id).start::<DocumentInfo<'_>>()))?;
        let size = self.offsets.len() + 1;
        write!(self.out, "xref\n0 {size}\n0000000000 65535 f\r\n")?;
        for offset in &self.offsets {
            let kind = if *offset == 0 { "65535 f" } else { "00000 n" };
            write!(self.out, "{offset:010} {kind}\r\n")?;
        }
        write!(
            self.out,
            "trailer\n<</Size {size}/Root {} 0 R/Info {} 0 R>>\nstartxref\n{}\n%%EOF\n",
            root.get(),
            info.get(),
            self.at
        )?;
        self.out.flush()?;
        Ok(self.out)
    }
}
