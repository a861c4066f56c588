//! The models that are built into the program.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::alphabet::{Alphabet, Classes};
use crate::engine::{Input, OnnxModel};
use crate::error::OcrError;
use crate::packed::Packed;
use crate::recognise::{LINE_HEIGHT, Recogniser, Scores, Sight};

const MANIFEST: &str = include_str!("../../models/manifest.toml");

macro_rules! packed {
    ($($file:literal),*) => {
        [$(($file, include_bytes!(concat!(env!("OUT_DIR"), "/", $file, ".packed")).as_slice())),*]
    };
}

/// The files as `build.rs` packs them.
const FILES: [(&str, &[u8]); 3] = packed![
    "pp-ocrv6-det-tiny.onnx",
    "pp-ocrv6-rec-small-latin.onnx",
    "plate-rec.onnx"
];

/// Which model took part in a reading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ModelInfo {
    /// Its task: `detector`, `recogniser-plate`, or `recogniser` for what that one reads
    /// doubtfully.
    pub name: String,
    /// What it is.
    pub title: String,
    /// Version of the package that it comes from.
    pub version: String,
    /// SHA-256 of the file, lower-case hexadecimal, checked when it was loaded.
    pub sha256: String,
}

#[derive(Deserialize)]
struct Manifest {
    model: Vec<Entry>,
}

#[derive(Deserialize)]
struct Entry {
    name: String,
    title: String,
    file: String,
    version: String,
    sha256: String,
    bytes: usize,
    alphabet: Option<String>,
    /// Of recognisers that give logits; the others give probabilities.
    temperature: Option<f32>,
}

/// The manifest and the files it names.
pub(crate) struct Bundle {
    entries: Vec<Entry>,
    /// Every character that some recogniser knows.
    alphabet: Arc<Alphabet>,
}

impl Entry {
    /// The characters of the recogniser's classes, the blank of CTC apart.
    fn characters(&self) -> Option<Vec<char>> {
        let mut chars: Vec<char> = self.alphabet.as_ref()?.chars().collect();
        // The last class of PP-OCR's recognisers is the blank between words.
        if !chars.contains(&' ') {
            chars.push(' ');
        }
        Some(chars)
    }
}

impl Bundle {
    pub(crate) fn open() -> Result<Self, OcrError> {
        let manifest: Manifest =
            toml::from_str(MANIFEST).map_err(|e| OcrError::Manifest(e.to_string()))?;
        let lists: Vec<Vec<char>> = manifest
            .model
            .iter()
            .filter_map(Entry::characters)
            .collect();
        Ok(Self {
            entries: manifest.model,
            alphabet: Alphabet::of(lists.iter().map(Vec::as_slice)),
        })
    }

    pub(crate) fn info(&self) -> Vec<ModelInfo> {
        self.entries
            .iter()
            .map(|e| ModelInfo {
                name: e.name.clone(),
                title: e.title.clone(),
                version: e.version.clone(),
                sha256: e.sha256.clone(),
            })
            .collect()
    }

    fn entry(&self, name: &str) -> Result<&Entry, OcrError> {
        let missing = || OcrError::Manifest(format!("it names no model {name}"));
        self.entries
            .iter()
            .find(|e| e.name == name)
            .ok_or_else(missing)
    }

    /// The file of the model called `name`.
    pub(crate) fn file(&self, name: &'static str) -> Result<Packed, OcrError> {
        let entry = self.entry(name)?;
        let missing = || OcrError::Manifest(format!("{} is not built in", entry.file));
        let (_, bytes) = FILES
            .iter()
            .find(|(file, _)| *file == entry.file)
            .ok_or_else(missing)?;
        Ok(Packed {
            name,
            bytes,
            size: entry.bytes,
            sha256: entry.sha256.clone(),
        })
    }

    /// The model called `name`, which takes views.
    pub(crate) fn model(&self, name: &'static str) -> Result<OnnxModel, OcrError> {
        Ok(OnnxModel::new(self.file(name)?, Input::Views))
    }

    /// The recogniser called `name` with its alphabet.
    pub(crate) fn recogniser(
        &self,
        name: &'static str,
        sight: Sight,
    ) -> Result<Recogniser, OcrError> {
        let input = Input::Lines {
            height: LINE_HEIGHT as usize,
            planes: sight.planes(),
        };
        let model = OnnxModel::new(self.file(name)?, input);
        let entry = self.entry(name)?;
        let own = entry.characters();
        let own = own.ok_or_else(|| OcrError::Manifest(format!("{name} has no alphabet")))?;
        let classes = Classes::new(&own, &self.alphabet);
        let alphabet = Arc::clone(&self.alphabet);
        let scores = match entry.temperature {
            None => Scores::Probabilities,
            Some(t) if t.is_finite() && t > 0.0 => Scores::Logits { temperature: t },
            Some(t) => {
                let fault = format!("{name} has temperature {t}, it must be above 0");
                return Err(OcrError::Manifest(fault));
            }
        };
        Ok(Recogniser::new(
            Box::new(model),
            sight,
            scores,
            classes,
            alphabet,
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_model_of_the_manifest_is_built_in_and_whole() {
        let bundle = Bundle::open().unwrap();
        let names = ["detector", "recogniser", "recogniser-plate"];
        assert_eq!(bundle.entries.len(), names.len());
        for name in names {
            let file = bundle.file(name).unwrap();
            assert_eq!(file.unpacked().unwrap().len(), file.size, "{name}");
        }
    }

    #[test]
    fn the_alphabet_holds_what_nameplates_need() {
        let bundle = Bundle::open().unwrap();
        let plate = bundle.entry("recogniser-plate").unwrap();
        let own = plate.characters().unwrap();
        for ch in "⬢\u{fffd} 09AZaz[]()/°≤≥±×µΩΔ–−…²äöüÄÖÜßéèñøåłż".chars()
        {
            assert!(own.contains(&ch), "{ch}");
        }
        let general = bundle.entry("recogniser").unwrap();
        let alphabet = general.alphabet.as_ref().unwrap();
        for ch in "0123456789AZaz[]()/°≤≥±×µμΩΔ–−…²℃ⅡäöüÄÖÜßéèñøåłż".chars()
        {
            assert!(alphabet.contains(ch), "{ch}");
        }
        for ch in "℉∥（中".chars() {
            assert!(!alphabet.contains(ch), "{ch}");
        }
    }
}
