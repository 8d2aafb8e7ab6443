#![no_main]

#[path = "../targets.rs"]
#[allow(dead_code)]
mod targets;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Ok(text) = std::str::from_utf8(bytes) {
        targets::quantity(text);
    }
});
