//! Inputs made from others: the same for the same seed.

/// Numbers that look random and are not: `SplitMix64` (Steele, Lea, Flood 2014).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `end`; 0 where `end` is.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        if end == 0 {
            return 0;
        }
        (self.next() % end as u64) as usize
    }

    fn of<'a, T>(&mut self, all: &'a [T]) -> Option<&'a T> {
        all.get(self.below(all.len()))
    }
}

/// Bytes at which code that reads lengths and text errs.
const BYTES: [u8; 16] = [
    0, 1, 0x0a, 0x0d, 0x20, b'"', b',', b'-', b'0', b'9', b'{', 0x7f, 0x80, 0xc3, 0xfe, 0xff,
];
/// Numbers at which lengths overflow.
const NUMBERS: [u32; 10] = [
    0,
    1,
    0x7f,
    0xff,
    0x7fff,
    0xffff,
    0x1_0000,
    0x7fff_ffff,
    0x8000_0000,
    u32::MAX,
];
/// Longest input that is made.
const LONGEST: usize = 256 << 10;

/// Another input, made from one or two of `corpus` with words of `words`.
pub(crate) fn mutated(dice: &mut Dice, corpus: &[Vec<u8>], words: &[&str]) -> Vec<u8> {
    let mut bytes = dice.of(corpus).cloned().unwrap_or_default();
    for _ in 0..1 << dice.below(5) {
        once(dice, &mut bytes, corpus, words);
    }
    bytes.truncate(LONGEST);
    bytes
}

fn once(dice: &mut Dice, bytes: &mut Vec<u8>, corpus: &[Vec<u8>], words: &[&str]) {
    let at = dice.below(bytes.len() + 1);
    let end = (at + 1 + dice.below(16)).min(bytes.len());
    match dice.below(11) {
        0 | 1 => {
            if let Some(byte) = bytes.get_mut(at) {
                *byte ^= 1 << dice.below(8);
            }
        }
        2 => {
            if let Some(byte) = bytes.get_mut(at) {
                *byte = dice.of(&BYTES).copied().unwrap_or_default();
            }
        }
        3 => bytes.insert(at, dice.of(&BYTES).copied().unwrap_or_default()),
        4 => drop(bytes.drain(at..end)),
        5 => {
            let piece = bytes[at..end].to_vec();
            let times = 1 + dice.below(8);
            bytes.splice(at..at, piece.repeat(times));
        }
        6 => bytes.truncate(at),
        7 => {
            let number = dice.of(&NUMBERS).copied().unwrap_or_default();
            let (big, little) = (number.to_be_bytes(), number.to_le_bytes());
            let whole = if dice.below(2) == 0 { big } else { little };
            for (byte, new) in bytes[at..].iter_mut().zip(&whole[..=dice.below(4)]) {
                *byte = *new;
            }
        }
        8 | 9 => {
            let word = dice.of(words).copied().unwrap_or_default();
            let cut = if dice.below(2) == 0 { at } else { end.max(at) };
            bytes.splice(at..cut, word.bytes());
        }
        _ => {
            let other = dice.of(corpus).map(Vec::as_slice).unwrap_or_default();
            let from = dice.below(other.len() + 1);
            let to = from + dice.below(other.len() - from + 1);
            bytes.splice(at..end.max(at), other[from..to].iter().copied());
        }
    }
}
