//! Prints the lines of photos: `cargo run -p vetplate-ocr --example lines PHOTO…`

use std::error::Error;
use std::time::Instant;

use vetplate_ocr::{Limits, Photo, Reader};

#[expect(clippy::print_stdout, reason = "an example for the terminal")]
fn main() -> Result<(), Box<dyn Error>> {
    let reader = Reader::bundled()?;
    for path in std::env::args().skip(1) {
        let bytes = std::fs::read(&path)?;
        let start = Instant::now();
        let photo = Photo::decode(&bytes, &Limits::default())?;
        let decoded = start.elapsed();
        let start = Instant::now();
        let read = reader.read(&photo)?;
        let (width, height) = (photo.width(), photo.height());
        println!(
            "# {path} {width} × {height}, turned {}°, decoded in {decoded:.1?}, read in {:.0?}",
            read.turn,
            start.elapsed()
        );
        for note in photo.notes().iter().chain(&read.notes) {
            println!("# {note}");
        }
        for line in &read.lines {
            println!("{:.3}\t{}", line.confidence(), line.text());
        }
    }
    Ok(())
}
