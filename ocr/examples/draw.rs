//! Draws the lines onto a photo: `cargo run -p vetplate-ocr --example draw PHOTO OUT.png`

use std::error::Error;

use vetplate_ocr::{Limits, Photo, Reader, annotate};

fn main() -> Result<(), Box<dyn Error>> {
    let mut paths = std::env::args().skip(1);
    let (Some(from), Some(to)) = (paths.next(), paths.next()) else {
        return Err("give a photo and the picture to write".into());
    };
    let photo = Photo::decode(&std::fs::read(from)?, &Limits::default())?;
    let lines = Reader::bundled()?.read(&photo)?;
    annotate(&photo, &lines, &[]).save(to)?;
    Ok(())
}
