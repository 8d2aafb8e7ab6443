//! Names and short phrases that all forms of output share.

use crate::analyze::Explored;
use crate::check::Finding;
use crate::check::Harm;
use crate::check::Level;
use crate::check::Report;
use crate::model::Engine;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::phrase;
use crate::source::Sources;
use crate::source::Span;
use crate::source::Text;

/// A figure that is at least so much where a draw is not stated: `20 A +`.
#[must_use]
pub fn whole(mut figure: String, missing: &[String]) -> String {
    if !missing.is_empty() {
        figure += " +";
    }
    figure
}

/// What several figures lack, each once.
#[must_use]
pub fn all<'a>(missing: impl Iterator<Item = &'a Vec<String>>) -> Vec<String> {
    let mut all: Vec<String> = missing.flatten().cloned().collect();
    all.sort();
    all.dedup();
    all
}

/// Why a figure with a plus behind it is not whole.
#[must_use]
pub fn not_whole(missing: &[String]) -> String {
    format!(
        "Not known, so what has a + is not whole: {}.",
        list(missing)
    )
}

/// What a page of figures is, and what it is not; said once, at its end.
pub const ADVICE: &str = "This is advice, worked out from what the record says. It certifies nothing: the vehicle maker's \
                          body-builder instructions, local codes and licensed practice come first.";

/// What can hurt somebody or burn a vehicle during this work.
pub const CAUTIONS: [&str; 7] = [
    "Disconnect the negative cable first and reconnect it last. Where the negative goes through a switch or a current sensor, \
     follow the vehicle maker.",
    "No sparks or flames near a battery: it gives off hydrogen. Batteries are heavy and hold acid. A frozen one is neither \
     charged nor jump-started.",
    "Before touching anything near an airbag or a belt tensioner, wait as long as the vehicle maker says after the battery is \
     off. No test lamp, no ohmmeter and no memory saver there.",
    "Never probe or cut orange high-voltage cables; on some vehicles they have other colours.",
    "The current range of a meter has a fuse: do not crank the engine or switch on large loads through it, and take the leads \
     out of its current jacks afterwards.",
    "Before work on anything that moves (hoist, crane, plow, liftgate), lower it and block it. It may move when power comes \
     back.",
    "A wire that this record calls dead is dead only as far as the record goes: measure before cutting.",
];

/// What this tool does not look at, whatever the record says.
pub const LIMITS: [&str; 6] = [
    "What nobody wrote down: a wire that is not in the record is not there.",
    "Workmanship: crimps, sealing, fastening, corrosion, torque. Only what the record says of them counts.",
    "Flashes, radio noise and the first milliseconds; inrush counts where it is stated.",
    "The metal of the chassis is taken as one point without resistance, except where the record puts a resistance at a ground.",
    "Conductors are taken at the temperature of their zone; a wire in a hot spot is hotter.",
    "The software of modules: what wakes them, and how long they stay awake, is what the record says of it.",
];

/// How many findings of each level; what the record accepts is counted apart.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Count {
    /// Errors.
    pub errors: usize,
    /// Warnings.
    pub warnings: usize,
    /// Notes.
    pub notes: usize,
    /// Accepted, of any level.
    pub accepted: usize,
}

impl Count {
    /// Counts.
    #[must_use]
    pub fn of(report: &Report) -> Self {
        let mut count = Self::default();
        for reported in &report.findings {
            match (reported.accepted.is_some(), reported.level) {
                (true, _) => count.accepted += 1,
                (false, Level::Error) => count.errors += 1,
                (false, Level::Warning) => count.warnings += 1,
                (false, Level::Note) => count.notes += 1,
            }
        }
        count
    }
}

/// The name of the record's file.
#[must_use]
pub fn path(sources: &Sources) -> &str {
    sources.texts().first().map_or("", Text::name)
}

/// What the engine does, as a record says it.
#[must_use]
pub fn engine(engine: Engine) -> String {
    match engine {
        Engine::Stopped => "stopped".to_owned(),
        Engine::Idle => "idle".to_owned(),
        Engine::Cruise => "cruise".to_owned(),
        Engine::Speed(rpm) => format!("{} rpm", rpm.0),
    }
}

/// The level in one word.
#[must_use]
pub const fn level(level: Level) -> &'static str {
    match level {
        Level::Note => "note",
        Level::Warning => "warning",
        Level::Error => "error",
    }
}

/// The harm in one word, as machines read it.
#[must_use]
pub const fn harm(harm: Harm) -> &'static str {
    match harm {
        Harm::Fire => "fire",
        Harm::Stranded => "stranded",
        Harm::Damage => "damage",
        Harm::Nuisance => "nuisance",
        Harm::Record => "record",
    }
}

/// The harm as a heading over findings.
#[must_use]
pub const fn harm_heading(harm: Harm) -> &'static str {
    match harm {
        Harm::Fire => "Can burn",
        Harm::Stranded => "Can leave somebody stranded, or breaks the law",
        Harm::Damage => "Can damage equipment",
        Harm::Nuisance => "Annoys, or wears out early",
        Harm::Record => "About the record itself",
    }
}

/// The smallest setting that shows a finding, as words that end a sentence: `with the key off and S2 left closed`.
/// Nothing where it shows as the vehicle is left or in every setting.
#[must_use]
pub fn setting(setting: &Setting) -> Option<String> {
    let mut phrases = Vec::new();
    if let Some(situation) = &setting.situation {
        phrases.push(format!("in the situation `{situation}`"));
    }
    let mut with = Vec::new();
    if let Some(key) = setting.key {
        with.push(match key {
            Key::Off => "the key off".to_owned(),
            Key::Accessory => "the key in accessory".to_owned(),
            Key::Run => "the key in run".to_owned(),
            Key::Start => "the key in start".to_owned(),
        });
    }
    let left = if setting.key == Some(Key::Off) {
        "left "
    } else {
        ""
    };
    if !setting.closed.is_empty() {
        with.push(format!("{} {left}closed", list(&setting.closed)));
    }
    if !setting.opened.is_empty() {
        with.push(format!("{} {left}open", list(&setting.opened)));
    }
    if !with.is_empty() {
        phrases.push(format!("with {}", list(&with)));
    }
    if let Some(also) = &setting.also {
        phrases.push(also.clone());
    }
    (!phrases.is_empty()).then(|| phrases.join(", "))
}

/// In which setting a finding shows, and in which its value was found where that is another; nothing where it shows as the
/// vehicle is left.
#[must_use]
pub fn shows(finding: &Finding) -> Option<String> {
    let smallest = setting(&finding.setting);
    let worst = finding.worst.as_ref().and_then(setting);
    match (smallest, worst) {
        (None, None) => None,
        (Some(smallest), None) => Some(format!("Shows {smallest}.")),
        (Some(smallest), Some(worst)) => Some(format!("Shows {smallest}; at its worst {worst}.")),
        (None, Some(worst)) => Some(format!("Shows as it is left; at its worst {worst}.")),
    }
}

/// How many settings were looked at, and what is not told where that is not all.
#[must_use]
pub fn looked_at(explored: &Explored, untold: &str) -> String {
    let (seen, of) = (explored.settings, explored.of);
    if explored.complete {
        format!("All {of} settings of the switches were looked at.")
    } else {
        format!("{seen} of {of} settings of the switches were looked at: {untold}.")
    }
}

/// How many settings were looked at, and what that leaves open.
#[must_use]
pub fn explored(explored: &Explored) -> String {
    let untold = "what shows only in the others is not in this report";
    let mut words = looked_at(explored, untold);
    if explored.together {
        words.push_str(" In a vehicle of this size many circuits were looked at at once: what is live and what switches what is exact, the worst current of one circuit can be off by what the wires lose that it shares with others.");
    }
    words
}

/// `A`, `A and B`, `A, B and C`.
#[must_use]
pub fn list<T: AsRef<str>>(words: &[T]) -> String {
    phrase::and(words)
}

/// `1 error`, `2 errors`.
#[must_use]
pub fn plural(count: usize, one: &str, many: &str) -> String {
    if count == 1 {
        format!("1 {one}")
    } else {
        format!("{count} {many}")
    }
}

/// The parts and wires of a finding or gap by name, parts first.
#[must_use]
pub fn subjects(vehicle: &Vehicle, parts: &[PartId], wires: &[WireId]) -> Vec<String> {
    let parts = parts
        .iter()
        .map(|part| vehicle.part(*part).name.value.clone());
    let wires = wires.iter().map(|wire| vehicle.wire(*wire).id.clone());
    parts.chain(wires).collect()
}

/// What a finding is about first of all: its first part, else its first wire.
#[must_use]
pub fn subject(vehicle: &Vehicle, finding: &Finding) -> String {
    subjects(vehicle, &finding.parts, &finding.wires)
        .into_iter()
        .next()
        .unwrap_or_default()
}

/// With a full stop.
#[must_use]
pub fn sentence(words: &str) -> String {
    let words = words.trim();
    let mut out = words.to_owned();
    if !words.is_empty() && !words.ends_with(['.', '!', '?', ':', ';']) {
        out.push('.');
    }
    out
}

/// `at idle`, `stopped`, `at 1400 rpm`, for use after `engine`.
#[must_use]
pub fn at_speed(of: Engine) -> String {
    if of.runs() {
        format!("at {}", engine(of))
    } else {
        "stopped".to_owned()
    }
}

/// `truck.yaml:12`.
#[must_use]
pub fn line(sources: &Sources, at: Span) -> String {
    let name = sources.get(at.file).map_or("", Text::name);
    format!("{name}:{}", sources.position(at).line)
}

/// `line 12` of the record itself, `shelf.yaml:12` of a library that it names.
#[must_use]
pub fn line_of_record(sources: &Sources, at: Span) -> String {
    if at.file.0 == 0 {
        format!("line {}", sources.position(at).line)
    } else {
        line(sources, at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_setting_reads_as_a_phrase() {
        let mut of = Setting {
            key: Some(Key::Off),
            closed: vec!["S2".into(), "S3".into()],
            ..Setting::default()
        };
        assert_eq!(
            setting(&of).unwrap(),
            "with the key off and S2 and S3 left closed"
        );
        of.key = None;
        of.opened.push("S4".into());
        of.situation = Some("at night".into());
        assert_eq!(
            setting(&of).unwrap(),
            "in the situation `at night`, with S2 and S3 closed and S4 open"
        );
        assert_eq!(setting(&Setting::default()), None);
    }
}
