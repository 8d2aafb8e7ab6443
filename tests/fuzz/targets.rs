//! What is tried: any bytes as a record, any text as a quantity, any bytes as a circuit of extreme values. A target panics
//! where a promise is broken; what it returns says how far the input came, so that a run can show that it tried something.

use std::sync::Arc;

use keyoff::quantity::Dimension;
use keyoff::quantity::parse;
use keyoff::read::Limits;
use keyoff::read::Unreadable;
use keyoff::render;
use keyoff::render::sarif::Outcome;
use keyoff::render::snippet::Look;
use keyoff::solve::Memory;
use keyoff::solve::Solver;
use keyoff::solve::State;
use keyoff::solve::laws;

#[path = "../outside/random_circuit.rs"]
#[allow(dead_code)]
pub mod random_circuit;

/// How far an input came.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Came {
    /// It was refused, with advice.
    Refused,
    /// It was judged, or solved.
    Through,
}

/// Smaller than what a person may give: what is tried is what is odd, not what is large.
const LIMITS: Limits = Limits {
    max_bytes: 1 << 18,
    max_nodes: 20_000,
    max_depth: 64,
};

fn read(bytes: &[u8]) -> Result<keyoff::read::document::Document, Box<Unreadable>> {
    let mut library =
        |_: &str| Ok(b"keyoff: 1\nlibrary: {lamp: {kind: load, draw: 4 A}}\n".to_vec());
    keyoff::read::read("tried.yaml", bytes, &mut library, &LIMITS).map_err(Box::new)
}

/// Any bytes as a record: every fault with advice, or an audit that can be printed in every form.
pub fn document(bytes: &[u8]) -> Came {
    let document = match read(bytes) {
        Ok(document) => document,
        Err(unreadable) => {
            assert!(!unreadable.problems.is_empty(), "refused without a reason");
            for problem in unreadable.problems.iter().take(20) {
                assert!(problem.help.is_some(), "no advice: {problem:?}");
            }
            let text = render::text::unreadable::unreadable(
                &unreadable.sources,
                &unreadable.problems,
                Look::default(),
            );
            assert!(text.contains("Nothing was audited"));
            return Came::Refused;
        }
    };
    let audit = keyoff::audit(document);
    let (vehicle, solved, report) = (&audit.vehicle, &audit.solved, &audit.report);
    let options = render::text::audit::Options {
        look: Look::default(),
        units: keyoff::quantity::Units::Us,
        why: true,
    };
    let text = render::text::audit::audit(vehicle, solved, report, options);
    for word in ["NaN", "inf ", "no number of"] {
        let said_by_the_record = String::from_utf8_lossy(bytes).contains(word);
        assert!(
            said_by_the_record || !text.contains(word),
            "{word} is printed:\n{text}"
        );
    }
    let data = render::json::line(&render::json::audit::audit(vehicle, solved, report));
    assert!(data.is_ok(), "{data:?}");
    let part = render::sarif::part(&[], Outcome::Audited(vehicle, report));
    assert!(part.is_ok(), "{part:?}");
    let row = render::fleet::audited(&audit);
    assert!(row.draw_a.is_some_and(f64::is_finite), "{row:?}");
    let figures = row.days_to_no_start.as_ref();
    let ordered = figures.is_none_or(|days| days.low <= days.likely && days.likely <= days.high);
    assert!(ordered, "{row:?}");
    let drawing = keyoff::draw::diagram(vehicle, &keyoff::draw::Options::default());
    drop(drawing);
    Came::Through
}

const DIMENSIONS: [Dimension; 12] = [
    Dimension::Current,
    Dimension::Voltage,
    Dimension::Resistance,
    Dimension::Power,
    Dimension::Charge,
    Dimension::Time,
    Dimension::Length,
    Dimension::Temperature,
    Dimension::Fraction,
    Dimension::Speed,
    Dimension::Multiple,
    Dimension::Count,
];

/// Any text as a quantity of every kind: a range in order, of numbers that are numbers, or a refusal.
pub fn quantity(text: &str) -> Came {
    let mut came = Came::Refused;
    for dimension in &DIMENSIONS {
        if let Ok(read) = parse::parse(text, &[*dimension]) {
            came = Came::Through;
            assert_eq!(read.dimension, *dimension, "{text:?}");
            assert!(
                read.low.is_finite() && read.high.is_finite(),
                "{text:?}: {read:?}"
            );
            assert!(read.low <= read.high, "{text:?}: {read:?}");
            assert!(read.lasts.is_none_or(f64::is_finite), "{text:?}: {read:?}");
        }
    }
    if parse::parse_size(text).is_ok() {
        came = Came::Through;
    }
    came
}

/// Sizes that are put in the place of sound ones.
const EXTREMES: [&str; 8] = ["1e-12", "1e-9", "1e-6", "1e-3", "1e3", "1e5", "1e7", "1e10"];

/// The circuit that bytes stand for: the first eight choose it, each further pair a number in it and what it becomes.
pub fn circuit(bytes: &[u8]) -> String {
    let (seed, changes) = bytes.split_at(bytes.len().min(8));
    let mut number = [0; 8];
    number[..seed.len()].copy_from_slice(seed);
    let seed = u64::from_le_bytes(number);
    let mut text = random_circuit::circuit(seed);
    for change in changes.chunks_exact(2) {
        text = changed(&text, change[0], change[1]);
    }
    text
}

/// Bytes as a circuit of extreme values. Solved with the key off and on, it keeps the laws or says that its figures are not
/// to be relied on; no figure is other than a number.
pub fn solver(bytes: &[u8]) -> Came {
    let text = circuit(bytes);
    let document = match read(text.as_bytes()) {
        Ok(document) => document,
        Err(_) => return Came::Refused,
    };
    let vehicle = keyoff::model::build(Arc::new(document));
    let mut state = State::parked(&vehicle);
    for on in [false, true] {
        if on {
            state.key = keyoff::model::Key::Run;
            state.engine = keyoff::model::Engine::Idle;
            state.positions.fill(1);
            for (position, unit) in state.positions.iter_mut().zip(&vehicle.switches) {
                *position = (*position).min(unit.positions.len().saturating_sub(1) as u8);
            }
        }
        let solution = Solver::new(&vehicle).solve(&state, &Memory::all_out(&vehicle));
        let numbers = solution.volts.iter().map(|volts| volts.0);
        let mut numbers = numbers.chain(solution.wire_amps.iter().map(|amps| amps.0));
        assert!(numbers.all(f64::is_finite), "{text}");
        if solution.trouble.is_none() {
            let (point, lost) = laws::lost_current(&vehicle, &solution);
            let label = &vehicle.terminal(point).label;
            assert!(lost < 1e-6, "{lost} is lost at {label}\n{text}");
        }
    }
    Came::Through
}

/// The record with one of its numbers multiplied.
fn changed(text: &str, which: u8, by: u8) -> String {
    let body = text.find("parts:").unwrap_or(0);
    let digit = |at: usize| text.as_bytes()[at].is_ascii_digit();
    // Numbers after a blank, before a blank: those that have a unit.
    let starts: Vec<usize> = (body + 1..text.len())
        .filter(|&at| digit(at) && text.as_bytes()[at - 1] == b' ')
        .collect();
    if starts.is_empty() {
        return text.to_owned();
    }
    let start = starts[usize::from(which) * starts.len() / 256];
    let end = text[start..]
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .map_or(text.len(), |length| start + length);
    let extreme = EXTREMES[usize::from(by) % EXTREMES.len()];
    format!("{}{extreme}{}", &text[..start], &text[end..])
}
