//! A look at a PDF before it is opened: whoever opens one unpacks what it names, without a limit.
//!
//! Every stream of the file is found as the library finds it, and what it would unpack to is counted
//! without being kept. What the library could read in another way than this look does is refused:
//! filters that are given by reference, filters on top of each other, broken streams.

use super::one_or_many;
use flate2::read::DeflateDecoder;
use hayro_syntax::Filter;
use hayro_syntax::object::dict::keys::{
    BITS_PER_COMPONENT, COLORS, COLUMNS, DECODE_PARMS, DP, F, FILTER, ROWS, SUBTYPE,
};
use hayro_syntax::object::{MaybeRef, Name, Object, Stream};
use hayro_syntax::reader::{Reader, ReaderContext, ReaderExt};
use std::collections::HashSet;
use std::io::Read;
use std::time::{Duration, Instant};

pub(super) const ENCRYPTED: &str =
    "the PDF is encrypted; open it with its password and print it to a new PDF";

/// A picture may unpack to so many bytes: 100 megapixels in four colours.
const PICTURE: u64 = 400 << 20;
/// Everything else may unpack to so many bytes, all together.
const REST: u64 = 256 << 20;
/// Streams of one file may overlap so much.
const OVERLAP: u64 = 4;
/// The longest line of a stream, and the most lines.
const WIDEST: i64 = 65_535;
/// How long the look may take.
const PATIENCE: Duration = Duration::from_secs(20);

/// Refuses a PDF that is encrypted, or that would unpack to more than it may.
///
/// # Errors
///
/// A sentence with the way out.
pub(super) fn check(bytes: &[u8]) -> Result<(), String> {
    if names(bytes).any(|name| name == b"Encrypt") {
        return Err(ENCRYPTED.to_owned());
    }
    let begun = Instant::now();
    let mut starts = HashSet::new();
    let (mut rest, mut lengths) = (0, 0u64);
    for at in all(bytes, b"obj") {
        let Some((stream, start)) = stream_at(bytes, at + 3) else {
            continue;
        };
        starts.insert(start);
        lengths += stream.raw_data().len() as u64;
        if lengths > OVERLAP.saturating_mul(bytes.len() as u64) || begun.elapsed() > PATIENCE {
            return Err(strange("its streams lie one over the other"));
        }
        let is_picture =
            stream.dict().get::<Name<'_>>(SUBTYPE).as_deref() == Some(b"Image".as_slice());
        let most = if is_picture { PICTURE } else { REST - rest };
        let unpacked = unpacked(&stream, &bytes[start..], most)?;
        if !is_picture {
            rest += unpacked;
        }
    }
    // Each stream that a search for streams meets must have been looked at above.
    for at in all(bytes, b"stream") {
        let follows_a_dictionary = ends_with_dictionary(&bytes[..at]);
        if let Some(start) = data_start(bytes, at + 6)
            && follows_a_dictionary
            && !starts.contains(&start)
        {
            return Err(strange("a stream of it belongs to no object"));
        }
    }
    Ok(())
}

fn strange(what: &str) -> String {
    format!("the PDF is built in a way that is not read ({what}); print it to a new PDF")
}

/// The stream whose object begins behind `from`, and where its data begins.
fn stream_at(bytes: &[u8], from: usize) -> Option<(Stream<'_>, usize)> {
    let mut reader = Reader::new(bytes.get(from..)?);
    let context = ReaderContext::dummy();
    reader.skip_white_spaces_and_comments();
    let stream = reader.read_with_context::<Stream<'_>>(&context)?;
    let std::borrow::Cow::Borrowed(data) = stream.raw_data() else {
        return None;
    };
    // The data is a part of `bytes`, so the difference is its place in them.
    let start = (data.as_ptr() as usize).checked_sub(bytes.as_ptr() as usize)?;
    (start <= bytes.len()).then_some((stream, start))
}

/// How many bytes a stream unpacks to; `data` goes on to the end of the file, since packed data tells
/// by itself where it ends.
fn unpacked(stream: &Stream<'_>, data: &[u8], most: u64) -> Result<u64, String> {
    let given = one_or_many(stream.dict(), [F, FILTER]);
    if given.iter().any(|one| matches!(one, MaybeRef::Ref(_))) {
        return Err(strange("a filter is given by reference"));
    }
    has_plain_numbers(stream)?;
    let filters = stream.filters();
    let flate = filters
        .iter()
        .filter(|f| **f == Filter::FlateDecode)
        .count();
    let other = |wanted: Filter| filters.contains(&wanted);
    if other(Filter::LzwDecode) || other(Filter::RunLengthDecode) || other(Filter::Crypt) {
        return Err(strange("it is packed as LZW or in runs"));
    }
    match flate {
        0 => Ok(stream.raw_data().len() as u64),
        // Only behind text that stands for bytes, which is longer than the bytes.
        1 if filters[0] == Filter::FlateDecode => {
            let has_head = data.len() >= 2
                && data[0] & 0x0f == 8
                && (u16::from(data[0]) << 8 | u16::from(data[1])) % 31 == 0
                && data[1] & 0x20 == 0;
            let data = if has_head { &data[2..] } else { data };
            let mut counted = DeflateDecoder::new(data).take(most + 1);
            let length = match std::io::copy(&mut counted, &mut std::io::sink()) {
                Ok(length) => length,
                Err(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => 0,
                Err(_) => return Err(strange("a stream of it is damaged")),
            };
            if length > most {
                return Err(format!(
                    "the PDF unpacks to more than {} MiB, which is out of all proportion; print it \
                     to a new PDF if you trust it",
                    most >> 20
                ));
            }
            Ok(length)
        }
        _ => Err(strange("a stream is packed more than once")),
    }
}

/// Refuses a stream whose lines would be longer than any picture is wide.
fn has_plain_numbers(stream: &Stream<'_>) -> Result<(), String> {
    for one in one_or_many(stream.dict(), [DP, DECODE_PARMS]) {
        let dict = match one {
            MaybeRef::NotRef(Object::Dict(dict)) => dict,
            MaybeRef::NotRef(_) => continue,
            MaybeRef::Ref(_) => {
                return Err(strange("how a stream is packed is given by reference"));
            }
        };
        for key in [COLUMNS, COLORS, BITS_PER_COMPONENT, ROWS] {
            match dict.get_raw::<Object<'_>>(key) {
                None | Some(MaybeRef::NotRef(Object::Null(_))) => {}
                Some(MaybeRef::NotRef(Object::Number(number)))
                    if (0..=WIDEST).contains(&number.as_i64()) => {}
                Some(_) => return Err(strange("a line of a stream is longer than any picture's")),
            }
        }
    }
    Ok(())
}

/// Where a word stands, wherever in the file.
fn all<'a>(bytes: &'a [u8], word: &'a [u8]) -> impl Iterator<Item = usize> + 'a {
    let first = word[0];
    let mut at = 0;
    std::iter::from_fn(move || {
        loop {
            let next = bytes.get(at..)?.iter().position(|b| *b == first)?;
            let found = at + next;
            at = found + 1;
            if bytes[found..].starts_with(word) {
                return Some(found);
            }
        }
    })
}

/// Where the data of a stream begins, behind the word and the end of its line.
fn data_start(bytes: &[u8], at: usize) -> Option<usize> {
    match bytes.get(at..)? {
        [b'\n', ..] => Some(at + 1),
        [b'\r', b'\n', ..] => Some(at + 2),
        [b'\r', ..] => Some(at + 1),
        _ => None,
    }
}

/// True where a dictionary ends here, blanks and comments apart.
fn ends_with_dictionary(mut before: &[u8]) -> bool {
    loop {
        before = before.trim_ascii_end();
        let line = before.iter().rposition(|b| matches!(b, b'\n' | b'\r'));
        let line = line.map_or(0, |at| at + 1);
        match before[line..].iter().position(|b| *b == b'%') {
            Some(comment) => before = &before[..line + comment],
            None => return before.ends_with(b">>"),
        }
    }
}

/// Every name of the file, with `#xx` as the byte that it stands for; short ones alone.
fn names(bytes: &[u8]) -> impl Iterator<Item = Vec<u8>> + '_ {
    all(bytes, b"/").map(|at| {
        let mut name = Vec::new();
        let mut rest = &bytes[at + 1..];
        while let [byte, tail @ ..] = rest
            && name.len() < 16
            && !byte.is_ascii_whitespace()
            && !b"\0()<>[]{}/%".contains(byte)
        {
            let digits = tail.get(..2).and_then(|two| std::str::from_utf8(two).ok());
            let escaped = digits.and_then(|two| u8::from_str_radix(two, 16).ok());
            if let (b'#', Some(value)) = (byte, escaped) {
                name.push(value);
                rest = &tail[2..];
            } else {
                name.push(*byte);
                rest = tail;
            }
        }
        name
    })
}
