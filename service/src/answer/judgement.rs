//! A quick judgement of a photo: is it worth reading?

use super::{Number, SCHEMA, rounded};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use vetplate_ocr::{Flaw, FlawKind, Judgement, Reduced};
use vetplate_parser::{Language, Message, message};

/// What a quick look at a photo tells, before it is read.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Judgement)]
pub struct JudgementDto {
    /// Number of the schema.
    pub schema: u32,
    /// Language of the sentences: `en`, `de` or `fr`.
    pub language: &'static str,
    /// Width upright, pixels.
    pub width: u32,
    /// Height upright, pixels.
    pub height: u32,
    /// False where the photo should be taken again. The reader may still read it.
    pub good: bool,
    /// Height of the letters, pixels; left out where none are seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub letters_px: Option<Number>,
    /// What is wrong, most serious first.
    pub flaws: Vec<FlawDto>,
}

/// Something that is wrong with a photo, and where.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = PhotoFlaw)]
pub struct FlawDto {
    /// What is wrong.
    pub kind: FlawKindDto,
    /// The same for people, with what to do.
    pub text: String,
    /// The heights, where letters are too small.
    #[serde(flatten)]
    pub size: LetterSizeDto,
    /// Corners in pixels of the upright photo, clockwise from the top left.
    pub quad: [[f64; 2]; 4],
}

/// What makes a line hard to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = LineFlaw)]
pub struct LineFlawDto {
    /// What it is.
    pub kind: FlawKindDto,
    /// The heights, where letters are too small.
    #[serde(flatten)]
    pub size: LetterSizeDto,
}

/// Heights of letters, given where they are too small.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = LetterSize)]
pub struct LetterSizeDto {
    /// Height of the letters, pixels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub letters_px: Option<u32>,
    /// Height that is needed, pixels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub needed_px: Option<u32>,
}

/// Kinds of flaws of a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[schema(as = PhotoFlawKind)]
pub enum FlawKindDto {
    /// No row of letters is seen.
    NoText,
    /// Letters are too small.
    Small,
    /// Out of focus, or shaken.
    Blurred,
    /// Light so bright that nothing stands out.
    Glare,
    /// Text goes on beyond the frame.
    Cut,
    /// Too little light.
    Dark,
}

impl JudgementDto {
    /// The judgement of a photo, in words of a language.
    pub fn new(judgement: &Judgement, photo: &Reduced, language: Language) -> Self {
        Self {
            schema: SCHEMA,
            language: language.tag(),
            width: photo.width(),
            height: photo.height(),
            good: judgement.flaws.is_empty(),
            letters_px: judgement
                .letters_px
                .map(|px| Number(rounded(f64::from(px), 1))),
            flaws: judgement
                .flaws
                .iter()
                .map(|flaw| FlawDto::new(flaw, language))
                .collect(),
        }
    }
}

impl FlawDto {
    fn new(flaw: &Flaw, language: Language) -> Self {
        let LineFlawDto { kind, size } = flaw.kind.into();
        Self {
            kind,
            text: LineFlawDto { kind, size }.said().text(language),
            size,
            quad: flaw.quad.map(|p| p.map(|x| rounded(f64::from(x), 1))),
        }
    }
}

impl From<FlawKind> for LineFlawDto {
    fn from(kind: FlawKind) -> Self {
        let mut size = LetterSizeDto::default();
        let kind = match kind {
            FlawKind::NoText => FlawKindDto::NoText,
            FlawKind::Small {
                letters_px,
                needed_px,
            } => {
                size = LetterSizeDto {
                    letters_px: Some(letters_px.round() as u32),
                    needed_px: Some(needed_px.round() as u32),
                };
                FlawKindDto::Small
            }
            FlawKind::Blurred => FlawKindDto::Blurred,
            FlawKind::Glare => FlawKindDto::Glare,
            FlawKind::Cut => FlawKindDto::Cut,
            FlawKind::Dark => FlawKindDto::Dark,
        };
        Self { kind, size }
    }
}

impl LineFlawDto {
    /// In words, with what to do about it.
    pub(crate) fn said(self) -> Message {
        match self.kind {
            FlawKindDto::NoText => message!("flaw-no-text"),
            FlawKindDto::Small => message!(
                "flaw-small",
                letters = self.size.letters_px.unwrap_or_default(),
                needed = self.size.needed_px.unwrap_or_default()
            ),
            FlawKindDto::Blurred => message!("flaw-blurred"),
            FlawKindDto::Glare => message!("flaw-glare"),
            FlawKindDto::Cut => message!("flaw-cut"),
            FlawKindDto::Dark => message!("flaw-dark"),
        }
    }
}
