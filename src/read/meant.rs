//! What people most likely meant by a word that is not known here.

use super::keys::Scope;
use super::words::nearest;

/// Other words that people use for a key or kind.
const SYNONYMS: &[(&str, &str)] = &[
    ("amps", "draw"),
    ("current", "draw"),
    ("watts", "draw"),
    ("power", "draw"),
    ("gauge", "size"),
    ("awg", "size"),
    ("gage", "size"),
    ("len", "length"),
    ("colour", "color"),
    ("cca", "cold-cranking"),
    ("ah", "capacity"),
    ("soc", "charge"),
    ("soh", "health"),
    ("description", "what"),
    ("desc", "what"),
    ("location", "place"),
    ("where", "place"),
    ("comment", "note"),
    ("comments", "note"),
    ("notes", "note"),
    ("value", "rating"),
    ("amperage", "rating"),
    ("amps", "rating"),
    ("size", "rating"),
    ("rating", "contact"),
    ("rating", "limit"),
    ("rating", "rated"),
    ("output", "rated"),
    ("volts", "voltage"),
    ("volts", "system"),
    ("voltage", "system"),
    ("ohms", "resistance"),
    ("pin", "pins"),
    ("fuse", "max-fuse"),
    ("standby", "parked"),
    ("quiescent", "parked"),
    ("sleep", "parked"),
    ("idle", "at-idle"),
    ("sensed", "senses"),
    ("inputs", "senses"),
    ("type", "kind"),
    ("name", "what"),
    ("reason", "because"),
    ("why", "because"),
    ("duration", "for"),
    ("time", "for"),
    ("ignition", "key"),
    ("voltage-drop", "drop"),
    ("amps-max", "limit"),
    ("max", "limit"),
    ("temperature", "ambient"),
    ("wire-gauge", "size"),
];

/// Other words that people use for a kind of part.
const KIND_SYNONYMS: &[(&str, &str)] = &[
    ("lamp", "load"),
    ("light", "load"),
    ("lights", "load"),
    ("motor", "load"),
    ("pump", "load"),
    ("radio", "load"),
    ("heater", "load"),
    ("winch", "load"),
    ("starter", "load"),
    ("solenoid", "relay"),
    ("contactor", "relay"),
    ("circuit-breaker", "breaker"),
    ("cb", "breaker"),
    ("inverter", "converter"),
    ("dc-dc", "converter"),
    ("module", "controller"),
    ("ecu", "controller"),
    ("timer", "delay"),
    ("lvd", "cutoff"),
    ("ignition", "key-switch"),
    ("ignition-switch", "key-switch"),
    ("keyswitch", "key-switch"),
    ("generator", "alternator"),
    ("solar", "charger"),
    ("panel", "charger"),
    ("plug", "connector"),
    ("socket", "connector"),
    ("butt-splice", "splice"),
    ("bus", "busbar"),
    ("bus-bar", "busbar"),
    ("terminal", "stud"),
    ("post", "stud"),
    ("earth", "ground"),
    ("wire-end", "stub"),
    ("button", "switch"),
    ("toggle", "switch"),
    ("master-switch", "disconnect"),
    ("battery-switch", "disconnect"),
    ("fuselink", "fusible-link"),
];

/// The kind that a word stands for.
pub(super) fn kind_meant<'c>(
    word: &str,
    kinds: impl Iterator<Item = &'c str> + Clone,
) -> Option<&'c str> {
    let lower = word.to_lowercase().replace(['_', ' '], "-");
    nearest(word, kinds.clone()).or_else(|| {
        let (_, meant) = KIND_SYNONYMS.iter().find(|(other, _)| *other == lower)?;
        kinds.clone().find(|kind| kind == meant)
    })
}

/// The key that a word stands for.
pub(super) fn key_meant(name: &str, scope: Scope) -> Option<&'static str> {
    let lower = name.to_lowercase().replace(['_', ' '], "-");
    SYNONYMS
        .iter()
        .filter(|(other, _)| *other == lower)
        .find_map(|(_, meant)| scope.find(meant))
        .map(|key| key.name)
        .or_else(|| nearest(name, scope.keys().map(|key| key.name)))
}

/// Other words that people use for a word of a list.
const CHOICES: &[(&str, &str)] = &[
    ("wet", "flooded"),
    ("lead-acid", "flooded"),
    ("lithium", "lfp"),
    ("lifepo4", "lfp"),
    ("halogen", "filament"),
    ("incandescent", "filament"),
    ("bulb", "filament"),
    ("module", "electronics"),
    ("radio", "electronics"),
    ("pump", "motor"),
    ("fan", "motor"),
    ("crank", "start"),
    ("cranking", "start"),
    ("ign", "run"),
    ("ignition", "run"),
    ("on", "run"),
    ("15", "run"),
    ("acc", "accessory"),
    ("battery", "always"),
    ("constant", "always"),
    ("30", "always"),
    ("off", "stopped"),
    ("idling", "idle"),
    ("driving", "cruise"),
    ("running", "cruise"),
    ("hood", "engine-bay"),
    ("engine", "engine-bay"),
    ("underhood", "engine-bay"),
    ("cab", "cabin"),
    ("interior", "cabin"),
    ("inside", "cabin"),
    ("outside", "exterior"),
    ("body", "exterior"),
    ("oem", "factory"),
    ("original", "factory"),
    ("stock", "factory"),
    ("aftermarket", "added"),
    ("dead", "abandoned"),
    ("standard", "blade"),
    ("ato", "blade"),
    ("atc", "blade"),
    ("mini", "blade-mini"),
    ("maxi", "blade-maxi"),
    ("bolted", "bolt-down"),
    ("conduit", "loom"),
];

/// The word of a list that another word stands for.
pub(super) fn choice_meant<'c>(word: &str, choices: &[&'c str]) -> Option<&'c str> {
    let lower = word.to_lowercase().replace(['_', ' '], "-");
    let synonym = || {
        let mut all = CHOICES.iter().filter(|(other, _)| *other == lower);
        all.find_map(|(_, meant)| choices.iter().find(|choice| *choice == meant))
    };
    let beginning = || {
        let mut all = choices.iter().filter(|choice| choice.starts_with(&lower));
        all.next()
            .filter(|_| all.next().is_none() && lower.len() >= 3)
    };
    nearest(word, choices.iter().copied()).or_else(|| synonym().or_else(beginning).copied())
}
