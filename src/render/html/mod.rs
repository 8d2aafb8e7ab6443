//! Pages for a browser and for paper: one file that needs nothing else, without scripts; [`live`] adds the one that loads anew.
//!
//! Everything is escaped by the template macro; `frame::picture` is the only way past it, and takes only what this program drew.

mod basis;
mod compare;
mod diagram;
mod excerpt;
mod findings;
mod frame;
mod hunt;
mod lists;
mod live;
mod load;
mod paper;
mod standing;
mod states;
mod summary;

pub use live::SCRIPT as LIVE_SCRIPT;
pub use live::live;
pub use live::trouble;
pub use paper::Kind as PaperKind;
pub use paper::paper;
pub use paper::removal_record;

use maud::Markup;
use maud::html;

use crate::Audit;
use crate::analyze::Solved;
use crate::analyze::budget;
use crate::analyze::budget::Budget;
use crate::analyze::endurance::Starts;
use crate::analyze::park;
use crate::analyze::timeline::Timeline;
use crate::check::Report;
use crate::check::Reported;
use crate::draw::Paper;
use crate::model::Assumed;
use crate::model::Vehicle;
use crate::quantity::show::Units;
use crate::render::text::audit;
use crate::render::text::audit::Told;
use crate::render::text::budget::Told as Balanced;
use crate::solve::Solver;

/// How a page is made.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Options {
    /// Units in which lengths and temperatures are shown.
    pub units: Units,
    /// The paper that diagrams are laid out for.
    pub paper: Paper,
}

/// What all sections read from.
struct Material<'a> {
    told: Told<'a>,
    timeline: Timeline,
    budget: Budget,
    starts: Option<(f64, Starts)>,
    options: Options,
}

impl<'a> Material<'a> {
    fn new(vehicle: &'a Vehicle, solved: &'a Solved, report: &'a Report, options: Options) -> Self {
        let parked = park::park_by_temperature(vehicle, &solved.key_off);
        let mut solver = Solver::new(vehicle);
        let timeline = park::follow(&mut solver, &parked);
        let budget = budget::budget(&mut solver, solved, &parked);
        let starts = vehicle.stands.and_then(|stands| {
            let days = stands.likely.days();
            park::starts(&parked, parked.at, days).map(|starts| (days, starts))
        });
        let told = audit::Options {
            units: options.units,
            ..audit::Options::default()
        };
        Self {
            told: Told::new(vehicle, solved, report, parked, told),
            timeline,
            budget,
            starts,
            options,
        }
    }

    fn balanced(&self) -> Balanced<'_> {
        Balanced {
            vehicle: self.told.vehicle,
            show: self.told.show,
        }
    }

    /// Every value that was taken for want of a stated one.
    fn assumed(&self) -> impl Iterator<Item = &Assumed> {
        let values = self.told.vehicle.assumed.iter();
        let values = values.chain(&self.told.parked.assumed);
        values.chain(&self.budget.assumed)
    }

    /// What is not accepted, the worst first, as numbered here and in the drawings.
    fn open(&self) -> impl Iterator<Item = (usize, &Reported)> {
        let findings = self.told.report.findings.iter();
        let open = findings.filter(|one| one.accepted.is_none());
        open.enumerate().map(|(at, one)| (at + 1, one))
    }
}

/// One section of a page: its anchor, its heading, what stands in it.
struct Section {
    anchor: &'static str,
    heading: &'static str,
    body: Markup,
}

impl Section {
    const fn new(anchor: &'static str, heading: &'static str, body: Markup) -> Self {
        Self {
            anchor,
            heading,
            body,
        }
    }
}

/// The whole report on a record: what was found first, then everything that it rests on.
#[must_use]
pub fn report(vehicle: &Vehicle, solved: &Solved, report: &Report, options: Options) -> String {
    write(&Material::new(vehicle, solved, report, options), None)
}

/// The same, with what differs from another record of the vehicle.
#[must_use]
pub fn report_against(before: &Audit, after: &Audit, options: Options) -> String {
    let of = Material::new(&after.vehicle, &after.solved, &after.report, options);
    let differs = compare::section(before, after, of.told.show);
    let section = Section::new("compare", "Against the other record", differs);
    write(&of, Some(section))
}

fn write(of: &Material<'_>, differs: Option<Section>) -> String {
    let vehicle = of.told.vehicle;
    let drawings = diagram::drawings(of);
    let [live, works] = states::sections(of);
    let mut sections = vec![
        Section::new("summary", "Summary", summary::section(of)),
        Section::new(
            "findings",
            "Findings, the worst first",
            findings::section(of),
        ),
        Section::new(
            "not-judged",
            "What could not be judged",
            findings::not_judged(of),
        ),
        Section::new("diagram", "Wiring diagram", diagram::section(&drawings)),
        Section::new(
            "key-off",
            "Standing with the key off",
            standing::section(of),
        ),
        Section::new("live", "What is live with the key off", live),
        Section::new("works", "What works when", works),
        Section::new(
            "hunt",
            "What was measured with the key off",
            hunt::section(of),
        ),
        Section::new("load", "Load against charging", load::section(of)),
        Section::new("fuses", "Fuse chart", lists::fuses(of)),
        Section::new("wires", "Wire list", lists::wires(of)),
        Section::new("assumed", "What was assumed", basis::assumed(of)),
        Section::new(
            "not-checked",
            "What was not checked",
            basis::not_checked(of),
        ),
        Section::new("cautions", "Cautions", basis::cautions(of)),
        Section::new("sources", "Sources", basis::sources(of)),
    ];
    if let Some(differs) = differs {
        sections.insert(1, differs);
    }
    let opening = html! {
        p class="about" { (frame::about(vehicle, of.told.show)) }
    };
    let page = frame::Page {
        title: &format!("{}: report", vehicle.name),
        heading: &vehicle.name,
        opening,
        contents: true,
        style: &diagram::style(drawings.len()),
    };
    page.write(&sections)
}
