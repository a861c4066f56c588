//! Does the plate agree with its certificate?

use super::{Case, Rule, Scope};
use crate::certificates::{
    CertificateEntry, CertificateList, Difference, Found, against, differs_at,
};
use crate::marking::{Certificate, Suffix};
use crate::verdict::{Ground, Outcome, judge_plate};
use crate::{Plate, checks};

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
                    "no certificate number was read, so the plate could not be held against the \
                     list of certificates"
                        .to_owned(),
                )
                .next("Find the certificate or declaration of the item and compare the plate with it."),
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
                format!("{number} is printed too and is not in the list of certificates"),
                None,
            ),
            Found::None => (
                Outcome::Conditional,
                format!(
                    "{number} is not in the list of certificates: the plate was held against no \
                     certificate"
                ),
                Some(format!(
                    "Get certificate {number} and compare the plate with it."
                )),
            ),
            Found::Near(near) => {
                let others: Vec<String> = near
                    .iter()
                    .map(|entry| {
                        let (have, listed) = differs_at(number, entry.number());
                        let quoted = |text: &str| {
                            if text.is_empty() {
                                "nothing".to_owned()
                            } else {
                                format!("'{text}'")
                            }
                        };
                        format!(
                            "{} ({} on the plate, {} in the list)",
                            entry.number(),
                            quoted(&have),
                            quoted(&listed)
                        )
                    })
                    .collect();
                (
                    Outcome::Undecided,
                    format!(
                        "{number} is not in the list of certificates, but nearly: {}",
                        others.join(", ")
                    ),
                    Some(format!(
                        "Compare the certificate number with the plate, digit by digit; if it is \
                         {number}, get that certificate."
                    )),
                )
            }
            Found::OtherIssues(issues) => {
                let known: Vec<String> = issues.iter().map(|e| e.issue().to_string()).collect();
                (
                    Outcome::Undecided,
                    format!(
                        "the plate names Issue {} of {number}, the list has Issue {} only",
                        certificate.issue.unwrap_or(0),
                        known.join(", ")
                    ),
                    Some(format!(
                        "Get Issue {} of {number} and compare the plate with it.",
                        certificate.issue.unwrap_or(0)
                    )),
                )
            }
        };
        let mut ground = case
            .ground(self, outcome, detail)
            .at([certificate.number.span]);
        ground.next = next.map(Into::into);
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
        let span = certificate.number.span;
        if entry.plate().markings.is_empty() {
            grounds.push(
                case.ground(
                    self,
                    Outcome::Conditional,
                    format!(
                        "the list gives no marking for {entry}: the marking was not held against it"
                    ),
                )
                .at([span])
                .next(format!(
                    "Compare the marking with certificate {}.",
                    entry.number()
                )),
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
                    format!("what {entry} certifies does not suit the place: {reason}"),
                )
                .at([span]),
            );
        }
        if later {
            grounds.push(
                case.ground(
                    self,
                    Outcome::Conditional,
                    format!(
                        "the plate names Issue {}, and the list has a later issue of {}",
                        entry.issue(),
                        entry.number()
                    ),
                )
                .at([span])
                .next("See what the later issue changed and whether it concerns this item."),
            );
        }
        if differences.is_empty() && !entry.plate().markings.is_empty() {
            let mut detail = format!("the plate agrees with {entry}");
            let neighbours: Vec<&str> = list
                .near(&entry.key)
                .iter()
                .map(|near| near.number())
                .collect();
            if !neighbours.is_empty() {
                detail.push_str("; the list also has ");
                detail.push_str(&neighbours.join(", "));
                detail.push_str(", so compare the number digit by digit");
            }
            grounds.push(case.ground(self, Outcome::Suitable, detail).at([span]));
        }
        for ground in &mut grounds {
            ground.used.push(format!("certificate = {entry}"));
        }
        grounds
    }

    fn difference(&self, case: &Case<'_>, entry: &CertificateEntry, d: &Difference) -> Ground {
        let claim = if d.outcome == Outcome::Undecided {
            "it is the wrong item, a wrong plate or a changed item until that is explained"
        } else {
            "the plate claims no more than was certified, but the difference has to be explained"
        };
        case.ground(
            self,
            d.outcome,
            format!(
                "{}: the plate has {}, {entry} has {}; {claim}",
                d.what, d.plate, d.certificate
            ),
        )
        .at(d.spans.iter().copied())
        .next(format!(
            "Compare the {} on the plate with certificate {}.",
            d.what,
            entry.number()
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
                        format!("{entry} carries X, and the list does not quote its conditions"),
                    )
                    .at([certificate.number.span])
                    .next(format!(
                        "Read the specific conditions of use in certificate {}.",
                        entry.number()
                    ))
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
                    format!("condition {} of {count} of {entry}: \"{condition}\"", i + 1),
                )
                .at([certificate.number.span])
                .using("certificate", entry)
                .next(format!("See that this is met: \"{condition}\""))
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
        let names: Vec<String> = entries.iter().map(|(_, e, _)| e.to_string()).collect();
        case.plate
            .markings
            .iter()
            .filter(|m| m.atmospheres().iter().any(|a| !certified(*a)))
            .map(|m| {
                case.ground(
                    self,
                    Outcome::Undecided,
                    format!(
                        "'{}' is for an atmosphere that {} does not speak of",
                        m.text,
                        names.join(" and ")
                    ),
                )
                .at(m.spans.iter().copied())
                .next("Find the certificate that this marking rests on.")
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
) -> Option<String> {
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
    (worst.outcome == Outcome::Unsuitable).then_some(worst.detail.to_string())
}
