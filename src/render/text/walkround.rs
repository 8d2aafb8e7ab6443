//! The walk-round sheet, in words with boxes to tick.

use super::Page;
use crate::advise::ends;
use crate::advise::walkround::Look;
use crate::advise::walkround::Round;
use crate::advise::walkround::Stop;
use crate::advise::walkround::There;
use crate::check::Level;
use crate::model::Vehicle;
use crate::model::Zone;
use crate::phrase;
use crate::render::snippet::Look as Appearance;
use crate::render::words;

/// So many facts are named at the top.
const FIRST: usize = 8;
const BOX: &str = "[ ]";

/// The whole sheet.
#[must_use]
pub fn walkround(vehicle: &Vehicle, round: &Round, look: Appearance) -> String {
    let mut page = Page::new(look);
    let name = page.strong(&vehicle.name);
    let path = words::path(&vehicle.document.sources);
    page.line(0, &format!("{name} ({path}): walk-round sheet"));
    page.line(
        0,
        "Date ____________   By ____________   Odometer ____________",
    );
    first(&mut page, round);
    before(&mut page, round);
    for stop in &round.stops {
        one(&mut page, vehicle, stop);
    }
    after(&mut page, vehicle);
    page.blank();
    page.line(0, words::ADVICE);
    page.into_text()
}

fn first(page: &mut Page, round: &Round) {
    page.heading("What would settle most");
    if round.first.is_empty() {
        page.line(2, "Nothing is left open for want of a fact.");
        return;
    }
    for look in round.first.iter().take(FIRST) {
        page.item(2, 4, &format!("{}: {}.", look.fact, settles(look)));
    }
    let more = round.first.len().saturating_sub(FIRST);
    if more > 0 {
        let more = words::plural(more, "other fact", "other facts");
        page.line(2, &format!("And {more}, below at their places."));
    }
}

fn settles(look: &Look) -> String {
    let verdicts = words::plural(look.settles, "verdict waits for it", "verdicts wait for it");
    match look.alone {
        0 => format!("{verdicts}, together with other facts"),
        alone if alone == look.settles => verdicts,
        alone => format!("{verdicts}, {alone} of them for nothing else"),
    }
}

fn before(page: &mut Page, round: &Round) {
    page.heading("Before going round");
    for line in before_lines(round) {
        page.marked(2, BOX, 6, &line);
    }
}

/// What is asked, measured and tried before going round, each to be ticked.
#[must_use]
pub fn before_lines(round: &Round) -> Vec<String> {
    let mut lines = vec![
        "Ask for papers: list of what was fitted, drawings, removal records.".to_owned(),
        "Ask the driver: what is used, what is left plugged in, how long it stands, what has failed.".to_owned(),
    ];
    lines.extend(round.ask.iter().map(wanted));
    lines.push(
        "Key-off current at the battery's negative cable, everything asleep: ________ mA after ______ min. Do not crank or \
         switch on large loads through the meter: its current range has a fuse."
            .to_owned(),
    );
    if let Some((looked, of)) = round.settings {
        lines.push(format!(
            "Try every switch by hand, alone and together: {looked} of {of} settings could be looked at."
        ));
    }
    lines
}

fn wanted(look: &Look) -> String {
    // The first words say enough on a sheet; `docs/format.md` has the rest.
    let short = look.meaning.split(['.', ':', ';']).next().unwrap_or("");
    let known: Vec<&str> = [look.about.as_str(), short]
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect();
    let meaning = if known.is_empty() {
        String::new()
    } else {
        format!(" ({})", known.join("; "))
    };
    format!(
        "{} = ____________{meaning}. {}.",
        look.fact,
        phrase::capital(&settles(look))
    )
}

fn one(page: &mut Page, vehicle: &Vehicle, stop: &Stop) {
    page.heading(&place(stop));
    let lines = {
        let paint = |level: Level, words: &str| page.level(level, words);
        stop_lines(vehicle, stop, &paint)
    };
    for line in lines {
        page.marked(2, BOX, 6, &line);
    }
}

/// A stop as a heading.
#[must_use]
pub fn place(stop: &Stop) -> String {
    let zone = match stop.zone {
        Zone::Exterior => "outside",
        Zone::EngineBay => "engine bay",
        Zone::Cabin => "cab or body",
    };
    if stop.place.is_empty() {
        format!("{} (place not stated)", phrase::capital(zone))
    } else {
        format!("{} ({zone})", phrase::capital(&stop.place))
    }
}

/// What is looked at and done at a stop, each to be ticked; `paint` sets the level of a finding off.
#[must_use]
pub fn stop_lines(
    vehicle: &Vehicle,
    stop: &Stop,
    paint: &dyn Fn(Level, &str) -> String,
) -> Vec<String> {
    let mut lines = Vec::new();
    for end in &stop.live_ends {
        lines.push(format!(
            "{} is bare and live {}: insulate it before anything else.",
            end.at,
            ends::keys(end.hot_in)
        ));
    }
    for mend in &stop.mend {
        let level = paint(mend.level, words::level(mend.level));
        lines.push(format!(
            "{level}: {} To do: {} [{}]",
            words::sentence(&mend.message),
            words::sentence(&mend.help),
            mend.check
        ));
    }
    lines.extend(stop.look.iter().map(wanted));
    let there: Vec<String> = stop
        .there
        .iter()
        .map(|there| name(vehicle, there))
        .collect();
    if !there.is_empty() {
        lines.push(format!(
            "There and as recorded: {}. Anything else: ____________",
            there.join(", ")
        ));
    }
    for there in &stop.there {
        if let Some(rings) = there.rings {
            lines.push(format!(
                "{}: the record has {} there; counted: ____. One more is an added circuit that nobody wrote down.",
                vehicle.part(there.part).name.value,
                words::plural(rings, "wire", "wires")
            ));
        }
    }
    lines
}

fn name(vehicle: &Vehicle, there: &There) -> String {
    let part = vehicle.part(there.part);
    match &part.what {
        Some(what) => format!("{} ({what})", part.name.value),
        None => part.name.value.clone(),
    }
}

fn after(page: &mut Page, vehicle: &Vehicle) {
    page.heading("Everywhere");
    for line in everywhere(vehicle) {
        page.marked(2, BOX, 6, &line);
    }
}

/// What is looked for everywhere, each to be ticked.
#[must_use]
pub fn everywhere(vehicle: &Vehicle) -> Vec<String> {
    let mut lines: Vec<String> = [
        "Holes, brackets, antenna bases and plugs that belong to nothing.",
        "Cut looms and capped ends that no record names.",
        "Relays that click or are warm with the key off.",
        "Returns: body, frame and engine straps, crowded bolts, rust under rings.",
        "Lamps, horn, wipers, trailer socket; charging voltage at idle: ________ V.",
    ]
    .map(str::to_owned)
    .to_vec();
    let near: Vec<&str> = vehicle
        .parts
        .iter()
        .filter(|part| {
            part.near
                .iter()
                .any(|near| near.value == "airbag" || near.value == "seat-belt")
        })
        .map(|part| part.name.value.as_str())
        .collect();
    if !near.is_empty() {
        lines.push(format!(
            "Near an airbag or a belt tensioner: {}. Look, do not touch: no test lamp and no ohmmeter there.",
            words::list(&near)
        ));
    }
    lines
}
