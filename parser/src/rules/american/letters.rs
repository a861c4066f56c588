//! NEC group letters against IEC groups. The limits differ, so a letter alone converts with
//! doubt; a substance is converted by its own rows.

use super::super::Case;
use super::super::covers::{Cover, covers, gas_group, is_hydrogen};
use super::{NorthAmerica, letters, shown};
use crate::marking::{Group, Marking};
use crate::message;
use crate::place::NamedSubstance;
use crate::tables::NEC_LETTERS;
use crate::verdict::{Ground, Outcome};

impl NorthAmerica {
    /// IEC group of the marking against the NEC letter of the place: by substance where it is
    /// named, else by the limits of the letter, which reach into the next IEC group.
    pub(super) fn iec_group_for_letters(&self, case: &Case<'_>, marking: &Marking) -> Vec<Ground> {
        let table: Vec<Option<&Group>> = case
            .place
            .gases
            .iter()
            .map(|g| g.gas().and_then(|s| s.group.as_ref()).map(|f| &f.group))
            .collect();
        if !table.is_empty() && table.iter().all(Option::is_some) {
            return table
                .into_iter()
                .flatten()
                .zip(&case.place.gases)
                .map(|(group, gas)| {
                    let (outcome, words) = match covers(case, marking, group) {
                        Cover::Yes(words) => (Outcome::Suitable, words),
                        Cover::No(words) => (Outcome::Unsuitable, words),
                        Cover::Unknown(words) => (Outcome::Undecided, words),
                    };
                    self.say(
                        case,
                        outcome,
                        message!(
                            "american-cover-in-table",
                            cover = words,
                            gas = &gas.name,
                            group = group
                        ),
                    )
                })
                .collect();
        }
        let Some(need) = letters(case.place.gas_group.as_ref()) else {
            return vec![
                self.say(case, Outcome::Undecided, message!("american-gas-not-given"))
                    .next(message!("next-name-gas-or-letter")),
            ];
        };
        need.iter()
            .map(|letter| {
                let row = NEC_LETTERS.iter().find(|row| row.letter == *letter);
                let (usual, certain) =
                    row.map_or((&Group::IIC, &Group::IIC), |row| (&row.usual, &row.every));
                let have = gas_group(marking).map_or(0, Group::rank);
                if have >= certain.rank() {
                    self.say(
                        case,
                        Outcome::Conditional,
                        message!("american-by-letter-alone", have = certain, letter = *letter),
                    )
                    .next(message!("next-name-gas-to-convert"))
                } else if have >= usual.rank() {
                    self.say(
                        case,
                        Outcome::Undecided,
                        message!("american-some-gases", letter = *letter, group = certain),
                    )
                    .next(message!("next-name-gas-to-convert"))
                } else if have == 0 {
                    self.say(
                        case,
                        Outcome::Undecided,
                        message!("american-no-group-for-letter"),
                    )
                } else {
                    self.say(
                        case,
                        Outcome::Unsuitable,
                        message!(
                            "american-letter-not-covered",
                            letter = *letter,
                            group = usual
                        ),
                    )
                }
            })
            .collect()
    }

    /// NEC letters of the marking against the IEC group of the place.
    pub(super) fn letters_for_iec_group(&self, case: &Case<'_>, marking: &Marking) -> Ground {
        let Some(have) = letters(marking.group.as_ref().map(|g| &g.value)) else {
            return self.say(case, Outcome::Undecided, message!("american-no-letters"));
        };
        let place = case.place;
        // The stricter of the user's group and that of the table.
        let mut needs: Vec<Group> = place.gas_group.iter().cloned().collect();
        let mut unknown = false;
        for gas in &place.gases {
            match gas.gas().and_then(|g| g.group.as_ref()) {
                Some(fact) => needs.push(fact.group.clone()),
                None => unknown = unknown || place.gas_group.is_none(),
            }
        }
        let Some(need) = needs
            .into_iter()
            .max_by_key(Group::rank)
            .filter(|g| g.rank() > 0 && !unknown)
        else {
            return self
                .say(case, Outcome::Undecided, message!("gas-group-not-given"))
                .next(message!("next-name-gas-or-group"));
        };
        let by_name: Option<Vec<char>> = if place.gases.is_empty() {
            None
        } else {
            place
                .gases
                .iter()
                .map(|g: &NamedSubstance| g.gas().and_then(|s| s.nec_group))
                .collect()
        };
        let only_hydrogen = !place.gases.is_empty() && place.gases.iter().all(is_hydrogen);
        let wanted: Vec<char> = match (by_name, &need) {
            (Some(letters), _) => letters,
            (None, Group::IIA) => vec!['D'],
            (None, Group::IIB) => vec!['C', 'D'],
            (None, Group::IIBPlusH2) => vec!['B', 'C', 'D'],
            _ if only_hydrogen => vec!['B'],
            _ => vec!['A', 'B', 'C'],
        };
        let missing: Vec<char> = wanted
            .iter()
            .copied()
            .filter(|l| !have.contains(l))
            .collect();
        if missing.is_empty() {
            self.say(
                case,
                Outcome::Conditional,
                message!("american-converted", letters = shown(&wanted), need = &need),
            )
            .next(message!("next-compare-nec-list"))
        } else if have.iter().any(|l| wanted.contains(l)) && need != Group::IIC {
            self.say(
                case,
                Outcome::Undecided,
                message!(
                    "american-letters-some-need",
                    missing = shown(&missing),
                    have = shown(&have),
                    group = &need
                ),
            )
        } else {
            self.say(
                case,
                Outcome::Unsuitable,
                message!(
                    "american-letters-not-among",
                    need = shown(&missing),
                    have = shown(&have)
                ),
            )
        }
    }
}
