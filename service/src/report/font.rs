//! The bundled fonts: how wide text is, and what of them goes into the file.

use super::ReportError;
use super::file::PdfFile;
use flate2::Compression;
use flate2::write::ZlibEncoder;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Name, Rect, Ref, Str};
use std::collections::BTreeMap;
use std::io::{self, Write};
use ttf_parser::{Face, GlyphId};

/// Which font.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Typeface {
    /// For text.
    Plain,
    /// For headings and outcomes.
    Bold,
    /// For what was read, where `I`, `l` and `1` must differ.
    Mono,
}

impl Typeface {
    pub(super) const ALL: [Self; 3] = [Self::Plain, Self::Bold, Self::Mono];

    /// Its name on the pages.
    pub(super) const fn name(self) -> Name<'static> {
        match self {
            Self::Plain => Name(b"F1"),
            Self::Bold => Name(b"F2"),
            Self::Mono => Name(b"F3"),
        }
    }

    const fn full_name(self) -> &'static [u8] {
        match self {
            Self::Plain => b"VPLATE+DejaVuSansCondensed",
            Self::Bold => b"VPLATE+DejaVuSansCondensed-Bold",
            Self::Mono => b"VPLATE+DejaVuSansMono",
        }
    }

    const fn bytes(self) -> &'static [u8] {
        match self {
            Self::Plain => include_bytes!("../../assets/fonts/sans.ttf"),
            Self::Bold => include_bytes!("../../assets/fonts/sans-bold.ttf"),
            Self::Mono => include_bytes!("../../assets/fonts/mono.ttf"),
        }
    }
}

const SYSTEM: SystemInfo<'static> = SystemInfo {
    registry: Str(b"Adobe"),
    ordering: Str(b"Identity"),
    supplement: 0,
};

/// The three fonts, taken apart.
pub(super) struct Fonts([Face<'static>; 3]);

impl Fonts {
    pub(super) fn bundled() -> Result<Self, ReportError> {
        let face = |typeface: Typeface| {
            Face::parse(typeface.bytes(), 0).map_err(|e| ReportError::Font(e.to_string()))
        };
        Ok(Self([
            face(Typeface::Plain)?,
            face(Typeface::Bold)?,
            face(Typeface::Mono)?,
        ]))
    }

    fn face(&self, typeface: Typeface) -> &Face<'static> {
        &self.0[typeface as usize]
    }

    /// Text that can be printed: nothing steers, and a character that the fonts do not have is
    /// named by its number.
    pub(super) fn printable(&self, text: &str) -> String {
        let mut out = String::with_capacity(text.len());
        for c in text.chars() {
            match c {
                c if c.is_whitespace() => out.push(' '),
                c if c.is_control() => out.push(char::REPLACEMENT_CHARACTER),
                // Marks that turn the direction of what follows.
                '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
                    out.push(char::REPLACEMENT_CHARACTER);
                }
                c if self.0.iter().all(|face| face.glyph_index(c).is_some()) => out.push(c),
                c => out.extend(format!("[U+{:04X}]", u32::from(c)).chars()),
            }
        }
        out
    }

    /// Width of text in points.
    pub(super) fn width(&self, typeface: Typeface, size: f32, text: &str) -> f32 {
        let face = self.face(typeface);
        let units: u32 = text.chars().map(|c| advance(face, glyph(face, c))).sum();
        units as f32 / f32::from(face.units_per_em()) * size
    }

    /// Numbers of the glyphs, two bytes each, as they stand on a page.
    pub(super) fn encode(&self, typeface: Typeface, text: &str) -> Vec<u8> {
        let face = self.face(typeface);
        text.chars()
            .flat_map(|c| glyph(face, c).0.to_be_bytes())
            .collect()
    }

    /// Writes a font into the file.
    pub(super) fn embed<W: Write>(
        &self,
        file: &mut PdfFile<W>,
        typeface: Typeface,
    ) -> io::Result<Ref> {
        let face = self.face(typeface);
        let scale = 1000.0 / f32::from(face.units_per_em());
        let bytes = typeface.bytes();
        let packed = pack(bytes)?;
        let data = file.add(|chunk, id| {
            chunk
                .stream(id, &packed)
                .filter(Filter::FlateDecode)
                .pair(Name(b"Length1"), bytes.len() as i32);
        })?;
        let descriptor = file.add(|chunk, id| {
            let bounds = face.global_bounding_box();
            let mut flags = FontFlags::NON_SYMBOLIC;
            if typeface == Typeface::Mono {
                flags |= FontFlags::FIXED_PITCH;
            }
            chunk
                .font_descriptor(id)
                .name(Name(typeface.full_name()))
                .flags(flags)
                .bbox(Rect::new(
                    f32::from(bounds.x_min) * scale,
                    f32::from(bounds.y_min) * scale,
                    f32::from(bounds.x_max) * scale,
                    f32::from(bounds.y_max) * scale,
                ))
                .italic_angle(0.0)
                .ascent(f32::from(face.ascender()) * scale)
                .descent(f32::from(face.descender()) * scale)
                .cap_height(f32::from(face.capital_height().unwrap_or(1493)) * scale)
                .stem_v(if typeface == Typeface::Bold {
                    140.0
                } else {
                    80.0
                })
                .font_file2(data);
        })?;
        let widths: Vec<f32> = (0..face.number_of_glyphs())
            .map(|id| advance(face, GlyphId(id)) as f32 * scale)
            .collect();
        let descendant = file.add(|chunk, id| {
            let mut font = chunk.cid_font(id);
            font.subtype(CidFontType::Type2)
                .base_font(Name(typeface.full_name()))
                .system_info(SYSTEM)
                .font_descriptor(descriptor)
                .default_width(0.0)
                .cid_to_gid_map_predefined(Name(b"Identity"));
            font.widths().consecutive(0, widths);
        })?;
        let mut cmap = UnicodeCmap::new(Name(b"Custom"), SYSTEM);
        for (glyph, c) in characters(face) {
            cmap.pair(glyph, c);
        }
        let packed = pack(cmap.finish().as_slice())?;
        let unicode = file.add(|chunk, id| {
            chunk.stream(id, &packed).filter(Filter::FlateDecode);
        })?;
        file.add(|chunk, id| {
            chunk
                .type0_font(id)
                .base_font(Name(typeface.full_name()))
                .encoding_predefined(Name(b"Identity-H"))
                .descendant_font(descendant)
                .to_unicode(unicode);
        })
    }
}

fn glyph(face: &Face<'_>, c: char) -> GlyphId {
    face.glyph_index(c).unwrap_or(GlyphId(0))
}

fn advance(face: &Face<'_>, glyph: GlyphId) -> u32 {
    u32::from(face.glyph_hor_advance(glyph).unwrap_or_default())
}

/// Which character each glyph shows, so that text can be searched and copied.
fn characters(face: &Face<'_>) -> BTreeMap<u16, char> {
    let mut characters = BTreeMap::new();
    let tables = face.tables().cmap.iter().flat_map(|cmap| cmap.subtables);
    for table in tables.filter(ttf_parser::cmap::Subtable::is_unicode) {
        table.codepoints(|code| {
            if let (Some(glyph), Some(c)) = (table.glyph_index(code), char::from_u32(code)) {
                characters.entry(glyph.0).or_insert(c);
            }
        });
    }
    characters
}

/// Deflated bytes.
pub(super) fn pack(bytes: &[u8]) -> io::Result<Vec<u8>> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(bytes)?;
    encoder.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strokes_differ_in_what_was_read() {
        let fonts = Fonts::bundled().unwrap();
        let glyphs = fonts.encode(Typeface::Mono, "Il1O0");
        let mut pairs: Vec<&[u8]> = glyphs.chunks(2).collect();
        pairs.sort_unstable();
        pairs.dedup();
        assert_eq!(pairs.len(), 5);
    }

    #[test]
    fn every_sign_of_the_trade_is_there() {
        let fonts = Fonts::bundled().unwrap();
        let text = "≤ ≥ ° µ Ω ± – — … € Łódź Ωμέγα Щит ☐ ☑ ■ ▲ № ÄÖÜß";
        assert_eq!(fonts.printable(text), text);
        assert_eq!(
            fonts.printable("防\u{202e}\u{1b}\nx"),
            "[U+9632]\u{fffd}\u{fffd} x"
        );
    }
}
