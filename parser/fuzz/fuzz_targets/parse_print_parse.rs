//! Any text parses; each span lies in its line; what is written down parses again.
//!
//! `cargo fuzz run -s none parse_print_parse -- -max_len=192` in `parser/`, with
//! `RUSTC_BOOTSTRAP=1` on a stable toolchain. Plates are short, so short inputs find as much as long
//! ones and many more of them run.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let lines: Vec<&str> = text.split('\n').collect();
    let plate = vetplate_parser::parse(&lines);
    for span in plate.unread.iter().chain(&plate.understood) {
        assert!(lines[span.line].get(span.start..span.end).is_some());
    }
    for marking in &plate.markings {
        let written = marking.to_string();
        let again = vetplate_parser::parse(&[written.as_str()]);
        for marking in &again.markings {
            let _ = marking.to_string();
        }
    }
});
