//! `vetplate decode`: typed markings.

use super::{Streams, check_fail_on, input, place, put};
use crate::cli::DecodeArgs;
use crate::failure::{Ending, Failure};
use crate::pipeline::read_text;
use crate::typed::{split, usable};

/// Largest standard input in bytes: a list of a hundred thousand markings.
const MAX_INPUT_BYTES: usize = 16 << 20;
/// Words that stand alone only where the quotes around a marking were forgotten.
const FIRST_WORDS: [&str; 9] = ["Ex", "EEx", "AEx", "[Ex", "II", "I", "CE", "Class", "CL"];

/// One plate of the input: its name for messages, its lines.
struct Typed {
    name: String,
    lines: Vec<String>,
}

/// Decodes every text and writes an answer for each.
///
/// # Errors
///
/// [`Failure`] for bad usage or where the answer cannot be written; a text that cannot be
/// used is reported and the next one read.
pub fn decode(args: &DecodeArgs, streams: &mut Streams<'_>) -> Result<Ending, Failure> {
    let place = place::judged(&args.place, &args.certificates)?;
    check_fail_on(&args.output, place.is_some())?;
    check_quotes(&args.texts)?;
    let mut ending = Ending::Answered;
    let plates = match plates(args, streams) {
        Ok(plates) => plates,
        Err(message) => {
            streams.complain("-", &message);
            return Ok(Ending::InputUnusable);
        }
    };
    let several = plates.len() > 1;
    for (index, typed) in plates.iter().enumerate() {
        if let Err(message) = usable(&typed.lines) {
            streams.complain(&typed.name, &message);
            ending = ending.worse(Ending::InputUnusable);
            continue;
        }
        let answer = read_text(&typed.lines, place.as_ref(), streams.language);
        let name = several.then_some(typed.name.as_str());
        ending = ending.worse(put(streams, &args.output, &answer, name, index == 0)?);
    }
    Ok(ending)
}

fn check_quotes(texts: &[String]) -> Result<(), Failure> {
    let forgotten = texts.len() > 1 && FIRST_WORDS.contains(&texts[0].trim());
    if forgotten {
        return Err(Failure::Usage(format!(
            "this looks like one marking without quotes; write vetplate decode '{}'",
            texts.join(" ")
        )));
    }
    Ok(())
}

fn plates(args: &DecodeArgs, streams: &mut Streams<'_>) -> Result<Vec<Typed>, String> {
    let mut plates = Vec::new();
    let mut number = 0;
    for text in &args.texts {
        if text == "-" {
            let text = input::text(streams.input, MAX_INPUT_BYTES)?;
            let lines: Vec<&str> = text.lines().filter(|l| !l.trim().is_empty()).collect();
            if lines.is_empty() {
                return Err("standard input is empty; write one marking a line".to_owned());
            }
            for line in lines {
                number += 1;
                plates.push(Typed {
                    name: format!("input {number}"),
                    lines: split(line),
                });
            }
        } else {
            number += 1;
            plates.push(Typed {
                name: format!("input {number}"),
                lines: split(text),
            });
        }
    }
    if args.plate {
        let lines = plates.into_iter().flat_map(|p| p.lines).collect();
        plates = vec![Typed {
            name: "the plate".to_owned(),
            lines,
        }];
    }
    Ok(plates)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forgotten_quotes_are_noticed() {
        let words = |text: &str| text.split(' ').map(ToOwned::to_owned).collect::<Vec<_>>();
        let failure = check_quotes(&words("Ex db IIC T4 Gb")).unwrap_err();
        assert!(
            failure
                .to_string()
                .ends_with("vetplate decode 'Ex db IIC T4 Gb'")
        );
        check_quotes(&words("ExdbIICT4Gb ExebIICT4Gb")).unwrap();
        check_quotes(&words("Ex")).unwrap();
    }
}
