//! Numbers and type names in comparable form.

/// Letters and digits alone, in capitals. Between two digits a sign or blank stays, as a dot,
/// for `12.3` and `1.23` are two numbers.
///
/// ```text
/// ABC 19 ATEX 1234 → ABC19ATEX1234     IECEx ABC 19.0042 → IECEXABC19.0042
/// ```
pub(super) fn key(text: &str) -> String {
    folded(text, |_| false)
}

/// As [`key`], with the signs of a pattern kept: `*` stands for any characters, `?` for one.
pub(super) fn pattern(text: &str) -> String {
    folded(text, |c| matches!(c, '*' | '?'))
}

fn folded(text: &str, kept: impl Fn(char) -> bool) -> String {
    let mut out = String::with_capacity(text.len());
    let mut parted = false;
    for c in text.chars().flat_map(char::to_uppercase) {
        if c.is_alphanumeric() || kept(c) {
            if parted && c.is_ascii_digit() && out.ends_with(|l: char| l.is_ascii_digit()) {
                out.push('.');
            }
            parted = false;
            out.push(c);
        } else {
            parted = true;
        }
    }
    out
}

/// True if `text` is of the form of `pattern`, both folded. Linear in both but for `*`, of
/// which each is tried once at every character.
pub(super) fn fits(pattern: &str, text: &str) -> bool {
    let pattern: Vec<char> = pattern.chars().collect();
    let text: Vec<char> = text.chars().collect();
    let (mut p, mut t) = (0, 0);
    let mut star: Option<(usize, usize)> = None;
    while t < text.len() {
        match pattern.get(p) {
            Some('*') => {
                star = Some((p, t));
                p += 1;
            }
            Some(&c) if c == '?' || c == text[t] => {
                p += 1;
                t += 1;
            }
            _ => match star {
                // The last `*` takes one character more.
                Some((at, taken)) => {
                    star = Some((at, taken + 1));
                    p = at + 1;
                    t = taken + 1;
                }
                None => return false,
            },
        }
    }
    pattern[p..].iter().all(|c| *c == '*')
}

/// Where two numbers differ: what each has there, ends that they share left out.
pub(crate) fn differs_at(a: &str, b: &str) -> (String, String) {
    let (a, b): (Vec<char>, Vec<char>) = (key(a).chars().collect(), key(b).chars().collect());
    let start = a.iter().zip(&b).take_while(|(x, y)| x == y).count();
    let (rest_a, rest_b) = (&a[start..], &b[start..]);
    let end = rest_a
        .iter()
        .rev()
        .zip(rest_b.iter().rev())
        .take_while(|(x, y)| x == y)
        .count();
    let middle = |rest: &[char]| rest[..rest.len() - end].iter().collect::<String>();
    (middle(rest_a), middle(rest_b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shape_does_not_count_and_digits_do() {
        assert_eq!(key("ABC 19 ATEX 1234"), key("abc19atex1234"));
        assert_eq!(key("IECEx ABC 19.0042"), key("IECEX ABC19-0042"));
        assert_ne!(key("ABC 12.34"), key("ABC 1.234"));
        assert_ne!(key("ABC 19 ATEX 1234"), key("ABC 19 ATEX 1243"));
    }

    #[test]
    fn patterns_of_types() {
        for (form, text, expected) in [
            ("BX 132*", "BX 132M-4", true),
            ("BX 132?-4", "bx132m4", true),
            ("BX 132M-4", "BX 132M-4", true),
            ("BX 132M-4", "BX 132M-6", false),
            ("BX *-4", "BX 132M-6", false),
            ("*", "anything", true),
            ("BX", "BX 1", false),
        ] {
            assert_eq!(fits(&pattern(form), &key(text)), expected, "{form} {text}");
        }
    }

    #[test]
    fn the_characters_that_differ_are_named() {
        let differ = |a, b| differs_at(a, b);
        assert_eq!(
            differ("ABC 19 ATEX 1234", "ABC 19 ATEX 1284"),
            ("3".to_owned(), "8".to_owned())
        );
        assert_eq!(
            differ("ABC 19 ATEX 123", "ABC 19 ATEX 1233"),
            (String::new(), "3".to_owned())
        );
    }
}
