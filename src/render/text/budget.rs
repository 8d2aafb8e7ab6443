//! The load on the charging system, in words.

use crate::analyze::Flow;
use crate::analyze::budget::Analysis;
use crate::analyze::budget::Budget;
use crate::analyze::budget::Row;
use crate::analyze::budget::Shift;
use crate::analyze::park::Parked;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Seconds;
use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::render::text::assumed;
use crate::render::text::page::Column;
use crate::render::text::show::Show;
use crate::render::words;

/// What is told.
struct Told<'a> {
    vehicle: &'a Vehicle,
    show: Show,
}

/// The whole page.
#[must_use]
pub fn budget(
    vehicle: &Vehicle,
    parked: &Parked,
    budget: &Budget,
    show: Show,
    look: Look,
) -> String {
    let told = Told { vehicle, show };
    let mut page = Page::new(look);
    let name = page.strong(&vehicle.name);
    page.line(
        0,
        &format!(
            "{name} ({}), {}",
            words::path(&vehicle.document.sources),
            show.one(vehicle.system.likely)
        ),
    );
    situations(&told, &budget.rows, &mut page);
    for row in &budget.rows {
        takers(&told, row, &mut page);
    }
    for shift in &budget.shifts {
        followed(&told, shift, &mut page);
    }
    analysis(&told, &budget.analysis, &mut page);
    let values = vehicle.assumed.iter().chain(&parked.assumed);
    assumed::write(&mut page, show, values);
    page.blank();
    page.line(0, words::ADVICE);
    page.into_text()
}

impl Told<'_> {
    fn name(&self, part: PartId) -> &str {
        &self.vehicle.part(part).name.value
    }

    fn hours(&self, hours: Option<f64>) -> String {
        hours.map_or_else(String::new, |hours| {
            self.show.one(Seconds::from_hours(hours))
        })
    }

    fn amps(&self, amps: Option<Amps>) -> String {
        amps.map_or_else(String::new, |amps| self.show.one(amps))
    }
}

fn situations(told: &Told<'_>, rows: &[Row], page: &mut Page) {
    page.heading("Load against charging");
    let cells = rows
        .iter()
        .map(|row| {
            let balance = &row.balance;
            let limit = row.limit.map_or_else(String::new, |limit| {
                let range = told.show.range(limit);
                if range.is_empty() {
                    told.show.one(limit.low)
                } else {
                    range
                }
            });
            vec![
                row.situation.name.clone(),
                row.situation.key.text().to_owned(),
                words::engine(row.situation.engine),
                told.show.one(balance.continuous),
                told.show.one(balance.average),
                told.show.one(row.peak),
                limit,
                row.surplus
                    .map_or_else(String::new, |surplus| sign(told, surplus)),
                told.hours(row.hours_to_floor),
                told.hours(row.cruise_hours_to_recover),
            ]
        })
        .collect();
    page.table(
        2,
        &[
            Column::Words("Situation"),
            Column::Words("Key"),
            Column::Words("Engine"),
            Column::Figures("Lasting"),
            Column::Figures("Average"),
            Column::Figures("Peak"),
            Column::Words("Alternator can"),
            Column::Figures("Surplus"),
            Column::Figures("Floor in"),
            Column::Figures("Put back in"),
        ],
        cells,
    );
    page.line(
        2,
        "Lasting: what runs all the time. Average: weighted by duty. Peak: everything on while the part with the largest \
         inrush starts. Surplus: what the alternator can give less the average; the battery gives what is below nothing. \
         Floor in: until the battery no longer starts the engine. Put back in: hours of cruise that make up for it.",
    );
    let peaks: Vec<String> = rows
        .iter()
        .filter_map(|row| {
            let part = row.peak_by?;
            Some(format!("{} ({})", told.name(part), row.situation.name))
        })
        .collect();
    if !peaks.is_empty() {
        page.line(2, &format!("The peak is made by: {}.", words::list(&peaks)));
    }
}

/// Who takes the current of a situation, and through what.
fn takers(told: &Told<'_>, row: &Row, page: &mut Page) {
    let balance = &row.balance;
    if balance.load.0 <= 1e-6 {
        return;
    }
    page.heading(&format!(
        "{}: who takes it, and through what",
        row.situation.name
    ));
    let line = |kind: &str, flow: &Flow| {
        vec![
            kind.to_owned(),
            told.name(flow.part).to_owned(),
            told.show.one(flow.current),
            told.show.one(flow.volts),
            told.show.one(flow.current * flow.volts),
            told.vehicle
                .part(flow.part)
                .what
                .clone()
                .unwrap_or_default(),
        ]
    };
    let mut users: Vec<&Flow> = balance
        .users
        .iter()
        .filter(|user| user.current.0 > 1e-6)
        .collect();
    users.sort_by(|a, b| {
        b.current
            .0
            .total_cmp(&a.current.0)
            .then(a.part.cmp(&b.part))
    });
    let users = users.into_iter().map(|flow| line("part", flow));
    let feeds = row.feeds.iter().map(|flow| line("feed", flow));
    let fuses = row.fuses.iter().map(|flow| line("fuse", flow));
    page.table(
        2,
        &[
            Column::Words("By"),
            Column::Words("Name"),
            Column::Figures("Current"),
            Column::Figures("at"),
            Column::Figures("Power"),
            Column::Words("What it is"),
        ],
        users.chain(feeds).chain(fuses).collect(),
    );
}

fn sign(told: &Told<'_>, current: Amps) -> String {
    told.show.signed(current)
}

fn followed(told: &Told<'_>, shift: &Shift, page: &mut Page) {
    page.heading(&format!("The shift `{}`", shift.name));
    let start = shift.charge.first().map(|(_, charge)| *charge);
    let mut rows = Vec::new();
    for ((name, current), (hours, charge)) in shift.phases.iter().zip(shift.charge.iter().skip(1)) {
        rows.push(vec![
            name.clone(),
            told.show.signed(*current),
            told.show.one(Seconds::from_hours(*hours)),
            told.show.one(Fraction(*charge)),
        ]);
    }
    if let Some(start) = start {
        page.line(
            2,
            &format!(
                "It starts with {} of the charge.",
                told.show.one(Fraction(start))
            ),
        );
    }
    page.table(
        2,
        &[
            Column::Words("Phase"),
            Column::Figures("Into the battery"),
            Column::Figures("Ends after"),
            Column::Figures("Charge then"),
        ],
        rows,
    );
    match shift.reaches_floor {
        Some(hours) => page.line(
            2,
            &format!(
                "After {} the battery no longer starts the engine.",
                told.show.one(Seconds::from_hours(hours))
            ),
        ),
        None => page.line(2, "The battery still starts the engine at its end."),
    }
}

fn analysis(told: &Told<'_>, analysis: &Analysis, page: &mut Page) {
    page.heading("Load analysis, with everything on");
    let mut rows = vec![
        vec![
            "alternator, nameplate".to_owned(),
            told.amps(analysis.nameplate),
        ],
        vec![
            "alternator, hot at idle".to_owned(),
            analysis.idle.map_or_else(String::new, |idle| {
                let range = told.show.range(idle);
                if range.is_empty() {
                    told.show.one(idle.low)
                } else {
                    range
                }
            }),
        ],
        vec![
            "minimum continuous load".to_owned(),
            told.show.one(analysis.minimum_continuous),
        ],
        vec![
            "total continuous load".to_owned(),
            told.show.one(analysis.total_continuous),
        ],
    ];
    for row in &mut rows {
        if row[1].is_empty() {
            "not stated".clone_into(&mut row[1]);
        }
    }
    for (part, current, duty) in &analysis.intermittent {
        rows.push(vec![
            format!(
                "intermittent: {}, {} of the time",
                told.name(*part),
                told.show.one(Fraction(*duty))
            ),
            told.show.one(*current),
        ]);
    }
    if let Some(share) = analysis.reserve_share {
        rows.push(vec![
            "ten minutes of the minimum load, of the reserve (at most 50 %)".to_owned(),
            told.show.one(Fraction(share)),
        ]);
    }
    page.table(
        2,
        &[Column::Words("What"), Column::Figures("How much")],
        rows,
    );
    if !analysis.shed.is_empty() {
        let shed: Vec<String> = analysis
            .shed
            .iter()
            .map(|(part, current)| format!("{} ({})", told.name(*part), told.show.one(*current)))
            .collect();
        page.line(
            2,
            &format!(
                "At idle not all of it is carried. Switch off in this order until it is: {}.",
                shed.join(", ")
            ),
        );
    }
    page.line(
        2,
        "It follows the load analysis that public emergency-vehicle standards ask for; it is an analysis, not a certificate.",
    );
}
