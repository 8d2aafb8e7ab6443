//! The load on the charging system in the shape of format 1.

use super::audit::assumed;
use super::audit::document;
use super::audit::part_name;
use super::audit::situation;
use super::number;
use super::v1;
use crate::analyze::Flow;
use crate::analyze::budget::Analysis;
use crate::analyze::budget::Budget;
use crate::analyze::budget::Row;
use crate::analyze::budget::Shift;
use crate::analyze::park::Parked;
use crate::check::Report;
use crate::model::Vehicle;

/// The whole budget. The report gives what each wire carries.
#[must_use]
pub fn budget(vehicle: &Vehicle, report: &Report, parked: &Parked, budget: &Budget) -> v1::Budget {
    v1::Budget {
        format: v1::FORMAT,
        document: document(vehicle),
        situations: budget
            .rows
            .iter()
            .map(|of| row(vehicle, report, of))
            .collect(),
        shifts: budget.shifts.iter().map(shift).collect(),
        analysis: analysis(vehicle, &budget.analysis),
        assumed: vehicle
            .assumed
            .iter()
            .chain(&parked.assumed)
            .chain(&budget.assumed)
            .map(assumed)
            .collect(),
    }
}

fn row(vehicle: &Vehicle, report: &Report, row: &Row) -> v1::BudgetRow {
    let balance = &row.balance;
    let shift = row.phase.as_ref();
    let shift = shift.map(|(shift, phase)| (shift.as_str(), phase.as_str(), balance.average));
    v1::BudgetRow {
        situation: situation(vehicle, report, &row.situation, &row.solution, shift),
        continuous_a: number(balance.continuous.0),
        continuous_low_a: number(balance.continuous_low.0),
        continuous_high_a: number(balance.continuous_high.0),
        peak_a: number(row.peak.0),
        peak_by: row.peak_by.map(|part| part_name(vehicle, part)),
        alternator_low_a: row.limit.map(|limit| number(limit.low.0)),
        alternator_high_a: row.limit.map(|limit| number(limit.high.0)),
        surplus_a: row.surplus.map(|surplus| number(surplus.0)),
        hours_to_floor: row.hours_to_floor.map(number),
        cruise_hours_to_recover: row.cruise_hours_to_recover.map(number),
        power: powers(vehicle, &balance.users),
        by_feed: powers(vehicle, &row.feeds),
        by_fuse: powers(vehicle, &row.fuses),
    }
}

fn powers(vehicle: &Vehicle, flows: &[Flow]) -> Vec<v1::Power> {
    let power = |flow: &Flow| v1::Power {
        part: part_name(vehicle, flow.part),
        current_a: number(flow.current.0),
        power_w: number((flow.current * flow.volts).0),
    };
    flows.iter().map(power).collect()
}

fn shift(shift: &Shift) -> v1::Shift {
    v1::Shift {
        name: shift.name.clone(),
        charge: shift
            .charge
            .iter()
            .map(|(hours, charge)| v1::ChargeAt {
                at_h: number(*hours),
                charge: number(*charge),
            })
            .collect(),
        phases: shift
            .phases
            .iter()
            .map(|(name, current)| v1::Phase {
                name: name.clone(),
                into_battery_a: number(current.0),
            })
            .collect(),
        reaches_floor_h: shift.reaches_floor.map(number),
        missing: shift.missing.clone(),
    }
}

fn analysis(vehicle: &Vehicle, analysis: &Analysis) -> v1::Analysis {
    v1::Analysis {
        nameplate_a: analysis.nameplate.map(|amps| number(amps.0)),
        idle_low_a: analysis.idle.map(|idle| number(idle.low.0)),
        idle_high_a: analysis.idle.map(|idle| number(idle.high.0)),
        minimum_continuous_a: number(analysis.minimum_continuous.0),
        total_continuous_a: number(analysis.total_continuous.0),
        intermittent: analysis
            .intermittent
            .iter()
            .map(|(part, current, duty)| v1::Intermittent {
                part: part_name(vehicle, *part),
                current_a: number(current.0),
                duty: number(*duty),
            })
            .collect(),
        reserve_share: analysis.reserve_share.map(number),
        shed: analysis
            .shed
            .iter()
            .map(|(part, current)| v1::Shed {
                part: part_name(vehicle, *part),
                current_a: number(current.0),
            })
            .collect(),
        missing: analysis.missing.clone(),
    }
}
