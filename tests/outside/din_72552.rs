//! DIN 72552: terminal designations (list read in two encyclopaedia mirrors, beginnings only).

use keyoff::read::Limits;
use keyoff::read::document::Document;

fn read(text: &str) -> Document {
    let mut beside = |_: &str| Err("no other file".to_owned());
    keyoff::read::read(
        "terminals.yaml",
        text.as_bytes(),
        &mut beside,
        &Limits::default(),
    )
    .unwrap_or_else(|unreadable| panic!("{:?}", unreadable.problems))
}

fn terminals(kind: &str, keys: &str) -> Vec<String> {
    let text = format!(
        "keyoff: 1\nvehicle: {{name: bench, system: 12 V}}\nparts:\n  X: {{kind: {kind}{keys}}}\n"
    );
    read(&text).parts[0].terminals.clone()
}

/// 85 and 86 coil, 30 contact supply, 87 normally open, 87a normally closed (read).
#[test]
fn relay() {
    let mut found = terminals("relay", "");
    found.sort();
    assert_eq!(found, ["30", "85", "86", "87", "87a"]);
}

/// 30 from the battery, 15 in run and start, 50 starter (read); 15R in accessory and run (from memory).
#[test]
fn key_switch() {
    let mut found = terminals("key-switch", "");
    found.sort();
    assert_eq!(found, ["15", "15R", "30", "50"]);
}
