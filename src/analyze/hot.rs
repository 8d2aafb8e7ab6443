//! What is live with the key off, and what stands between it and its source.

use super::Solved;
use super::route;
use super::route::Route;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::quantity::Amps;
use crate::quantity::Volts;
use crate::read::document::Kind;
use crate::solve::AtKey;
use crate::solve::Detail;
use crate::solve::Solver;

/// Something that is live with the key off.
#[derive(Clone, Debug)]
pub struct Hot {
    /// What it is.
    pub what: What,
    /// The end at which it is live in the smallest setting.
    pub at: TerminalId,
    /// The key is off; whether it is on shore power, or only just turned off.
    pub when: AtKey,
    /// The smallest setting; empty where it is live as the vehicle is left.
    pub setting: Setting,
    /// Its voltage in it.
    pub volts: Volts,
    /// What flows through a wire as the vehicle is left.
    pub parked: Option<Amps>,
    /// By which ways.
    pub routes: Vec<Route>,
}

/// What is live.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum What {
    /// A wire.
    Wire(WireId),
    /// Metal that wires land on, or an end that goes nowhere.
    Point(PartId),
}

impl Hot {
    /// It is live as the vehicle is left.
    #[must_use]
    pub fn always(&self) -> bool {
        self.setting == Setting::default()
    }

    /// Some way to it has no protection.
    #[must_use]
    pub fn is_bare(&self) -> bool {
        self.routes.iter().any(|route| route.protections.is_empty())
    }
}

/// Every wire of the record, and every stud, busbar, splice and wire end, that is live with the key off in some setting: those
/// without protection first, then as left before what a switch decides, then in the order of the record.
#[must_use]
pub fn hot(solver: &mut Solver<'_>, solved: &Solved, detail: &Detail) -> Vec<Hot> {
    let vehicle = solver.vehicle();
    let mut all = Vec::new();
    for id in vehicle.wire_ids().filter(|&id| !vehicle.wire(id).assumed) {
        let wire = vehicle.wire(id);
        let parked = solved.situations.first().map(|(_, left)| left.wire(id));
        all.extend(find(
            solver,
            detail,
            What::Wire(id),
            &[wire.from, wire.to],
            parked,
        ));
    }
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        if matches!(
            part.kind,
            Kind::Stub | Kind::Stud | Kind::Busbar | Kind::Splice
        ) {
            all.extend(find(solver, detail, What::Point(id), &part.terminals, None));
        }
    }
    all.sort_by_key(|hot| {
        let point = matches!(hot.what, What::Point(_));
        (point, !hot.is_bare(), !hot.always())
    });
    all
}

fn find(
    solver: &mut Solver<'_>,
    detail: &Detail,
    what: What,
    ends: &[TerminalId],
    parked: Option<Amps>,
) -> Option<Hot> {
    let vehicle: &Vehicle = solver.vehicle();
    let keys = detail.keys();
    let off = keys.iter().enumerate().filter(|(_, at)| at.key == Key::Off);
    for (number, &when) in off {
        let live = ends
            .iter()
            .filter_map(|&at| Some((at, detail.live(vehicle, number, at)?)))
            .min_by_key(|(_, found)| {
                let setting = &found.setting;
                setting.closed.len() + setting.opened.len() + usize::from(setting.also.is_some())
            });
        if let Some((at, found)) = live {
            let solution = solver.solve(&found.state, &found.memory);
            return Some(Hot {
                what,
                at,
                when,
                setting: found.setting,
                volts: solution.at(at),
                parked,
                routes: route::routes(vehicle, &solution, at),
            });
        }
    }
    None
}
