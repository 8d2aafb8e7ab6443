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
use crate::quantity::Interval;
use crate::quantity::Seconds;
use crate::render::snippet::Look;
use crate::render::text::Grid;
use crate::render::text::Page;
use crate::render::text::assumed;
use crate::render::text::page::Column;
use crate::render::text::show::Show;
use crate::render::words;

/// What is told.
#[derive(Clone, Copy, Debug)]
pub struct Told<'a> {
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// How quantities are shown.
    pub show: Show,
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
    let values = values.chain(&budget.assumed);
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
}

/// A figure that would be less were everything known.
fn at_most(mut figure: String, missing: &[String]) -> String {
    if !missing.is_empty() {
        figure += " at most";
    }
    figure
}

fn situations(told: &Told<'_>, rows: &[Row], page: &mut Page) {
    page.heading("Load against charging");
    page.grid(2, told.balance(rows));
    page.line(2, BALANCE);
    if let Some(lacks) = told.lacks(rows) {
        page.line(2, &lacks);
    }
    if let Some(peaks) = told.peaks(rows) {
        page.line(2, &peaks);
    }
}

/// What is said under the table of load against charging.
pub const BALANCE: &str = "Lasting: what runs all the time. Average: weighted by duty. Peak: everything on while the part \
                           with the largest inrush starts. Surplus: what the alternator can give less the average; the \
                           battery gives what is below nothing. Floor in: until the battery no longer starts the engine. \
                           Put back in: how long driving takes to make up for it.";

impl Told<'_> {
    /// Every situation against the charging system.
    #[must_use]
    pub fn balance(&self, rows: &[Row]) -> Grid<'static> {
        let cells = rows.iter().map(|row| {
            let balance = &row.balance;
            vec![
                row.situation.name.clone(),
                row.situation.key.text().to_owned(),
                words::engine(row.situation.engine),
                words::whole(self.show.one(balance.continuous), &balance.missing),
                words::whole(self.show.one(balance.average), &balance.missing),
                words::whole(self.show.one(row.peak), &balance.missing),
                row.limit
                    .map_or_else(String::new, |limit| self.between(limit)),
                row.surplus.map_or_else(String::new, |surplus| {
                    at_most(self.show.signed(surplus), &balance.missing)
                }),
                row.hours_to_floor.map_or_else(String::new, |hours| {
                    let hours = self.show.one(Seconds::from_hours(hours));
                    at_most(hours, &balance.missing)
                }),
                self.hours(row.cruise_hours_to_recover),
            ]
        });
        let columns = [
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
        ];
        Grid::new(&columns, cells.collect())
    }

    /// What the table lacks, in a sentence.
    #[must_use]
    pub fn lacks(&self, rows: &[Row]) -> Option<String> {
        let missing = words::all(rows.iter().map(|row| &row.balance.missing));
        (!missing.is_empty()).then(|| words::not_whole(&missing))
    }

    /// Which parts make the peaks, in a sentence.
    #[must_use]
    pub fn peaks(&self, rows: &[Row]) -> Option<String> {
        let peaks = rows.iter().filter_map(|row| {
            let part = row.peak_by?;
            Some(format!("{} ({})", self.name(part), row.situation.name))
        });
        let peaks: Vec<String> = peaks.collect();
        (!peaks.is_empty()).then(|| format!("The peak is made by: {}.", words::list(&peaks)))
    }

    /// Both ends, or the one figure that they are.
    fn between(&self, range: Interval<Amps>) -> String {
        let words = self.show.range(range);
        if words.is_empty() {
            self.show.one(range.low)
        } else {
            words
        }
    }

    /// Who takes the current of a situation, and through what; empty where nobody does.
    #[must_use]
    pub fn takers(&self, row: &Row) -> Grid<'static> {
        let line = |kind: &str, flow: &Flow| {
            vec![
                self.name(flow.part).to_owned(),
                kind.to_owned(),
                self.show.one(flow.current),
                self.show.one(flow.volts),
                self.show.one(flow.current * flow.volts),
                self.vehicle
                    .part(flow.part)
                    .what
                    .clone()
                    .unwrap_or_default(),
            ]
        };
        let mut rows = Vec::new();
        if row.balance.load.0 > 1e-6 {
            let users = row.balance.users.iter();
            let mut users: Vec<&Flow> = users.filter(|user| user.current.0 > 1e-6).collect();
            users.sort_by(|a, b| {
                let larger_first = b.current.0.total_cmp(&a.current.0);
                larger_first.then(a.part.cmp(&b.part))
            });
            rows.extend(users.into_iter().map(|flow| line("part", flow)));
            rows.extend(row.feeds.iter().map(|flow| line("feed", flow)));
            rows.extend(row.fuses.iter().map(|flow| line("fuse", flow)));
        }
        let columns = [
            Column::Words("Name"),
            Column::Words("Is a"),
            Column::Figures("Current"),
            Column::Figures("at"),
            Column::Figures("Power"),
            Column::Words("What it is"),
        ];
        Grid::new(&columns, rows)
    }

    /// The phases of a shift.
    #[must_use]
    pub fn phases(&self, shift: &Shift) -> Grid<'static> {
        let phases = shift.phases.iter().zip(shift.charge.iter().skip(1));
        let rows = phases.map(|((name, current), (hours, charge))| {
            vec![
                name.clone(),
                self.show.signed(*current),
                self.show.one(Seconds::from_hours(*hours)),
                self.show.one(Fraction(*charge)),
            ]
        });
        let columns = [
            Column::Words("Phase"),
            Column::Figures("Into the battery"),
            Column::Figures("Ends after"),
            Column::Figures("Charge then"),
        ];
        Grid::new(&columns, rows.collect())
    }

    /// With which charge a shift starts, in a sentence.
    #[must_use]
    pub fn starts_with(&self, shift: &Shift) -> Option<String> {
        let (_, charge) = shift.charge.first()?;
        let charge = self.show.one(Fraction(*charge));
        Some(format!("It starts with {charge} of the charge."))
    }

    /// How a shift ends, in a sentence.
    #[must_use]
    pub fn ends(&self, shift: &Shift) -> String {
        let lacking = words::list(&shift.missing);
        match shift.reaches_floor {
            Some(hours) if hours <= 0.0 => {
                "The battery does not start the engine even at its start.".to_owned()
            }
            Some(hours) => {
                let hours = self.show.one(Seconds::from_hours(hours));
                if shift.missing.is_empty() {
                    format!("After {hours} the battery no longer starts the engine.")
                } else {
                    format!(
                        "After {hours} at most the battery no longer starts the engine; not known, and so not in it: {lacking}."
                    )
                }
            }
            None if !shift.missing.is_empty() => format!(
                "As far as is known the battery still starts the engine at its end; not known, and so not in it: {lacking}."
            ),
            None => "The battery still starts the engine at its end.".to_owned(),
        }
    }

    /// The load analysis.
    #[must_use]
    pub fn analysis(&self, analysis: &Analysis) -> Grid<'static> {
        let stated = |amps: Option<String>| amps.unwrap_or_else(|| "not stated".to_owned());
        let mut rows = vec![
            vec![
                "alternator, nameplate".to_owned(),
                stated(analysis.nameplate.map(|amps| self.show.one(amps))),
            ],
            vec![
                "alternator, hot at idle".to_owned(),
                stated(analysis.idle.map(|idle| self.between(idle))),
            ],
            vec![
                "minimum continuous load".to_owned(),
                words::whole(
                    self.show.one(analysis.minimum_continuous),
                    &analysis.missing,
                ),
            ],
            vec![
                "total continuous load".to_owned(),
                words::whole(self.show.one(analysis.total_continuous), &analysis.missing),
            ],
        ];
        for (part, current, duty) in &analysis.intermittent {
            rows.push(vec![
                format!(
                    "intermittent: {}, {} of the time",
                    self.name(*part),
                    self.show.one(Fraction(*duty))
                ),
                self.show.one(*current),
            ]);
        }
        if let Some(share) = analysis.reserve_share {
            rows.push(vec![
                "share of the reserve that ten minutes of the minimum load take (50 % at most)"
                    .to_owned(),
                words::whole(self.show.one(Fraction(share)), &analysis.missing),
            ]);
        }
        let columns = [Column::Words("What"), Column::Figures("How much")];
        Grid::new(&columns, rows)
    }

    /// What to switch off so that the rest is carried at idle, in a sentence.
    #[must_use]
    pub fn shed(&self, analysis: &Analysis) -> Option<String> {
        let shed = analysis.shed.iter();
        let shed: Vec<String> = shed
            .map(|(part, current)| format!("{} ({})", self.name(*part), self.show.one(*current)))
            .collect();
        (!shed.is_empty()).then(|| {
            format!(
                "At idle not all of it is carried. Switch off in this order until it is: {}.",
                shed.join(", ")
            )
        })
    }
}

/// What is said under the load analysis.
pub const ANALYSIS: &str = "It follows the load analysis that public emergency-vehicle standards ask for; it is an analysis, not \
                            a certificate.";

fn takers(told: &Told<'_>, row: &Row, page: &mut Page) {
    let grid = told.takers(row);
    if grid.is_empty() {
        return;
    }
    page.heading(&format!(
        "{}: who takes it, and through what",
        row.situation.name
    ));
    page.grid(2, grid);
}

fn followed(told: &Told<'_>, shift: &Shift, page: &mut Page) {
    page.heading(&format!("The shift `{}`", shift.name));
    if let Some(start) = told.starts_with(shift) {
        page.line(2, &start);
    }
    page.grid(2, told.phases(shift));
    page.line(2, &told.ends(shift));
}

fn analysis(told: &Told<'_>, analysis: &Analysis, page: &mut Page) {
    page.heading("Load analysis, with everything on");
    page.grid(2, told.analysis(analysis));
    if !analysis.missing.is_empty() {
        page.line(2, &words::not_whole(&analysis.missing));
    }
    if let Some(shed) = told.shed(analysis) {
        page.line(2, &shed);
    }
    page.line(2, ANALYSIS);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyze::analyze;
    use crate::analyze::park::park;
    use crate::model::testing::vehicle;
    use crate::quantity::show::Units;
    use crate::solve::Solver;

    /// Six of seven hours at idle, where the alternator gives 30 A and the vehicle takes 20 A of its own beside the lamps.
    fn page(parked: &str, cranking: &str, lamps: &str) -> String {
        let vehicle = vehicle(&format!(
            "vehicle: {{system: 12 V, engine: {{cranking: {cranking}}}, own-load: {{off: 20 mA, run: 20 A}}, climate: {{parked: {parked}}}}}
parts:
  B1: {{kind: battery, chemistry: flooded, capacity: 100 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}}
  ALT: {{kind: alternator, rated: 60 A, at-idle: 30 A}}
  RUN: {{kind: feed, hot-in: run, limit: 60 A}}
  LAMPS: {{kind: load, type: led{lamps}}}
  RADIO: {{kind: load, type: electronics, draw: 5 A}}
wires:
  - {{from: RUN, to: LAMPS, size: 4 AWG, length: 1 m}}
  - {{from: RUN, to: RADIO, size: 14 AWG, length: 1 m}}
situations:
  night: {{key: run, engine: idle, phases: [{{what: drive out, engine: cruise, for: 1 h}}, {{for: 6 h}}]}}
"
        ));
        let solved = analyze(&vehicle);
        let parked = park(&vehicle, &solved.key_off);
        let budget = crate::analyze::budget::budget(&mut Solver::new(&vehicle), &solved, &parked);
        let show = Show(Units::Metric);
        let page = super::budget(&vehicle, &parked, &budget, show, Look::default());
        page.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    fn says(page: &str, sentence: &str) {
        assert!(page.contains(sentence), "{sentence}\n{page}");
    }

    #[test]
    fn how_a_shift_ends_is_told() {
        // 20 A, 5 A and 2 A are less than the 30 A of idle.
        let page_of_little = page("20 C", "150 A", ", draw: 2 A");
        says(
            &page_of_little,
            "The shift `night` It starts with 100 % of the charge.",
        );
        says(
            &page_of_little,
            "The battery still starts the engine at its end.",
        );
        // 55 A less 30 A, for six hours, are more than 100 Ah.
        let page_of_much = page("20 C", "150 A", ", draw: 30 A");
        says(&page_of_much, "of the charge. Phase");
        says(&page_of_much, "h 0 %");
        says(&page_of_much, "h the battery no longer starts the engine.");
        says(
            &page_of_much,
            "Switch off in this order until it is: LAMPS (",
        );
    }

    #[test]
    fn what_is_not_known_of_a_shift_is_left_open() {
        let page = page("20 C", "150 A", "");
        says(
            &page,
            "As far as is known the battery still starts the engine at its end; not known, and so not in it: LAMPS.draw.",
        );
        says(
            &page,
            "Not known, so what has a + is not whole: LAMPS.draw.",
        );
        says(&page, "at most");
    }

    /// A shift that starts where the battery cannot start the engine does not end where it can.
    #[test]
    fn a_battery_too_weak_for_the_cold_never_starts_the_engine() {
        let page = page("-30 C", "700 A", ", draw: 30 A");
        says(
            &page,
            "The battery does not start the engine even at its start.",
        );
    }
}
