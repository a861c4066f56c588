//! What a reading rests on: every character with its doubt. From it the verdict is made again,
//! for another place, another table or another rule, without the photo and without the models.

use super::KEPT_IN;
use crate::answer::{Answer, CodeDto, LineDto, ModelDto, PhotoDto, Source, VersionsDto};
use crate::pipeline::{GivenPlace, PhotoAnswer, codes, decide, parser_line, shown};
use crate::plates::apart;
use flate2::Compression;
use flate2::read::DeflateDecoder;
use flate2::write::DeflateEncoder;
use serde::{Deserialize, Serialize};
use std::io::{Read, Write};
use vetplate_parser::{Glyph, Hidden, Line, Missed, message};

/// Unpacked evidence of one photo is never larger: a plate has some thousand characters.
const MAX_UNPACKED: u64 = 64 << 20;

/// One line with all its doubt.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadLine {
    /// As it is shown.
    pub shown: LineDto,
    /// Characters, runner-ups, and what may have been overlooked.
    pub line: Line,
}

/// What was read on a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// The photo.
    pub photo: PhotoDto,
    /// The models that read it.
    pub models: Vec<ModelDto>,
    /// The lines in reading order.
    pub lines: Vec<ReadLine>,
    /// Its machine-readable codes.
    pub codes: Vec<CodeDto>,
    /// How many plates the photo shows. Where there are several, the lines are those of one of them:
    /// see [`Evidence::apart`].
    pub plates: usize,
}

/// Character, probability, runner-ups.
type PackedGlyph = (char, f32, Vec<(Option<char>, f32)>);

#[derive(Serialize, Deserialize)]
struct PackedLine {
    shown: LineDto,
    glyphs: Vec<PackedGlyph>,
    missed: Vec<(usize, char, f32)>,
}

#[derive(Serialize, Deserialize)]
struct Packed {
    photo: PhotoDto,
    models: Vec<ModelDto>,
    lines: Vec<PackedLine>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    codes: Vec<CodeDto>,
    #[serde(default = "one", skip_serializing_if = "is_one")]
    plates: usize,
}

const fn one() -> usize {
    1
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde calls it so")]
const fn is_one(plates: &usize) -> bool {
    *plates == 1
}

impl Evidence {
    /// The evidence of a photo that was just read; none for typed text.
    pub fn of(found: &PhotoAnswer) -> Option<Self> {
        Some(Self {
            photo: found.answer.photo.clone()?,
            models: found.answer.versions.models.clone(),
            lines: shown(&found.lines)
                .into_iter()
                .zip(&found.lines.lines)
                .map(|(shown, line)| ReadLine {
                    shown,
                    line: parser_line(line),
                })
                .collect(),
            codes: codes(&found.lines),
            plates: 1,
        })
    }

    /// The evidence of each plate on the photo, in the order of the photo; itself where it shows one.
    ///
    /// Two plates are two pieces of equipment: what stands on one is nothing that the other says.
    #[must_use]
    pub fn apart(self) -> Vec<Self> {
        let lines: Vec<Line> = self.lines.iter().map(|l| l.line.clone()).collect();
        let numbers = self.lines.iter().map(|line| line.shown.plate);
        let Some(groups) = apart(numbers, &lines) else {
            return vec![self];
        };
        let plates = groups.len();
        let of = |group: Vec<usize>| {
            let number = group.first().and_then(|&i| self.lines[i].shown.plate);
            let own = |code: &&CodeDto| code.plate == number;
            Self {
                photo: self.photo.clone(),
                models: self.models.clone(),
                codes: self.codes.iter().filter(own).cloned().collect(),
                lines: group.into_iter().map(|i| self.lines[i].clone()).collect(),
                plates,
            }
        };
        groups.into_iter().map(of).collect()
    }

    /// The middle of what was read, in pixels of the photo; none where no line has a place.
    pub(super) fn middle(&self) -> Option<[f64; 2]> {
        let corners: Vec<[f64; 2]> = self
            .lines
            .iter()
            .filter_map(|line| line.shown.quad)
            .flatten()
            .collect();
        let count = corners.len() as f64;
        let mean = |axis: usize| corners.iter().map(|c| c[axis]).sum::<f64>() / count;
        (!corners.is_empty()).then(|| [mean(0), mean(1)])
    }

    /// The answer that this program makes of it for a place.
    pub fn answer(&self, place: Option<&GivenPlace>) -> Answer {
        let source = Source {
            photo: Some(self.photo.clone()),
            lines: self.lines.iter().map(|l| l.shown.clone()).collect(),
            codes: self.codes.clone(),
            versions: VersionsDto::new(self.models.clone()),
        };
        let lines: Vec<Line> = self.lines.iter().map(|l| l.line.clone()).collect();
        let mut answer = decide(source, &lines, place, KEPT_IN);
        if self.plates > 1 {
            answer.review.needed = true;
            let reason = message!("review-one-of-plates", count = self.plates);
            answer.review.reasons.push(reason.text(KEPT_IN));
        }
        answer
    }

    /// In a form to be kept: deflated JSON.
    ///
    /// # Errors
    ///
    /// A sentence where it cannot be written.
    pub fn pack(&self) -> Result<Vec<u8>, String> {
        let packed = Packed {
            photo: self.photo.clone(),
            models: self.models.clone(),
            lines: self.lines.iter().map(pack_line).collect(),
            codes: self.codes.clone(),
            plates: self.plates,
        };
        let json = serde_json::to_vec(&packed).map_err(|e| e.to_string())?;
        let mut encoder = DeflateEncoder::new(Vec::new(), Compression::default());
        encoder
            .write_all(&json)
            .and_then(|()| encoder.finish())
            .map_err(|e| e.to_string())
    }

    /// Evidence that was kept.
    ///
    /// # Errors
    ///
    /// A sentence where the bytes are no evidence.
    pub fn unpack(bytes: &[u8]) -> Result<Self, String> {
        let mut json = Vec::new();
        DeflateDecoder::new(bytes)
            .take(MAX_UNPACKED)
            .read_to_end(&mut json)
            .map_err(|e| e.to_string())?;
        let packed: Packed = serde_json::from_slice(&json).map_err(|e| e.to_string())?;
        Ok(Self {
            photo: packed.photo,
            models: packed.models,
            lines: packed.lines.into_iter().map(unpack_line).collect(),
            codes: packed.codes,
            plates: packed.plates,
        })
    }
}

fn pack_line(line: &ReadLine) -> PackedLine {
    PackedLine {
        shown: line.shown.clone(),
        glyphs: line
            .line
            .glyphs()
            .iter()
            .map(|g| (g.ch, g.probability, g.also.clone()))
            .collect(),
        missed: line
            .line
            .missed()
            .iter()
            .map(|m| (m.before, m.ch, m.probability))
            .collect(),
    }
}

fn unpack_line(line: PackedLine) -> ReadLine {
    let glyphs = line
        .glyphs
        .into_iter()
        .map(|(ch, probability, also)| Glyph {
            ch,
            probability,
            also,
        })
        .collect();
    let missed = line
        .missed
        .into_iter()
        .map(|(before, ch, probability)| Missed {
            before,
            ch,
            probability,
        })
        .collect();
    // What is hidden is kept with the line as it is shown; lines of before have none.
    let hidden = line.shown.hidden.iter().map(|place| Hidden {
        before: place.before,
        fits: place.fits,
        why: place.why.into(),
    });
    ReadLine {
        line: Line::new(glyphs)
            .with_missed(missed)
            .with_hidden(hidden.collect()),
        shown: line.shown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::{CoverDto, FlawKindDto, HiddenDto, LetterSizeDto, LineFlawDto, Share};
    use vetplate_parser::Cover;

    fn inflated(bytes: &[u8]) -> String {
        let mut json = String::new();
        DeflateDecoder::new(bytes)
            .read_to_string(&mut json)
            .unwrap();
        json
    }

    #[test]
    fn evidence_comes_back_to_the_last_bit() {
        let line = Line::new(vec![
            Glyph {
                ch: 'E',
                probability: 0.987_654_3,
                also: vec![(Some('F'), 1.0 / 3.0), (None, f32::MIN_POSITIVE)],
            },
            Glyph {
                ch: '°',
                probability: 1.0,
                also: Vec::new(),
            },
        ])
        .with_missed(vec![Missed {
            before: 2,
            ch: 'X',
            probability: 0.1,
        }])
        .with_hidden(vec![Hidden {
            before: 1,
            fits: 4,
            why: Cover::Glare,
        }]);
        let evidence = Evidence {
            photo: PhotoDto {
                file: Some("a.jpg".to_owned()),
                sha256: "00".to_owned(),
                width: 3,
                height: 2,
                taken_at: None,
                gps: Some([56.1, -5.2]),
                notes: vec!["note".to_owned()],
            },
            models: vec![ModelDto {
                name: "n".to_owned(),
                version: "1".to_owned(),
                sha256: "11".to_owned(),
            }],
            lines: vec![ReadLine {
                shown: LineDto {
                    text: "E°".to_owned(),
                    confidence: Share::new(0.9),
                    quad: Some([[0.5, 1.0], [2.0, 3.0], [4.0, 5.0], [6.0, 7.1]]),
                    hidden: vec![HiddenDto {
                        before: 1,
                        fits: 4,
                        why: CoverDto::Glare,
                        quad: [[1.0, 1.0], [2.0, 1.0], [2.0, 3.0], [1.0, 3.0]],
                    }],
                    flaws: vec![LineFlawDto {
                        kind: FlawKindDto::Small,
                        size: LetterSizeDto {
                            letters_px: Some(9),
                            needed_px: Some(20),
                        },
                    }],
                    plate: None,
                },
                line,
            }],
            codes: Vec::new(),
            plates: 1,
        };
        let packed = evidence.pack().unwrap();
        assert_eq!(Evidence::unpack(&packed).unwrap(), evidence);
        // Rows from before hidden places were known have no such key.
        let mut old = evidence.clone();
        old.lines[0].shown.hidden.clear();
        old.lines[0].shown.flaws.clear();
        let json = inflated(&old.pack().unwrap());
        assert!(
            !json.contains("hidden") && !json.contains("flaws") && !json.contains("plates"),
            "{json}"
        );
        assert!(
            Evidence::unpack(&old.pack().unwrap()).unwrap().lines[0]
                .line
                .hidden()
                .is_empty()
        );
        assert!(Evidence::unpack(&packed[1..]).is_err());
    }
}
