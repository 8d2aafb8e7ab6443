//! The audit of one record in the shape of format 1.

use super::number;
use super::v1;
use crate::analyze::Balance;
use crate::analyze::Explored;
use crate::analyze::Flow;
use crate::analyze::KeyOff;
use crate::analyze::Solved;
use crate::analyze::endurance::Standing;
use crate::analyze::park::Parked;
use crate::analyze::park::park;
use crate::check::Harm;
use crate::check::Level;
use crate::check::Measure;
use crate::check::Report;
use crate::check::Reported;
use crate::model::Assumed;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Situation;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::quantity::{Amps, Seconds};
use crate::render::words;
use crate::solve::Solution;
use crate::source::Sources;
use crate::source::Span;

/// Everything that the audit of one record came to.
#[must_use]
pub fn audit(vehicle: &Vehicle, solved: &Solved, report: &Report) -> v1::Audit {
    let parked = park(vehicle, &solved.key_off);
    v1::Audit {
        format: v1::FORMAT,
        document: document(vehicle),
        summary: summary(report),
        findings: report
            .findings
            .iter()
            .map(|reported| finding(vehicle, reported))
            .collect(),
        not_checked: report
            .gaps
            .iter()
            .map(|(check, gap)| v1::NotChecked {
                check: check.name.to_owned(),
                parts: part_names(vehicle, &gap.parts),
                wires: wire_names(vehicle, &gap.wires),
                missing: gap.missing.clone(),
            })
            .collect(),
        assumed: vehicle
            .assumed
            .iter()
            .chain(&parked.assumed)
            .map(assumed)
            .collect(),
        key_off: key_off(vehicle, &solved.key_off, &parked),
        situations: solved
            .situations
            .iter()
            .map(|(of, solution)| match solved.worst_of(of) {
                Some(worst) => {
                    let shift = (worst.shift.as_str(), worst.phase.as_str(), worst.average);
                    situation(
                        vehicle,
                        report,
                        &worst.situation,
                        &worst.solution,
                        Some(shift),
                    )
                }
                None => situation(vehicle, report, of, solution, None),
            })
            .collect(),
        explored: explored(&solved.explored),
    }
}

/// Which record it is about.
pub(in crate::render) fn document(vehicle: &Vehicle) -> v1::Document {
    v1::Document {
        path: words::path(&vehicle.document.sources).to_owned(),
        name: vehicle.stated_name(),
    }
}

/// How much was looked at.
pub(in crate::render) const fn explored(of: &Explored) -> v1::Explored {
    v1::Explored {
        settings: of.settings,
        of: of.of,
        complete: of.complete,
        exact: !of.together,
    }
}

/// How many of what.
pub(in crate::render) fn summary(report: &Report) -> v1::Summary {
    let count = words::Count::of(report);
    v1::Summary {
        errors: count.errors,
        warnings: count.warnings,
        notes: count.notes,
        accepted: count.accepted,
        checked: report.checked,
        not_checked: report.gaps.len(),
    }
}

fn finding(vehicle: &Vehicle, reported: &Reported) -> v1::Finding {
    let sources = &vehicle.document.sources;
    let finding = &reported.finding;
    v1::Finding {
        check: reported.check.name.to_owned(),
        level: level(reported.level),
        harm: harm(reported.check.harm),
        message: finding.message.clone(),
        help: finding.help.clone(),
        parts: part_names(vehicle, &finding.parts),
        wires: wire_names(vehicle, &finding.wires),
        setting: setting(&finding.setting),
        worst_setting: finding.worst.as_ref().and_then(setting),
        value: finding.value.map(amount),
        limit: finding.limit.map(amount),
        source: finding.source.clone(),
        why: finding
            .why
            .iter()
            .map(|cause| v1::Step {
                step: cause.step.clone(),
                source: cause.source.clone(),
            })
            .collect(),
        at: place(sources, finding.at),
        also: labelled(sources, &finding.also),
        accepted: reported
            .accepted
            .as_ref()
            .map(|accepted| accepted.because.clone()),
    }
}

pub(super) fn assumed(assumed: &Assumed) -> v1::Assumed {
    v1::Assumed {
        what: assumed.what.clone(),
        subject: assumed.subject.clone(),
        key: assumed.key.to_owned(),
        amount: number(assumed.amount),
        low: number(assumed.low),
        high: number(assumed.high),
        unit: assumed.unit.to_owned(),
        source: assumed.source.clone(),
    }
}

pub(in crate::render) fn key_off(
    vehicle: &Vehicle,
    key_off: &KeyOff,
    parked: &Parked,
) -> v1::KeyOff {
    v1::KeyOff {
        draw_a: number(key_off.draw.0),
        draw_low_a: number(key_off.range.low.0),
        draw_high_a: number(key_off.range.high.0),
        missing: key_off.missing.clone(),
        by_part: key_off
            .by_part
            .iter()
            .map(|draw| v1::PartDraw {
                part: part_name(vehicle, draw.part),
                current_a: number(draw.current.0),
                current_low_a: number(draw.range.low.0),
                current_high_a: number(draw.range.high.0),
                ahead_of_ignition: draw.ahead_of_ignition,
                only_if: draw.only_if.as_ref().and_then(setting),
                protected_by: part_names(vehicle, &draw.protected_by),
            })
            .collect(),
        by_fuse: key_off
            .by_fuse
            .iter()
            .map(|(fuse, current)| v1::FuseDraw {
                fuse: part_name(vehicle, *fuse),
                current_a: number(current.0),
            })
            .collect(),
        simple_hours: key_off.simple.map(hours),
        simple_days: key_off.simple.map(days),
        by_battery: key_off
            .by_battery
            .iter()
            .map(|(battery, draw, simple)| v1::BatteryDraw {
                battery: part_name(vehicle, *battery),
                draw_a: number(draw.0),
                simple_hours: simple.map(hours),
                simple_days: simple.map(days),
                days_to_no_start: parked
                    .banks
                    .iter()
                    .find(|bank| bank.part == *battery)
                    .and_then(|bank| bank.here.as_ref())
                    .map(no_start),
            })
            .collect(),
        days_to_no_start: parked
            .starter()
            .and_then(|bank| bank.here.as_ref())
            .map(no_start),
        runs_on: parked
            .starter()
            .and_then(|bank| bank.battery.as_ref())
            .map_or_else(Vec::new, |known| {
                let each = known.runs_on.iter();
                each.map(|one| v1::RunsOn {
                    until_h: number(one.until.likely),
                    draw_a: number(one.draw.likely),
                })
                .collect()
            }),
    }
}

fn no_start(standing: &Standing) -> v1::NoStart {
    v1::NoStart {
        at_c: number(standing.at.0),
        low: number(standing.days.low),
        likely: number(standing.days.likely),
        high: number(standing.days.high),
    }
}

pub(super) fn situation(
    vehicle: &Vehicle,
    report: &Report,
    of: &Situation,
    solution: &Solution,
    shift: Option<(&str, &str, Amps)>,
) -> v1::Situation {
    let mut balance = Balance::of(vehicle, of, solution);
    if let Some((_, _, average)) = shift {
        balance.average = average;
    }
    v1::Situation {
        name: shift.map_or_else(|| of.name.clone(), |(name, ..)| name.to_owned()),
        worst_phase: shift.map(|(_, phase, _)| phase.to_owned()),
        key: key(of.key),
        engine: words::engine(of.engine),
        alternator_a: number(balance.alternator.unwrap_or_default().0),
        alternator_limit_a: balance.alternator_limit.map(|limit| number(limit.0)),
        battery_a: balance
            .starter(vehicle)
            .map_or(0.0, |flow| number(flow.current.0)),
        batteries: balance
            .batteries
            .iter()
            .map(|flow| v1::BatteryCurrent {
                battery: part_name(vehicle, flow.part),
                current_a: number(flow.current.0),
                voltage_v: number(flow.volts.0),
            })
            .collect(),
        load_a: number(balance.load.0),
        average_a: number(balance.average.0),
        terminals: (0..vehicle.terminals.len() as u32)
            .map(TerminalId)
            .map(|terminal| v1::TerminalVoltage {
                at: vehicle.terminal(terminal).label.clone(),
                voltage_v: number(solution.at(terminal).0),
            })
            .collect(),
        parts: balance
            .users
            .iter()
            .map(|flow| part_current(vehicle, *flow))
            .collect(),
        wires: vehicle
            .wire_ids()
            .filter(|wire| !vehicle.wire(*wire).assumed)
            .map(|wire| wire_current(vehicle, report, solution, wire))
            .collect(),
        missing: balance.missing.clone(),
        trouble: solution.trouble.clone(),
    }
}

fn part_current(vehicle: &Vehicle, flow: Flow) -> v1::PartCurrent {
    v1::PartCurrent {
        part: part_name(vehicle, flow.part),
        current_a: number(flow.current.0),
        voltage_v: number(flow.volts.0),
    }
}

fn wire_current(
    vehicle: &Vehicle,
    report: &Report,
    solution: &Solution,
    id: WireId,
) -> v1::WireCurrent {
    let wire = vehicle.wire(id);
    v1::WireCurrent {
        wire: wire.id.clone(),
        current_a: number(solution.wire(id).0),
        drop_v: number((solution.at(wire.from) - solution.at(wire.to)).abs().0),
        ampacity_a: report
            .ampacities
            .get(id.index())
            .copied()
            .flatten()
            .map(|amps| number(amps.0)),
    }
}

/// A place as people say it.
pub(in crate::render) fn place(sources: &Sources, at: Span) -> v1::Place {
    let position = sources.position(at);
    let file = (at.file.0 != 0)
        .then(|| sources.get(at.file).map(|text| text.name().to_owned()))
        .flatten();
    v1::Place {
        file,
        line: position.line,
        column: position.column,
        length: sources.slice(at).chars().count(),
    }
}

/// Further places of a message.
pub(super) fn labelled(sources: &Sources, also: &[(Span, String)]) -> Vec<v1::LabelledPlace> {
    also.iter()
        .map(|(at, label)| v1::LabelledPlace {
            place: place(sources, *at),
            label: label.clone(),
        })
        .collect()
}

/// A setting; nothing where it is as the vehicle is left.
pub(in crate::render) fn setting(setting: &Setting) -> Option<v1::Setting> {
    (*setting != Setting::default()).then(|| v1::Setting {
        key: setting.key.map(key),
        closed: setting.closed.clone(),
        opened: setting.opened.clone(),
        situation: setting.situation.clone(),
        also: setting.also.clone(),
    })
}

fn amount(measure: Measure) -> v1::Amount {
    v1::Amount {
        amount: number(measure.amount),
        unit: measure.unit.to_owned(),
    }
}

pub(in crate::render) fn part_name(vehicle: &Vehicle, part: PartId) -> String {
    vehicle.part(part).name.value.clone()
}

pub(in crate::render) fn part_names(vehicle: &Vehicle, parts: &[PartId]) -> Vec<String> {
    parts.iter().map(|part| part_name(vehicle, *part)).collect()
}

pub(super) fn wire_names(vehicle: &Vehicle, wires: &[WireId]) -> Vec<String> {
    wires
        .iter()
        .map(|wire| vehicle.wire(*wire).id.clone())
        .collect()
}

fn hours(time: Seconds) -> f64 {
    number(time.hours())
}

fn days(time: Seconds) -> f64 {
    number(time.days())
}

pub(in crate::render) const fn level(level: Level) -> v1::Level {
    match level {
        Level::Note => v1::Level::Note,
        Level::Warning => v1::Level::Warning,
        Level::Error => v1::Level::Error,
    }
}

pub(in crate::render) const fn harm(harm: Harm) -> v1::Harm {
    match harm {
        Harm::Fire => v1::Harm::Fire,
        Harm::Stranded => v1::Harm::Stranded,
        Harm::Damage => v1::Harm::Damage,
        Harm::Nuisance => v1::Harm::Nuisance,
        Harm::Record => v1::Harm::Record,
    }
}

pub(in crate::render) const fn key(key: Key) -> v1::Key {
    match key {
        Key::Off => v1::Key::Off,
        Key::Accessory => v1::Key::Accessory,
        Key::Run => v1::Key::Run,
        Key::Start => v1::Key::Start,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::fixture;
    use crate::render::json::pretty;

    #[test]
    fn an_audit_as_data() {
        let (vehicle, solved, report) = fixture::audit();
        let text = pretty(&audit(&vehicle, &solved, &report)).unwrap();
        insta::assert_snapshot!(text);
    }
}
