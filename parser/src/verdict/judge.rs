//! One verdict over every plausible reading.
#![expect(
    clippy::similar_names,
    reason = "plate and place are the words of the trade"
)]

use super::notes::notes;
use super::{Deciding, Ground, Outcome, Verdict};
use crate::certificates::CertificateList;
use crate::marking::Atmosphere;
use crate::place::{Place, Zone};
use crate::rules::{Case, RULES, Scope};
use crate::{
    Covered, Joint, Message, NumberKind, Plate, Reading, Span, Suspicion, Weighted, message,
};

/// Readings of less weight than this cannot make a verdict worse; they still lower its
/// probability. One in two hundred is the doubt that a careful person has in a clean plate.
pub const PLAUSIBLE: f64 = 0.005;

/// How many doubtful readings are spelled out as grounds of their own.
const SPELLED_OUT: usize = 3;

fn worst(grounds: &[Ground]) -> Outcome {
    grounds
        .iter()
        .map(|g| g.outcome)
        .min()
        .unwrap_or(Outcome::Undecided)
}

/// Grounds of every rule of one scope.
fn ask(case: &Case<'_>, scope: Scope) -> Vec<Ground> {
    RULES
        .iter()
        .filter(|rule| rule.scope() == scope || rule.scope() == Scope::Both)
        .flat_map(|rule| rule.check(case))
        .collect()
}

/// Several markings for one atmosphere: the best wins, for one that satisfies is enough.
fn best_marking(whole: &Case<'_>, atmosphere: Atmosphere, notes: &mut Vec<Message>) -> Vec<Ground> {
    let plate = whole.plate;
    let mut answers: Vec<(usize, Outcome, Vec<Ground>)> = Vec::new();
    for (index, marking) in plate.markings.iter().enumerate() {
        if !marking.speaks_of(atmosphere) {
            continue;
        }
        let case = Case {
            marking: Some(index),
            atmosphere: Some(atmosphere),
            ..*whole
        };
        let grounds = if marking.associated_only() {
            // Nothing else can be asked of what belongs outside.
            RULES
                .iter()
                .filter(|rule| rule.id() == "associated-apparatus")
                .flat_map(|rule| rule.check(&case))
                .collect()
        } else {
            ask(&case, Scope::Marking)
        };
        answers.push((index, worst(&grounds), grounds));
    }
    let Some(best) = answers.iter().map(|(_, outcome, _)| *outcome).max() else {
        return Vec::new();
    };
    let Some(chosen) = answers.iter().position(|(_, outcome, _)| *outcome == best) else {
        return Vec::new();
    };
    for (index, outcome, _) in &answers {
        if *index != answers[chosen].0 {
            notes.push(message!(
                "note-other-marking",
                marking = &plate.markings[*index].text,
                outcome = outcome.said()
            ));
        }
    }
    answers.swap_remove(chosen).2
}

/// The verdict on one reading alone.
pub fn judge_plate(plate: &Plate, suspicions: &[Suspicion], place: &Place) -> Verdict {
    judge_reading(plate, suspicions, place, None)
}

fn judge_reading(
    plate: &Plate,
    suspicions: &[Suspicion],
    place: &Place,
    certificates: Option<&CertificateList>,
) -> Verdict {
    let mut extra = Vec::new();
    let case = Case {
        plate,
        suspicions,
        place,
        marking: None,
        atmosphere: None,
        certificates,
    };
    let mut grounds = ask(&case, Scope::Plate);
    if place.zone == Some(Zone::NonHazardous) {
        for index in 0..plate.markings.len() {
            let case = Case {
                marking: Some(index),
                ..case
            };
            for rule in RULES {
                if matches!(rule.id(), "associated-apparatus" | "ambient") {
                    for ground in rule.check(&case) {
                        if !grounds.contains(&ground) {
                            grounds.push(ground);
                        }
                    }
                }
            }
        }
    } else {
        for atmosphere in place.atmospheres() {
            grounds.extend(best_marking(&case, atmosphere, &mut extra));
        }
    }
    drop_twice_said(&mut grounds);
    // Stable, so that grounds of equal weight stay in the order of the rules.
    grounds.sort_by_key(|g| g.outcome);
    let mut notes = notes(plate, suspicions, place);
    notes.extend(extra);
    Verdict {
        outcome: worst(&grounds),
        probability: 1.0,
        next_steps: steps(&grounds),
        grounds,
        decided_by: Vec::new(),
        notes,
    }
}

/// Checks that find missing what a rule asks for by itself: the name of the check, the rule.
const ASKED_BY_RULE: [(&str, &str); 7] = [
    ("group missing", "equipment-group"),
    ("group letter missing", "equipment-group"),
    ("group does not exist", "equipment-group"),
    ("temperature class missing", "gas-temperature"),
    ("temperature class does not exist", "gas-temperature"),
    ("dust surface temperature missing", "dust-temperature"),
    ("part of the marking could not be read", "marking-readable"),
];

/// What is missing is said once: by the rule, which says what it would have been needed for. A
/// finding stays where the rule is not asked or is milder.
fn drop_twice_said(grounds: &mut Vec<Ground>) {
    let said: Vec<bool> = grounds
        .iter()
        .map(|ground| {
            ASKED_BY_RULE.iter().any(|(check, rule)| {
                ground
                    .used
                    .iter()
                    .any(|used| *used == format!("check = {check}"))
                    && grounds.iter().any(|other| {
                        other.rule == *rule
                            && other.marking == ground.marking
                            && other.outcome <= ground.outcome
                    })
            })
        })
        .collect();
    let mut said = said.into_iter();
    grounds.retain(|_| !said.next().unwrap_or(false));
}

/// Steps of the grounds that do not pass, worst first, each once.
fn steps(grounds: &[Ground]) -> Vec<Message> {
    let mut steps: Vec<Message> = Vec::new();
    for ground in grounds.iter().filter(|g| g.outcome < Outcome::Suitable) {
        if let Some(step) = &ground.next
            && !steps.contains(step)
        {
            steps.push(step.clone());
        }
    }
    steps
}

fn text_at(plate: &Plate, span: Span) -> String {
    plate
        .lines
        .get(span.line)
        .and_then(|line| line.get(span.start..span.end))
        .unwrap_or_default()
        .to_owned()
}

fn overlap(a: Span, b: Span) -> bool {
    a.line == b.line && a.start < b.end.max(b.start + 1) && b.start < a.end.max(a.start + 1)
}

/// What one reading has at a span: its change there, or the text of the best reading.
fn text_of(reading: &Weighted, best: &Plate, span: Span) -> String {
    reading
        .changes
        .iter()
        .find(|(s, _)| *s == span)
        .map_or_else(|| text_at(best, span), |(_, text)| text.clone())
}

/// The places on which the outcome turns, with what each text there would mean.
fn deciding(reading: &Reading, outcomes: &[Outcome]) -> Vec<Deciding> {
    let best = reading.best();
    let mut spans: Vec<Span> = Vec::new();
    for (weighted, outcome) in reading.readings.iter().zip(outcomes) {
        if weighted.weight >= PLAUSIBLE && *outcome != outcomes[0] {
            for (span, _) in &weighted.changes {
                if !spans.contains(span) {
                    spans.push(*span);
                }
            }
        }
    }
    spans.sort_unstable();
    let mut all: Vec<Deciding> = Vec::new();
    for span in spans {
        // The heaviest reading with a text speaks for it: it changes the least besides.
        let mut texts: Vec<(String, f64, Outcome)> = Vec::new();
        for (weighted, outcome) in reading.readings.iter().zip(outcomes) {
            let text = text_of(weighted, &best.plate, span);
            match texts.iter_mut().find(|(t, ..)| *t == text) {
                Some((_, weight, _)) => *weight += weighted.weight,
                None => texts.push((text, weighted.weight, *outcome)),
            }
        }
        all.push(Deciding {
            span,
            readings: texts,
        });
    }
    let turning: Vec<Deciding> = all
        .iter()
        .filter(|d| d.readings.iter().any(|(_, _, o)| *o != d.readings[0].2))
        .cloned()
        .collect();
    if turning.is_empty() { all } else { turning }
}

/// In percent: whole ones, below ten with one decimal.
fn percent(weight: f64) -> f64 {
    if weight >= 0.1 {
        (weight * 100.0).round()
    } else {
        (weight * 1000.0).round() / 10.0
    }
}

/// The verdict over every plausible reading.
///
/// The outcome is the worst over the readings of at least [`PLAUSIBLE`] weight. Grounds are
/// those of the best reading, and one more for every reading that is worse. A critical field
/// that nobody can read caps the outcome at undecided. Where readings compete but come to the
/// same outcome, the doubt does not matter here and a note says so.
pub fn judge(reading: &Reading, place: &Place) -> Verdict {
    judge_with(reading, place, None)
}

/// The comparison with the list holds for the number as read. Where that may be another number,
/// and the list has that one, or nobody can be sure of it, it decides nothing.
fn doubtful_numbers(reading: &Reading, list: &CertificateList) -> Vec<Ground> {
    // From here on the doubt is more than that of a careful person in a clean plate.
    const UNSURE: f64 = 0.1;
    let of_certificates = reading
        .numbers
        .iter()
        .filter(|number| matches!(number.kind, NumberKind::Certificate(_)));
    of_certificates
        .filter_map(|number| {
            let listed: Vec<&str> = number
                .also
                .iter()
                .map(|(text, _)| text.as_str())
                .filter(|text| list.has(text))
                .collect();
            let others: Vec<&str> = number.also.iter().map(|(text, _)| text.as_str()).collect();
            let detail = if !listed.is_empty() {
                message!(
                    "certificate-other-listed",
                    number = &number.read,
                    others = listed.join(", ")
                )
            } else if number.others > UNSURE {
                message!(
                    "certificate-not-surely-read",
                    number = &number.read,
                    percent = percent(number.others),
                    others = others.join(", ")
                )
            } else {
                return None;
            };
            Some(Ground {
                rule: "certificate",
                outcome: Outcome::Undecided,
                detail,
                source: "a doubtful reading is judged by the worst plausible one (practice)",
                marking: None,
                spans: vec![number.span],
                used: Vec::new(),
                next: Some(message!("next-compare-digits", number = &number.read)),
            })
        })
        .collect()
}

/// As [`judge`], with every reading held against the site's certificates, too.
pub fn judge_with(
    reading: &Reading,
    place: &Place,
    certificates: Option<&CertificateList>,
) -> Verdict {
    let verdicts: Vec<Verdict> = reading
        .readings
        .iter()
        .map(|r| judge_reading(&r.plate, &r.suspicions, place, certificates))
        .collect();
    let Some(first) = verdicts.first() else {
        return judge_reading(&Plate::default(), &[], place, certificates);
    };
    let mut verdict = first.clone();
    let outcomes: Vec<Outcome> = verdicts.iter().map(|v| v.outcome).collect();
    let plausible = |i: &usize| *i == 0 || reading.readings[*i].weight >= PLAUSIBLE;
    let best = reading.best();

    let mut worse: Vec<usize> = (1..verdicts.len())
        .filter(plausible)
        .filter(|&i| outcomes[i] < first.outcome)
        .collect();
    worse.sort_by(|&a, &b| {
        outcomes[a].cmp(&outcomes[b]).then(
            reading.readings[b]
                .weight
                .total_cmp(&reading.readings[a].weight),
        )
    });
    for &i in worse.iter().take(SPELLED_OUT) {
        let weighted = &reading.readings[i];
        let changes = weighted.changes.iter().map(|(span, text)| {
            message!(
                "reading-change",
                text = text,
                best = text_at(&best.plate, *span),
                line = span.line + 1
            )
        });
        let reason = verdicts[i].grounds.first().map(|g| g.detail.clone());
        verdict.grounds.push(Ground {
            rule: "reading",
            outcome: outcomes[i],
            detail: message!(
                "reading-worse",
                changes = Message::list(changes, Joint::And),
                percent = percent(weighted.weight),
                reason = reason.unwrap_or_else(|| outcomes[i].said())
            ),
            source: "a doubtful reading is judged by the worst plausible one (practice)",
            marking: None,
            spans: weighted.changes.iter().map(|(span, _)| *span).collect(),
            used: vec![format!("weight of the reading = {:.4}", weighted.weight)],
            next: Some(message!("next-compare-doubtful")),
        });
    }
    doubt(reading, &outcomes, &mut verdict);
    if let Some(list) = certificates {
        verdict.grounds.extend(doubtful_numbers(reading, list));
    }
    for hidden in &reading.covered {
        let outcomes: Vec<Outcome> = hidden
            .completions
            .iter()
            .map(|c| judge_reading(&c.plate, &c.suspicions, place, certificates).outcome)
            .collect();
        covered(hidden, &outcomes, first.outcome, &mut verdict);
    }
    verdict.grounds.sort_by_key(|g| g.outcome);
    verdict.outcome = worst(&verdict.grounds);
    verdict.next_steps = steps(&verdict.grounds);
    if verdict.outcome == Outcome::Unsuitable && !place.atmospheres().is_empty() {
        let wanted = crate::require(place).order_line;
        verdict
            .next_steps
            .push(message!("next-place-asks", wanted = wanted));
    }
    let total: f64 = reading.readings.iter().map(|r| r.weight).sum();
    let sure: f64 = reading
        .readings
        .iter()
        .zip(&outcomes)
        .filter(|(_, outcome)| **outcome >= verdict.outcome)
        .map(|(r, _)| r.weight)
        .sum();
    verdict.probability = if total > 0.0 {
        (sure / total).min(1.0)
    } else {
        1.0
    };
    verdict.decided_by = deciding(reading, &outcomes);
    verdict
}

/// What is covered is not absent: where what may stand there would change the outcome, nobody can
/// tell before it is seen. Where every piece that may stand there comes to the same, it does not
/// matter and a note says so.
fn covered(hidden: &Covered, outcomes: &[Outcome], read: Outcome, verdict: &mut Verdict) {
    if !outcomes.is_empty() && outcomes.iter().all(|outcome| *outcome == read) {
        verdict
            .notes
            .push(message!("note-same-outcome", doubt = &hidden.text));
        return;
    }
    verdict.grounds.push(Ground {
        rule: "reading",
        outcome: Outcome::Undecided,
        detail: hidden.text.clone(),
        source: "what is covered is illegible, not absent (practice)",
        marking: hidden.fields.first().map(|(marking, _)| *marking),
        spans: vec![hidden.span],
        used: vec![format!("pieces that may stand there = {}", outcomes.len())],
        next: Some(message!("next-read-field")),
    });
}

/// Caps a verdict that rests on a field nobody can be sure of, and says so where the doubt
/// does not matter.
fn doubt(reading: &Reading, outcomes: &[Outcome], verdict: &mut Verdict) {
    let same = reading
        .readings
        .iter()
        .zip(outcomes)
        .all(|(r, outcome)| r.weight < PLAUSIBLE || *outcome == outcomes[0]);
    for reason in &reading.review {
        if reason.critical {
            verdict.grounds.push(Ground {
                rule: "reading",
                outcome: Outcome::Undecided,
                detail: reason.text.clone(),
                source: "a field below its threshold decides nothing (practice)",
                marking: None,
                spans: reason.span.into_iter().collect(),
                used: Vec::new(),
                next: Some(message!("next-read-field")),
            });
            continue;
        }
        let rivals = reason.span.is_some_and(|span| {
            reading.readings.iter().any(|r| {
                r.weight >= PLAUSIBLE && r.changes.iter().any(|(change, _)| overlap(*change, span))
            })
        });
        if same && rivals {
            verdict
                .notes
                .push(message!("note-same-outcome", doubt = &reason.text));
        }
    }
}
