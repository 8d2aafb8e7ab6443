//! The words of a drawing: designations, ratings, the texts of wires, colours.

use super::drawing::Colour;
use super::net::{Glyph, Heat, Paint};
use crate::model::{Part, PartId, Vehicle, Wire, WireId};
use crate::quantity::WireSize;
use crate::quantity::show::{Units, measure, show};
use crate::read::document::{Fields, Kind, Quantity, Value};

/// A quantity of the record in few letters; `?` where it is not stated.
fn quantity(quantity: &Quantity, units: Units) -> String {
    let unit = quantity.dimension.symbol();
    let low = brief(&measure(quantity.low, unit, units));
    let high = brief(&measure(quantity.high, unit, units));
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}

/// Without zeros at the end of a fraction: what a record states is shown as it would be written, not with figures that nobody
/// claimed.
fn brief(text: &str) -> String {
    let (number, unit) = text.split_once(' ').unwrap_or((text, ""));
    if !number.contains('.')
        || !number
            .bytes()
            .all(|one| one.is_ascii_digit() || one == b'.')
    {
        return text.to_owned();
    }
    let number = number.trim_end_matches('0').trim_end_matches('.');
    format!("{number} {unit}").trim_end().to_owned()
}

fn said(fields: &Fields, key: &str, units: Units) -> Option<String> {
    fields.quantity(key).map(|one| quantity(one, units))
}

/// Designation and rating: the bold line.
#[must_use]
pub fn title(part: &Part, units: Units) -> String {
    let name = &part.name.value;
    let key = match part.kind {
        Kind::Fuse | Kind::Breaker | Kind::FusibleLink => "rating",
        Kind::Relay => "contact",
        Kind::Load | Kind::Controller => "draw",
        _ => return name.clone(),
    };
    match said(&part.fields, key, units) {
        Some(text) => format!("{name}  {text}"),
        None => match part.kind {
            // A part that is known by its rating, and does not state it, says so.
            Kind::Fuse | Kind::Breaker => format!("{name}  ? A"),
            _ => name.clone(),
        },
    }
}

/// What it is, then its other ratings: one entry a line.
#[must_use]
pub fn notes(vehicle: &Vehicle, id: PartId, units: Units) -> Vec<String> {
    let part = vehicle.part(id);
    let fields = &part.fields;
    let say = |key: &str| said(fields, key, units);
    let mut notes: Vec<String> = Vec::new();
    if part.kind == Kind::Stub {
        notes.push(
            fields
                .text("end")
                .map_or_else(|| "end not stated".to_owned(), |end| end.value.clone()),
        );
    }
    notes.extend(part.what.clone());
    let mut ratings: Vec<String> = Vec::new();
    match part.kind {
        Kind::Battery => {
            ratings.extend(
                say("capacity").or_else(|| say("reserve").map(|time| format!("reserve {time}"))),
            );
            ratings.extend(say("cold-cranking").map(|amps| format!("{amps} cranking")));
            if let Some(count) = fields.quantity("in-parallel") {
                ratings.push(format!("{} in parallel", count.text));
            }
        }
        Kind::Alternator => {
            ratings.extend(say("rated"));
            ratings.extend(say("at-idle").map(|amps| format!("{amps} at idle")));
        }
        Kind::Feed => {
            notes.push(hot_in(fields));
            ratings.extend(say("limit").map(|amps| format!("limit {amps}")));
            ratings.extend(say("rating").map(|amps| format!("fuse {amps}")));
            ratings.extend(say("stays-on").map(|time| format!("stays on {time}")));
            if let Some(from) = fields.text("from") {
                ratings.push(format!("from {}", from.value));
            }
        }
        Kind::Charger => {
            ratings.extend(say("output"));
            ratings.extend(say("voltage"));
        }
        Kind::Relay => {
            if let Some(Value::Quantity(coil)) = fields.get("coil") {
                ratings.push(format!("coil {}", quantity(coil, units)));
            }
        }
        Kind::Switch | Kind::Disconnect | Kind::KeySwitch | Kind::Isolator | Kind::Diode => {
            ratings.extend(say("rating"));
            if let Some(left) = fields.text("left") {
                ratings.push(format!("left {}", left.value));
            }
        }
        Kind::Delay => ratings.extend(say("keeps-on").map(|time| format!("stays on {time}"))),
        Kind::Cutoff => {
            ratings.extend(say("opens").map(|volts| format!("opens {volts}")));
            ratings.extend(say("closes").map(|volts| format!("closes {volts}")));
        }
        Kind::Converter => {
            ratings.extend(say("output").map(|volts| format!("gives {volts}")));
            ratings.extend(say("rating"));
        }
        Kind::Load | Kind::Controller => {
            if let Some(parked) = say("parked") {
                ratings.push(format!("parked {parked}"));
            }
            if part.stays_live.is_some() {
                ratings.push("stays live".to_owned());
            }
        }
        Kind::Connector | Kind::Splice | Kind::Stud | Kind::Busbar | Kind::Ground => {
            ratings.extend(say("limit").map(|amps| format!("limit {amps}")));
            if fields.text("tap").is_some() {
                ratings.push("piercing tap".to_owned());
            }
        }
        Kind::FusibleLink => {
            if let Some(Value::Size(size)) = fields.get("size") {
                ratings.push(size.value.to_string());
            }
        }
        Kind::Fuse | Kind::Breaker | Kind::Stub => {}
    }
    if !ratings.is_empty() {
        notes.push(ratings.join(", "));
    }
    if let Some(word) = fields.text("status")
        && matches!(word.value.as_str(), "planned" | "abandoned" | "unknown")
    {
        notes.push(word.value.clone());
    }
    if let Some(positions) = fields.map("positions") {
        for position in &positions.list {
            notes.push(position_text(&position.key.value, &position.value));
        }
    }
    notes
}

fn position_text(name: &str, value: &Value) -> String {
    let Value::List(pairs, _) = value else {
        return name.to_owned();
    };
    let pairs: Vec<String> = pairs
        .iter()
        .filter_map(|pair| match pair {
            Value::List(ends, _) => {
                let ends: Vec<&str> = ends
                    .iter()
                    .filter_map(|end| match end {
                        Value::Text(text) => Some(text.value.as_str()),
                        _ => None,
                    })
                    .collect();
                Some(ends.join("-"))
            }
            _ => None,
        })
        .collect();
    if pairs.is_empty() {
        format!("{name}: none")
    } else {
        format!("{name}: {}", pairs.join(", "))
    }
}

fn hot_words(fields: &Fields) -> Vec<String> {
    fields
        .list("hot-in")
        .iter()
        .filter_map(|value| match value {
            Value::Text(text) => Some(text.value.clone()),
            _ => None,
        })
        .collect()
}

fn hot_in(fields: &Fields) -> String {
    let words = hot_words(fields);
    if words.is_empty() {
        "hot in: not stated".to_owned()
    } else if words.iter().any(|word| word == "always") {
        "always hot".to_owned()
    } else {
        format!("hot in {}", words.join(", "))
    }
}

/// When a feed is live, as its tag shows it.
#[must_use]
pub fn heat(fields: &Fields) -> Heat {
    let words = hot_words(fields);
    let has = |list: &[&str]| words.iter().any(|word| list.contains(&word.as_str()));
    if words.is_empty() {
        Heat::Unknown
    } else if has(&["always"]) {
        Heat::Always
    } else if has(&["run", "accessory", "start"]) {
        Heat::Ignition
    } else {
        Heat::Other
    }
}

/// Picture of a load.
#[must_use]
pub fn glyph(fields: &Fields) -> Glyph {
    match fields.text("type").map(|word| word.value.as_str()) {
        Some("led") => Glyph::Led,
        Some("filament") => Glyph::Lamp,
        Some("motor" | "starter") => Glyph::Motor,
        Some("heater") => Glyph::Heater,
        _ => Glyph::Electronics,
    }
}

/// The text of a wire, in two lines: id and size, then colour and length, and what flows where one situation is shown.
#[must_use]
pub fn wire(wire: &Wire, units: Units, current: Option<String>) -> [String; 2] {
    if wire.assumed {
        return [String::new(), current.unwrap_or_default()];
    }
    let count = if wire.parallel > 1 {
        format!("{} x ", wire.parallel)
    } else {
        String::new()
    };
    let mut second: Vec<String> = Vec::new();
    second.extend(wire.color.as_deref().map(colour_code));
    let size = match (wire.size, said(&wire.fields, "resistance", units)) {
        (Some(size), _) => format!("{count}{size}"),
        (None, Some(ohms)) => ohms,
        (None, None) => "size ?".to_owned(),
    };
    match wire.length {
        Some(length) => second.push(show(length.likely, units)),
        None if wire.fields.quantity("resistance").is_some() => {}
        None => second.push("length ?".to_owned()),
    }
    second.extend(current);
    [format!("{} {size}", wire.id), second.join(" ")]
}

/// What flows, as it stands beside a wire.
#[must_use]
pub fn current(amps: f64, units: Units) -> String {
    // What is below a tenth of a milliampere is nothing to anybody who looks at a drawing.
    if amps.abs() < 1e-4 {
        "0 A".to_owned()
    } else {
        measure(amps.abs(), "A", units)
    }
}

/// Colour words and their letters after IEC 60757 (from memory), with the paint.
const COLOURS: [(&str, &str, Colour); 16] = [
    ("black", "BK", Colour(0, 0, 0)),
    ("brown", "BN", Colour(122, 70, 20)),
    ("red", "RD", Colour(214, 30, 30)),
    ("orange", "OG", Colour(240, 130, 20)),
    ("yellow", "YE", Colour(250, 220, 30)),
    ("green", "GN", Colour(30, 140, 60)),
    ("blue", "BU", Colour(40, 80, 200)),
    ("violet", "VT", Colour(130, 50, 160)),
    ("purple", "VT", Colour(130, 50, 160)),
    ("grey", "GY", Colour(150, 150, 150)),
    ("gray", "GY", Colour(150, 150, 150)),
    ("white", "WH", Colour(255, 255, 255)),
    ("pink", "PK", Colour(250, 150, 180)),
    ("turquoise", "TQ", Colour(60, 190, 190)),
    ("tan", "tan", Colour(205, 170, 125)),
    ("clear", "clear", Colour(235, 235, 235)),
];

fn colour_words(text: &str) -> Vec<String> {
    text.split(['/', '-', ' ', ','])
        .map(str::to_lowercase)
        .filter(|word| {
            !word.is_empty() && !matches!(word.as_str(), "with" | "and" | "stripe" | "tracer")
        })
        .collect()
}

fn known(word: &str) -> Option<&'static (&'static str, &'static str, Colour)> {
    COLOURS
        .iter()
        .find(|colour| colour.0 == word || colour.1.to_lowercase() == word)
}

/// The letters of a wire's colour; its own words where they are none that has letters.
#[must_use]
pub fn colour_code(text: &str) -> String {
    let words = colour_words(text);
    let codes: Vec<&str> = words
        .iter()
        .filter_map(|word| known(word).map(|colour| colour.1))
        .collect();
    if codes.is_empty() || codes.len() != words.len() || codes.len() > 2 {
        text.to_owned()
    } else {
        codes.join("/")
    }
}

/// Letters and words of the colours in use, for the legend.
#[must_use]
pub fn colour_key(vehicle: &Vehicle) -> Vec<(&'static str, &'static str)> {
    let mut used: Vec<(&'static str, &'static str)> = Vec::new();
    for wire in &vehicle.wires {
        let Some(text) = &wire.color else { continue };
        let words = colour_words(text);
        let found: Vec<_> = words.iter().filter_map(|word| known(word)).collect();
        if found.is_empty() || found.len() != words.len() || found.len() > 2 {
            continue;
        }
        for colour in found {
            if colour.0 != colour.1 && !used.iter().any(|one| one.0 == colour.1) {
                used.push((colour.1, colour.0));
            }
        }
    }
    used.sort_unstable();
    used
}

/// How a wire is painted.
#[must_use]
pub fn paint(wire: &Wire) -> Paint {
    let colours = wire.color.as_deref().map_or_else(Vec::new, |text| {
        colour_words(text)
            .iter()
            .filter_map(|word| known(word).map(|colour| colour.2))
            .take(2)
            .collect()
    });
    Paint {
        width: weight(wire.size).0,
        colours,
        live: false,
        dead: false,
        assumed: wire.assumed,
        marked: false,
    }
}

/// Width of the line for a conductor size, and how much the wire wants to run straight.
#[must_use]
pub fn weight(size: Option<WireSize>) -> (f64, i32) {
    let class = match size {
        None => 0,
        Some(WireSize::Awg(number) | WireSize::Sae(number)) => match number {
            ..=2 => 3,
            3..=8 => 2,
            9..=14 => 1,
            _ => 0,
        },
        Some(WireSize::Iso(area)) => match area {
            area if area >= 30.0 => 3,
            area if area >= 7.0 => 2,
            area if area >= 2.0 => 1,
            _ => 0,
        },
    };
    [(1.1, 2), (1.6, 3), (2.2, 4), (2.8, 6)][class]
}

/// The other ends of marks: which numbers a part has.
#[must_use]
pub fn numbers_of<'m>(
    marks: impl Iterator<Item = (usize, &'m [PartId])>,
    part: PartId,
) -> Vec<usize> {
    marks
        .filter(|(_, parts)| parts.contains(&part))
        .map(|(number, _)| number)
        .collect()
}

/// Which numbers a wire has.
#[must_use]
pub fn numbers_of_wire<'m>(
    marks: impl Iterator<Item = (usize, &'m [WireId])>,
    wire: WireId,
) -> Vec<usize> {
    marks
        .filter(|(_, wires)| wires.contains(&wire))
        .map(|(number, _)| number)
        .collect()
}
