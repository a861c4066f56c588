//! The verdict and whether a person must look.

use super::{PlaceDto, Share, SpanDto};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use vetplate_parser::place::PlaceFields;
use vetplate_parser::verdict::{Deciding, Ground, Outcome, Verdict};
use vetplate_parser::{Language, Message};

/// What can be said of a plate at a place, worst first.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "lowercase")]
#[schema(as = Outcome)]
pub enum OutcomeDto {
    /// At least one decided check fails.
    Unsuitable,
    /// Nothing fails, but a check that is needed cannot be made.
    Undecided,
    /// All checks pass, but a condition outside the plate must be met.
    Conditional,
    /// All checks pass without condition.
    Suitable,
}

impl OutcomeDto {
    /// Every outcome, worst first.
    pub const ALL: [Self; 4] = [
        Self::Unsuitable,
        Self::Undecided,
        Self::Conditional,
        Self::Suitable,
    ];

    /// The stable name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Unsuitable => "unsuitable",
            Self::Undecided => "undecided",
            Self::Conditional => "conditional",
            Self::Suitable => "suitable",
        }
    }

    /// The outcome that has this name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|outcome| outcome.name() == name)
    }
}

impl From<Outcome> for OutcomeDto {
    fn from(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Unsuitable => Self::Unsuitable,
            Outcome::Undecided => Self::Undecided,
            Outcome::Conditional => Self::Conditional,
            Outcome::Suitable => Self::Suitable,
        }
    }
}

/// The plate held against the place.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Verdict)]
pub struct VerdictDto {
    /// The worst ground decides; over the plausible readings, the worst reading.
    pub outcome: OutcomeDto,
    /// Share of the plausible readings for which the outcome is not worse.
    pub probability: Share,
    /// Grounds, worst first; the worst decides.
    pub grounds: Vec<GroundDto>,
    /// Where readings differ in outcome.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub decided_by: Vec<DecidingDto>,
    /// Defaults used, and things to see to that decide nothing.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// The place as it was given.
    pub place: PlaceDto,
}

/// One check with its result.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Ground)]
pub struct GroundDto {
    /// Id of the rule.
    pub rule: &'static str,
    /// What this check by itself allows.
    pub outcome: OutcomeDto,
    /// A sentence with the numbers.
    pub detail: String,
    /// Standard and clause, and how the rule is known.
    pub source: String,
    /// What would settle it or make it pass.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<String>,
    /// Index into `markings`; left out for the whole plate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub marking: Option<usize>,
    /// Inputs and table rows that were used, in English as the keys are.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub used: Vec<String>,
    /// Characters that it rests on.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub spans: Vec<SpanDto>,
}

/// A doubtful place in the text on which the outcome depends.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Deciding)]
pub struct DecidingDto {
    /// Index into `lines`, from 0.
    pub line: usize,
    /// First character, from 0.
    pub start: usize,
    /// One past the last character.
    pub end: usize,
    /// The characters of the best reading.
    pub text: String,
    /// What each reading has there and what it would mean, best first.
    pub readings: Vec<ReadingOutcomeDto>,
}

/// One reading of a doubtful place.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = ReadingOutcome)]
pub struct ReadingOutcomeDto {
    /// The characters in this reading.
    pub text: String,
    /// Its probability.
    pub probability: Share,
    /// The outcome if it is right.
    pub outcome: OutcomeDto,
}

/// Whether a person must look.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Review)]
pub struct ReviewDto {
    /// True where a person must look before the reading is used.
    pub needed: bool,
    /// Why, a sentence each.
    pub reasons: Vec<String>,
    /// Where to look, for the reasons that have a place.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub looks: Vec<LookDto>,
}

/// A place at which a person should look.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Look)]
pub struct LookDto {
    /// Index into `reasons`, from 0.
    pub reason: usize,
    /// Line and characters; none of them where something is hidden between two.
    pub span: SpanDto,
    /// Corners in pixels of the upright photo, clockwise from the top left of the text: of the
    /// hidden place, or of the line; left out where the text was typed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quad: Option<[[f64; 2]; 4]>,
}

impl VerdictDto {
    /// The verdict at the place that `place` describes.
    pub fn new(
        verdict: &Verdict,
        place: &PlaceFields,
        lines: &[String],
        language: Language,
    ) -> Self {
        Self {
            outcome: verdict.outcome.into(),
            probability: Share::new(verdict.probability),
            grounds: verdict
                .grounds
                .iter()
                .map(|g| GroundDto::new(g, lines, language))
                .collect(),
            decided_by: verdict
                .decided_by
                .iter()
                .filter_map(|d| DecidingDto::new(d, lines))
                .collect(),
            notes: verdict.notes.iter().map(|n| n.text(language)).collect(),
            place: place.into(),
        }
    }
}

impl GroundDto {
    fn new(ground: &Ground, lines: &[String], language: Language) -> Self {
        Self {
            rule: ground.rule,
            outcome: ground.outcome.into(),
            detail: ground.detail.text(language),
            source: Message::citation(ground.source).text(language),
            next: ground.next.as_ref().map(|n| n.text(language)),
            marking: ground.marking,
            used: ground.used.clone(),
            spans: SpanDto::all(&ground.spans, lines),
        }
    }
}

impl DecidingDto {
    fn new(deciding: &Deciding, lines: &[String]) -> Option<Self> {
        let span = SpanDto::new(deciding.span, lines)?;
        Some(Self {
            line: span.line,
            start: span.start,
            end: span.end,
            text: span.text,
            readings: deciding
                .readings
                .iter()
                .map(|(text, probability, outcome)| ReadingOutcomeDto {
                    text: text.clone(),
                    probability: Share::new(*probability),
                    outcome: (*outcome).into(),
                })
                .collect(),
        })
    }
}
