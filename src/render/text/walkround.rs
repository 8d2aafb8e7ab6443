//! The walk-round sheet, in words with boxes to tick.

use super::Page;
use crate::advise::ends;
use crate::advise::walkround::Look;
use crate::advise::walkround::Round;
use crate::advise::walkround::Stop;
use crate::advise::walkround::There;
use crate::model::Vehicle;
use crate::model::Zone;
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
    page.marked(
        2,
        BOX,
        6,
        "Ask for papers: list of what was fitted, drawings, removal records.",
    );
    page.marked(2, BOX, 6, "Ask the driver: what is used, what is left plugged in, how long it stands, what has failed.");
    for look in &round.ask {
        wanted(page, look);
    }
    page.marked(
        2,
        BOX,
        6,
        "Key-off current at the battery's negative cable, everything asleep: ________ mA after ______ min. Do not crank or \
         switch on large loads through the meter: its current range has a fuse.",
    );
    if let Some((looked, of)) = round.settings {
        page.marked(
            2,
            BOX,
            6,
            &format!("Try every switch by hand, alone and together: {looked} of {of} settings could be looked at."),
        );
    }
}

fn wanted(page: &mut Page, look: &Look) {
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
    page.marked(
        2,
        BOX,
        6,
        &format!(
            "{} = ____________{meaning}. {}.",
            look.fact,
            upper(&settles(look))
        ),
    );
}

fn upper(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(chars).collect()
    })
}

fn one(page: &mut Page, vehicle: &Vehicle, stop: &Stop) {
    let zone = match stop.zone {
        Zone::Exterior => "outside",
        Zone::EngineBay => "engine bay",
        Zone::Cabin => "cab or body",
    };
    if stop.place.is_empty() {
        page.heading(&format!("{} (place not stated)", upper(zone)));
    } else {
        page.heading(&format!("{} ({zone})", upper(&stop.place)));
    }
    for end in &stop.live_ends {
        let line = format!(
            "{} is bare and live {}: insulate it before anything else.",
            end.at,
            ends::keys(end.hot_in)
        );
        page.marked(2, BOX, 6, &line);
    }
    for mend in &stop.mend {
        let level = page.level(mend.level, words::level(mend.level));
        let line = format!(
            "{level}: {} To do: {} [{}]",
            words::sentence(&mend.message),
            words::sentence(&mend.help),
            mend.check
        );
        page.marked(2, BOX, 6, &line);
    }
    for look in &stop.look {
        wanted(page, look);
    }
    let there: Vec<String> = stop
        .there
        .iter()
        .map(|there| name(vehicle, there))
        .collect();
    if !there.is_empty() {
        let line = format!(
            "There and as recorded: {}. Anything else: ____________",
            there.join(", ")
        );
        page.marked(2, BOX, 6, &line);
    }
    for there in &stop.there {
        if let Some(rings) = there.rings {
            let line = format!(
                "{}: the record has {} there; counted: ____. One more is an added circuit that nobody wrote down.",
                vehicle.part(there.part).name.value,
                words::plural(rings, "wire", "wires")
            );
            page.marked(2, BOX, 6, &line);
        }
    }
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
    for line in [
        "Holes, brackets, antenna bases and plugs that belong to nothing.",
        "Cut looms and capped ends that no record names.",
        "Relays that click or are warm with the key off.",
        "Returns: body, frame and engine straps, crowded bolts, rust under rings.",
        "Lamps, horn, wipers, trailer socket; charging voltage at idle: ________ V.",
    ] {
        page.marked(2, BOX, 6, line);
    }
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
        let line = format!(
            "Near an airbag or a belt tensioner: {}. Look, do not touch: no test lamp and no ohmmeter there.",
            words::list(&near)
        );
        page.marked(2, BOX, 6, &line);
    }
}
