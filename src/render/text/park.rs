//! Standing with the key off, in words.

use crate::analyze::endurance;
use crate::analyze::endurance::Starts;
use crate::analyze::endurance::Verdict;
use crate::analyze::timeline::Timeline;
use crate::quantity::AmpHours;
use crate::quantity::Fraction;
use crate::quantity::Seconds;
use crate::quantity::show::digits;
use crate::read::document::Kind;
use crate::render::snippet::Look;
use crate::render::text::Grid;
use crate::render::text::Page;
use crate::render::text::assumed;
use crate::render::text::page::Column;
use crate::render::text::standing::Standing;
use crate::render::words;

/// The whole page; `starts` is the answer to "will it start after so many days?".
#[must_use]
pub fn park(
    of: Standing<'_>,
    timeline: &Timeline,
    starts: Option<(f64, &Starts)>,
    look: Look,
) -> String {
    let mut page = Page::new(look);
    let vehicle = of.vehicle;
    let name = page.strong(&vehicle.name);
    page.line(
        0,
        &format!(
            "{name} ({}), {}",
            words::path(&vehicle.document.sources),
            of.show.one(vehicle.system.likely)
        ),
    );
    of.head(&mut page);
    if let Some((days, starts)) = starts {
        will_it_start(of, days, starts, timeline, &mut page);
    }
    by_temperature(of, &mut page);
    from_key_off(of, timeline, &mut page);
    of.tables(&mut page);
    let values = vehicle.assumed.iter().chain(&of.parked.assumed);
    assumed::write(&mut page, of.show, values);
    page.blank();
    page.line(0, words::ADVICE);
    page.into_text()
}

fn will_it_start(
    of: Standing<'_>,
    days: f64,
    starts: &Starts,
    timeline: &Timeline,
    page: &mut Page,
) {
    page.heading("Will it start?");
    for sentence in starts_after(of, days, starts, timeline) {
        page.line(2, &sentence);
    }
}

/// Whether it starts after so many days, and why, in sentences.
#[must_use]
pub fn starts_after(
    of: Standing<'_>,
    days: f64,
    starts: &Starts,
    timeline: &Timeline,
) -> Vec<String> {
    let at = of.show.one(starts.standing.at);
    let answer = match starts.verdict {
        Verdict::Yes => "yes",
        Verdict::No => "no",
        Verdict::Depends => "it depends",
    };
    let percent = |share: f64| of.show.one(Fraction(share));
    let (low, high) = (
        percent(starts.charge_range.0),
        percent(starts.charge_range.1),
    );
    let between = if low == high {
        String::new()
    } else {
        format!(" ({low} to {high})")
    };
    let needed = if starts.standing.floor > 1.0 {
        format!(
            "but at that temperature it cannot start the engine even when full, by {}",
            starts.standing.floor_by.text()
        )
    } else {
        format!(
            "and at least {} has to be, by {}",
            percent(starts.standing.floor),
            starts.standing.floor_by.text()
        )
    };
    let mut sentences = vec![format!(
        "After {} days at {at}: {answer}. {} of the charge is left{between}, {needed}.",
        digits(days, 3),
        percent(starts.charge_left),
    )];
    if starts.verdict == Verdict::Depends && !starts.standing.missing.is_empty() {
        sentences.push(format!(
            "What the engine needs to crank is left out of it, for want of: {}.",
            words::list(&starts.standing.missing)
        ));
    }
    sentences.extend(followed(of, days, starts, timeline));
    sentences
}

/// The sum lets everything draw to the end; where something cuts off, the timeline may know better.
fn followed(of: Standing<'_>, days: f64, starts: &Starts, timeline: &Timeline) -> Option<String> {
    let cuts = of
        .vehicle
        .parts
        .iter()
        .any(|part| part.kind == Kind::Cutoff);
    if !cuts
        || starts.verdict == Verdict::Yes
        || starts.standing.floor > 1.0
        || timeline.events.is_empty()
    {
        return None;
    }
    let (at, ends) = (of.parked.at, timeline.ends.map(Seconds::days));
    let lasts = ends.map_or_else(|| "more than 400".to_owned(), |ends| digits(ends, 3));
    // At another temperature than was asked for it is told without an answer.
    let answer = match ends {
        _ if at != starts.standing.at => "",
        Some(ends) if ends < days => ": still no",
        _ => ": yes",
    };
    Some(format!(
        "That is with every cutoff closed to the end. Followed at {} with each opening when it does, every value at its likely one, the engine starts for {lasts} days{answer}.",
        of.show.one(at)
    ))
}

/// What is said under the table by temperature.
pub const BOUNDS: &str = "At least and at most: no values within the ranges of the inputs give less or more. 9 of 10: of \
                          random samples of them.";

fn by_temperature(of: Standing<'_>, page: &mut Page) {
    let grid = temperatures(of);
    if grid.is_empty() {
        return;
    }
    page.heading("Days until the engine no longer starts, by temperature");
    page.grid(2, grid);
    page.line(2, BOUNDS);
}

/// Standing time by temperature; empty where it cannot be told.
#[must_use]
pub fn temperatures(of: Standing<'_>) -> Grid<'static> {
    let standing = of.parked.starter().map(|bank| bank.standing.as_slice());
    let rows = standing.unwrap_or_default().iter();
    let columns = [
        Column::Figures("At"),
        Column::Figures("Days"),
        Column::Figures("At least"),
        Column::Figures("At most"),
        Column::Figures("9 of 10 between"),
        Column::Figures("Usable"),
        Column::Figures("Floor"),
        Column::Words("Set by"),
    ];
    Grid::new(&columns, rows.map(|row| temperature(of, row)).collect())
}

fn temperature(of: Standing<'_>, row: &endurance::Standing) -> Vec<String> {
    let days = row.days;
    let set_by = if row.floor > 1.0 {
        format!("{}: it does not start even full", row.floor_by.text())
    } else {
        row.floor_by.text().to_owned()
    };
    vec![
        of.show.one(row.at),
        digits(days.likely, 3),
        digits(days.low, 3),
        digits(days.high, 3),
        days.percentiles.map_or_else(String::new, |drawn| {
            format!("{} to {}", digits(drawn.p5, 3), digits(drawn.p95, 3))
        }),
        of.show.one(AmpHours(row.usable.0)),
        if row.floor > 1.0 {
            "over full".to_owned()
        } else {
            of.show.one(Fraction(row.floor))
        },
        set_by,
    ]
}

fn from_key_off(of: Standing<'_>, timeline: &Timeline, page: &mut Page) {
    if timeline.events.is_empty() {
        return;
    }
    page.heading(&format!(
        "From key-off on, at {}",
        of.show.one(of.parked.at)
    ));
    page.grid(2, events(of, timeline));
}

/// What happens after the key went off.
#[must_use]
pub fn events(of: Standing<'_>, timeline: &Timeline) -> Grid<'static> {
    let rows = timeline.events.iter().map(|event| {
        vec![
            of.show.one(event.at),
            of.show.one(event.draw),
            event.what.clone(),
        ]
    });
    let columns = [
        Column::Figures("After"),
        Column::Figures("Draw"),
        Column::Words("What happens"),
    ];
    Grid::new(&columns, rows.collect())
}
