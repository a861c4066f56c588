//! The characters of several recognisers as one numbering.

use std::sync::Arc;

/// Number of the blank in every numbering: no character.
pub(crate) const BLANK: usize = 0;

/// All characters that some recogniser knows; number `i + 1` is character `i`, 0 the
/// blank.
#[derive(Debug, Clone, Default)]
pub(crate) struct Alphabet {
    chars: Vec<char>,
}

impl Alphabet {
    /// The characters of all `lists`, each once.
    pub(crate) fn of<'a>(lists: impl IntoIterator<Item = &'a [char]>) -> Arc<Self> {
        let mut chars = Vec::new();
        for ch in lists.into_iter().flatten() {
            if !chars.contains(ch) {
                chars.push(*ch);
            }
        }
        Arc::new(Self { chars })
    }

    /// The character of a number other than the blank's.
    pub(crate) fn char(&self, number: usize) -> char {
        self.chars[number - 1]
    }

    fn len(&self) -> usize {
        self.chars.len()
    }

    fn number(&self, ch: char) -> Option<usize> {
        self.chars.iter().position(|c| *c == ch).map(|i| i + 1)
    }
}

/// How the classes of one recogniser are numbered in the common alphabet.
#[derive(Debug, Clone)]
pub(crate) struct Classes {
    /// Number of each class; class 0 is the blank.
    numbers: Vec<usize>,
    /// Class of each number; `None`: this recogniser does not know the character.
    of_numbers: Vec<Option<usize>>,
}

impl Classes {
    /// Class `i + 1` stands for `own[i]`, which `all` holds.
    pub(crate) fn new(own: &[char], all: &Alphabet) -> Arc<Self> {
        let mut numbers = vec![BLANK];
        numbers.extend(own.iter().filter_map(|c| all.number(*c)));
        let mut of_numbers = vec![None; all.len() + 1];
        for (class, &number) in numbers.iter().enumerate() {
            of_numbers[number] = Some(class);
        }
        Arc::new(Self {
            numbers,
            of_numbers,
        })
    }

    /// Classes, the blank among them.
    pub(crate) fn count(&self) -> usize {
        self.numbers.len()
    }

    pub(crate) fn number(&self, class: usize) -> usize {
        self.numbers[class]
    }

    pub(crate) fn class(&self, number: usize) -> Option<usize> {
        self.of_numbers[number]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_recogniser_finds_its_classes_in_the_common_numbering() {
        let (one, two) = (['A', 'B', '⬢'], ['B', '℃', 'A']);
        let all = Alphabet::of([&one[..], &two[..]]);
        let classes = Classes::new(&two, &all);
        assert_eq!(classes.count(), 4);
        for class in 1..4 {
            let number = classes.number(class);
            assert_eq!(all.char(number), two[class - 1]);
            assert_eq!(classes.class(number), Some(class));
        }
        assert_eq!(classes.class(3), None);
        assert_eq!(classes.class(BLANK), Some(0));
    }
}
