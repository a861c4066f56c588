//! Does the plate agree with its certificate?

use super::{Case, Rule, Scope};
use crate::certificates::{
    CertificateEntry, CertificateList, Difference, Found, against, differs_at,
};
use crate::marking::{Certificate, Suffix};
use crate::verdict::{Ground, Outcome, judge_plate};
use crate::{Joint, Message, Plate, checks, message};

/// The plate against the site's list of certificates: every difference, and the conditions of
/// use in their own words. Without a list the question does not arise.
pub(super) struct AgainstCertificate;

impl Rule for AgainstCertificate {
    fn id(&self) -> &'static str {
        "certificate"
    }
    fn question(&self) -> &'static str {
        "Does the plate agree with its certificate?"
    }
    fn source(&self) -> &'static str {
        "IEC 60079-0 clause 29, IEC 60079-17: installed item against its documents (practice)"
    }
    fn scope(&self) -> Scope {
        Scope::Plate
    }

    fn check(&self, case: &Case<'_>) -> Vec<Ground> {
        let Some(list) = case.certificates else {
            return Vec::new();
        };
        let printed = &case.plate.certificates;
        if case.plate.markings.is_empty() {
            return Vec::new();
        }
        if printed.is_empty() {
            return vec![
                case.ground(
                    self,
                    Outcome::Conditional,
                    message!("certificate-no-number"),
                )
                .next(message!("next-find-certificate")),
            ];
        }
        let found: Vec<(&Certificate, Found<'_>)> =
            printed.iter().map(|c| (c, list.find(c))).collect();
        let entries: Vec<(&Certificate, &CertificateEntry, bool)> = found
            .iter()
            .filter_map(|(c, f)| match f {
                Found::Entry(entry, later) => Some((*c, *entry, *later)),
                Found::None | Found::Near(_) | Found::OtherIssues(_) => None,
            })
            .collect();
        let mut grounds = Vec::new();
        for (certificate, found) in &found {
            grounds.extend(self.missing(case, certificate, found, !entries.is_empty()));
        }
        for (certificate, entry, later) in &entries {
            grounds.extend(self.compared(case, list, (certificate, entry, *later), &entries));
            grounds.extend(self.conditions(case, certificate, entry));
        }
        grounds.extend(self.not_certified(case, &entries));
        grounds
    }
}

impl AgainstCertificate {
    /// A number without an entry, with a near one, or with other issues alone.
    fn missing(
        &self,
        case: &Case<'_>,
        certificate: &Certificate,
        found: &Found<'_>,
        another_agrees: bool,
    ) -> Option<Ground> {
        let number = &certificate.number.value;
        let (outcome, detail, next) = match found {
            Found::Entry(..) => return None,
            // ATEX and IECEx numbers stand side by side; one of them is enough.
            Found::None | Found::Near(_) if another_agrees => (
                Outcome::Suitable,
                message!("certificate-printed-too", number = number),
                None,
            ),
            Found::None => (
                Outcome::Conditional,
                message!("certificate-not-listed", number = number),
                Some(message!("next-get-certificate", number = number)),
            ),
            Found::Near(near) => {
                let others = near.iter().map(|entry| {
                    let (have, listed) = differs_at(number, entry.number());
                    let quoted = |text: &str| {
                        if text.is_empty() {
                            message!("certificate-nothing")
                        } else {
                            Message::verbatim(format!("'{text}'"))
                        }
                    };
                    message!(
                        "certificate-near-one",
                        number = entry.number(),
                        have = quoted(&have),
                        listed = quoted(&listed)
                    )
                });
                (
                    Outcome::Undecided,
                    message!(
                        "certificate-near",
                        number = number,
                        others = Message::list(others, Joint::Comma)
                    ),
                    Some(message!("next-compare-digits", number = number)),
                )
            }
            Found::OtherIssues(issues) => {
                let known: Vec<String> = issues.iter().map(|e| e.issue().to_string()).collect();
                (
                    Outcome::Undecided,
                    message!(
                        "certificate-other-issues",
                        issue = certificate.issue.unwrap_or(0),
                        number = number,
                        listed = known.join(", ")
                    ),
                    Some(message!(
                        "next-get-issue",
                        issue = certificate.issue.unwrap_or(0),
                        number = number
                    )),
                )
            }
        };
        let mut ground = case
            .ground(self, outcome, detail)
            .at(certificate.spans.iter().copied());
        ground.next = next;
        Some(ground)
    }

    fn compared(
        &self,
        case: &Case<'_>,
        list: &CertificateList,
        (certificate, entry, later): (&Certificate, &CertificateEntry, bool),
        entries: &[(&Certificate, &CertificateEntry, bool)],
    ) -> Vec<Ground> {
        let mut grounds = Vec::new();
        let spans = || certificate.spans.iter().copied();
        if entry.plate().markings.is_empty() {
            grounds.push(
                case.ground(
                    self,
                    Outcome::Conditional,
                    message!("certificate-no-marking", entry = entry.to_string()),
                )
                .at(spans())
                .next(message!("next-compare-marking", number = entry.number())),
            );
        }
        let differences = against(case.plate, entry);
        for difference in &differences {
            grounds.push(self.difference(case, entry, difference));
        }
        let claims_more = differences.iter().any(|d| d.outcome == Outcome::Undecided);
        if claims_more && let Some(reason) = fails_here(case, entry, entries) {
            grounds.push(
                case.ground(
                    self,
                    Outcome::Unsuitable,
                    message!(
                        "certificate-fails-here",
                        entry = entry.to_string(),
                        reason = reason
                    ),
                )
                .at(spans()),
            );
        }
        if later {
            grounds.push(
                case.ground(
                    self,
                    Outcome::Conditional,
                    message!(
                        "certificate-later-issue",
                        issue = entry.issue(),
                        number = entry.number()
                    ),
                )
                .at(spans())
                .next(message!("next-later-issue")),
            );
        }
        if differences.is_empty() && !entry.plate().markings.is_empty() {
            let neighbours: Vec<&str> = list
                .near(&entry.key)
                .iter()
                .map(|near| near.number())
                .collect();
            let detail = if neighbours.is_empty() {
                message!("certificate-agrees", entry = entry.to_string())
            } else {
                message!(
                    "certificate-agrees-beside",
                    entry = entry.to_string(),
                    others = neighbours.join(", ")
                )
            };
            grounds.push(case.ground(self, Outcome::Suitable, detail).at(spans()));
        }
        for ground in &mut grounds {
            ground.used.push(format!("certificate = {entry}"));
        }
        grounds
    }

    fn difference(&self, case: &Case<'_>, entry: &CertificateEntry, d: &Difference) -> Ground {
        let claim = if d.outcome == Outcome::Undecided {
            message!("certificate-claims-other")
        } else {
            message!("certificate-claims-less")
        };
        case.ground(
            self,
            d.outcome,
            message!(
                "certificate-difference",
                what = &d.what,
                plate = &d.plate,
                entry = entry.to_string(),
                certificate = &d.certificate,
                claim = claim
            ),
        )
        .at(d.spans.iter().copied())
        .next(message!(
            "next-compare-with-certificate",
            what = &d.what,
            number = entry.number()
        ))
    }

    /// The specific conditions of use in their own words. That X is printed is the matter of
    /// another rule.
    fn conditions(
        &self,
        case: &Case<'_>,
        certificate: &Certificate,
        entry: &CertificateEntry,
    ) -> Vec<Ground> {
        if entry.conditions().is_empty() {
            let x = matches!(entry.suffix(), Suffix::X | Suffix::XAndU);
            return x
                .then(|| {
                    case.ground(
                        self,
                        Outcome::Conditional,
                        message!("certificate-x-unquoted", entry = entry.to_string()),
                    )
                    .at(certificate.spans.iter().copied())
                    .next(message!("next-read-conditions", number = entry.number()))
                })
                .into_iter()
                .collect();
        }
        let count = entry.conditions().len();
        entry
            .conditions()
            .iter()
            .enumerate()
            .map(|(i, condition)| {
                case.ground(
                    self,
                    Outcome::Conditional,
                    message!(
                        "certificate-condition",
                        index = i + 1,
                        count = count,
                        entry = entry.to_string(),
                        condition = condition
                    ),
                )
                .at(certificate.spans.iter().copied())
                .using("certificate", entry)
                .next(message!("next-meet-condition", condition = condition))
            })
            .collect()
    }

    /// Atmospheres that the plate claims and none of its listed certificates speaks of.
    fn not_certified(
        &self,
        case: &Case<'_>,
        entries: &[(&Certificate, &CertificateEntry, bool)],
    ) -> Vec<Ground> {
        let certified = |atmosphere| {
            entries
                .iter()
                .any(|(_, entry, _)| speaks_of(entry.plate(), atmosphere))
        };
        let all_given = entries
            .iter()
            .all(|(_, entry, _)| !entry.plate().markings.is_empty());
        if entries.is_empty() || !all_given {
            return Vec::new();
        }
        let names = || entries.iter().map(|(_, entry, _)| Message::verbatim(entry));
        case.plate
            .markings
            .iter()
            .filter(|m| m.atmospheres().iter().any(|a| !certified(*a)))
            .map(|m| {
                case.ground(
                    self,
                    Outcome::Undecided,
                    message!(
                        "certificate-other-atmosphere",
                        marking = &m.text,
                        entries = Message::list(names(), Joint::And)
                    ),
                )
                .at(m.spans.iter().copied())
                .next(message!("next-find-other-certificate"))
            })
            .collect()
    }
}

fn speaks_of(plate: &Plate, atmosphere: crate::marking::Atmosphere) -> bool {
    plate.markings.iter().any(|m| m.speaks_of(atmosphere))
}

/// Why the certified marking fails at the place, where it does. A plate that contradicts its
/// certificate is judged by the weaker of both.
fn fails_here(
    case: &Case<'_>,
    entry: &CertificateEntry,
    entries: &[(&Certificate, &CertificateEntry, bool)],
) -> Option<Message> {
    let certified = entry.plate();
    // Gas and dust may have certificates of their own; one of them cannot fail for both.
    let of_another = case.place.atmospheres().into_iter().any(|a| {
        !speaks_of(certified, a) && entries.iter().any(|(_, e, _)| speaks_of(e.plate(), a))
    });
    if of_another || certified.markings.is_empty() {
        return None;
    }
    let verdict = judge_plate(certified, &checks::run(certified), case.place);
    let worst = verdict.grounds.into_iter().next()?;
    (worst.outcome == Outcome::Unsuitable).then_some(worst.detail)
}
