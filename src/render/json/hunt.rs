//! A hunt in the shape of format 1.

use super::audit::assumed;
use super::audit::document;
use super::audit::part_name;
use super::audit::part_names;
use super::number;
use super::v1;
use crate::advise::hunt::Hunt;
use crate::advise::hunt::Line;
use crate::advise::hunt::Located;
use crate::advise::hunt::Next;
use crate::advise::hunt::Of;
use crate::advise::hunt::Stage;
use crate::advise::hunt::TroubleKind;
use crate::model::Vehicle;

/// Everything about a hunt.
#[must_use]
pub fn hunt(vehicle: &Vehicle, of: &Hunt) -> v1::Hunt {
    let balance = of.balance.as_ref();
    let mut located = of.located.iter().map(|one| found(vehicle, one));
    v1::Hunt {
        format: v1::FORMAT,
        document: document(vehicle),
        stage: match of.stage {
            Stage::NotMeasured => v1::HuntStage::NotMeasured,
            Stage::Awake => v1::HuntStage::Awake,
            Stage::Contradicted => v1::HuntStage::Contradicted,
            Stage::Explained => v1::HuntStage::Explained,
            Stage::Less => v1::HuntStage::Less,
            Stage::Hunting => v1::HuntStage::Hunting,
            Stage::Located => v1::HuntStage::Located,
        },
        say: of.say.clone(),
        heed: of.heed.clone(),
        measured_a: balance.map(|balance| number(balance.measured.0)),
        measured_in: balance.map(|balance| balance.reading),
        explained_a: balance.map(|balance| number(balance.explained.0)),
        explained_low_a: balance.map(|balance| number(balance.explained_range.low.0)),
        explained_high_a: balance.map(|balance| number(balance.explained_range.high.0)),
        unexplained_a: balance.map(|balance| number(balance.unexplained().0)),
        readings: of
            .readings
            .iter()
            .map(|line| reading(vehicle, line))
            .collect(),
        suspects: of
            .suspects
            .iter()
            .map(|suspect| v1::HuntSuspect {
                fuse: suspect.fuse.map(|fuse| part_name(vehicle, fuse)),
                probability: number(suspect.probability),
                share: suspect.share.map(number),
                current_a: v1::Between {
                    low: number(suspect.current.low.0),
                    high: number(suspect.current.high.0),
                },
                found: suspect.found,
            })
            .collect(),
        nothing_more: number(of.nothing_more),
        next: of.next.as_ref().map(|step| next(vehicle, step)),
        located: located.next(),
        also_located: located.collect(),
        problems: of
            .troubles
            .iter()
            .map(|trouble| v1::HuntProblem {
                reading: trouble.reading,
                against: trouble.against,
                kind: match trouble.kind {
                    TroubleKind::Woken => v1::HuntProblemKind::Woken,
                    TroubleKind::NotSettled => v1::HuntProblemKind::NotSettled,
                    TroubleKind::Contradicts => v1::HuntProblemKind::Contradicts,
                },
                message: trouble.message.clone(),
            })
            .collect(),
        unproven: of
            .unproven
            .iter()
            .map(|(fuse, floor)| v1::HuntUnproven {
                fuse: part_name(vehicle, *fuse),
                floor_a: number(floor.0),
            })
            .collect(),
        use_first: of.use_first.clone(),
        assumed: of.assumed.iter().map(assumed).collect(),
    }
}

fn reading(vehicle: &Vehicle, line: &Line) -> v1::HuntReading {
    let of_current = (line.of != Of::Other).then_some(line);
    v1::HuntReading {
        reading: line.number,
        fuse: line.of.fuse().map(|fuse| part_name(vehicle, fuse)),
        out: part_names(vehicle, &line.out),
        current_a: of_current.map(|line| number(line.likely.0)),
        low_a: of_current.map(|line| number(line.current.low.0)),
        high_a: of_current.map(|line| number(line.current.high.0)),
        explained_a: of_current.map(|line| number(line.explained.0)),
        unused: line.unused.clone(),
    }
}

fn next(vehicle: &Vehicle, step: &Next) -> v1::HuntNext {
    v1::HuntNext {
        refit: part_names(vehicle, &step.refit),
        pull: part_names(vehicle, &step.pull),
        across: step.across.map(|fuse| part_name(vehicle, fuse)),
        wait_min: step.wait.map(|wait| number(wait.0 / 60.0)),
        share: number(step.share),
        elsewhere_a: number(step.shows.0.0),
        there_a: number(step.shows.1.0),
        expected_pulls: number(step.work.handled),
        expected_readings: number(step.work.readings),
        expected_work: number(step.work.units),
        line: step.line.clone(),
    }
}

fn found(vehicle: &Vehicle, one: &Located) -> v1::HuntLocated {
    v1::HuntLocated {
        fuse: one.fuse.map(|fuse| part_name(vehicle, fuse)),
        current_a: number(one.current.0),
        low_a: number(one.range.low.0),
        high_a: number(one.range.high.0),
        parts: one
            .parts
            .iter()
            .map(|candidate| v1::HuntPart {
                part: part_name(vehicle, candidate.part),
                how: candidate.how.text().to_owned(),
                possible_a: candidate.possible.map(|amps| number(amps.0)),
                match_: number(candidate.match_),
            })
            .collect(),
        wires: one
            .wires
            .iter()
            .map(|&wire| vehicle.wire(wire).id.clone())
            .collect(),
        like: one.like.clone(),
        expect: one.expect.clone(),
        past: one.past.clone(),
    }
}
