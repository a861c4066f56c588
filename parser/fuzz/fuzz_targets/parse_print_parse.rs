//! Any text parses; what is written down parses again; each span lies in its line.
//!
//! `cargo fuzz run -s none parse_print_parse` in `parser/`, with `RUSTC_BOOTSTRAP=1` on a stable
//! toolchain.
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
