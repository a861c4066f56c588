//! Packs the models for the program: 16-bit weights deflate better with their low and high bytes
//! apart, since only the high ones resemble one another.

use std::error::Error;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs};

use flate2::Compression;
use flate2::write::DeflateEncoder;

fn main() -> Result<(), Box<dyn Error>> {
    let models = Path::new("../models");
    let out = PathBuf::from(env::var_os("OUT_DIR").ok_or("cargo sets no OUT_DIR")?);
    println!("cargo:rerun-if-changed=build.rs");
    for entry in fs::read_dir(models)? {
        let path = entry?.path();
        if path.extension().is_none_or(|e| e != "onnx") {
            continue;
        }
        println!("cargo:rerun-if-changed={}", path.display());
        let bytes = fs::read(&path)?;
        let mut packed = DeflateEncoder::new(Vec::new(), Compression::best());
        for first in [0, 1] {
            let half: Vec<u8> = bytes.iter().skip(first).step_by(2).copied().collect();
            packed.write_all(&half)?;
        }
        let mut name = path.file_name().ok_or("a model has no name")?.to_owned();
        name.push(".packed");
        fs::write(out.join(name), packed.finish()?)?;
    }
    Ok(())
}
