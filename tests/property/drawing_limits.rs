//! Limits of the wiring diagram: crossings, bends, length; what a change of the record may change.

use std::collections::BTreeMap;

use keyoff::draw::compose::compose;
use keyoff::draw::drawing::Plan;
use keyoff::draw::gather::gather;
use keyoff::draw::strip;
use keyoff::draw::{Drawing, View};
use keyoff::model::Vehicle;
use keyoff::quantity::show::Units;

use crate::drawing::{drawn, vehicle};
use crate::make_up;

/// Crossings, bends and length of all sheets.
fn measured(drawing: &Drawing) -> (usize, usize, i64) {
    let plans = || drawing.sheets.iter().map(|sheet| &sheet.plan);
    (
        plans().map(|plan| plan.crossings).sum(),
        plans().map(|plan| plan.bends).sum(),
        plans().map(|plan| plan.length).sum(),
    )
}

#[test]
fn crossings_bends_and_length_are_those_that_the_method_reached_when_it_was_tried_or_fewer() {
    for (parts, crossings, bends, length, of_strips) in make_up::SIZES {
        let text = make_up::record(parts);
        let vehicle = vehicle(&format!("{parts} parts"), &text);
        assert_eq!(vehicle.parts.len(), parts);
        let whole = measured(&drawn(&vehicle, View::Overview));
        let strips = drawn(&vehicle, View::Strips);
        let cut = measured(&strips);
        let told = format!("{parts} parts: overview {whole:?}, strips {cut:?}");
        println!("{told}");
        assert!(whole.0 <= crossings, "{told}");
        assert!(whole.1 <= bends, "{told}");
        assert!(whole.2 <= length, "{told}");
        assert!(cut.0 <= of_strips, "{told}");
        for sheet in &strips.sheets {
            assert!(sheet.plan.crossings <= 2, "{told}");
        }
    }
}

/// Names with other digits: `F12` becomes `F45`.
fn renamed(text: &str) -> String {
    let mut out = String::new();
    let mut in_name = false;
    for letter in text.chars() {
        out.push(match letter.to_digit(10) {
            Some(digit) if in_name => char::from(b'0' + ((digit + 3) % 10) as u8),
            _ => letter,
        });
        in_name = letter.is_ascii_uppercase() || in_name && letter.is_ascii_digit();
    }
    out
}

/// Where everything is, without names.
fn places(plan: &Plan) -> Vec<String> {
    let mut list = Vec::new();
    list.extend(plan.parts.iter().map(|(_, frame)| format!("{frame:?}")));
    list.extend(plan.terminals.iter().map(|(_, at)| format!("{at:?}")));
    list.extend(plan.labels.iter().map(|(_, frame)| format!("{frame:?}")));
    list.extend(plan.runs.iter().map(|run| format!("{:?}", run.points)));
    list
}

#[test]
fn names_do_not_decide_where_anything_stands() {
    for (parts, ..) in &make_up::SIZES[..3] {
        let text = make_up::record(*parts);
        let other = renamed(&text);
        assert_ne!(text, other);
        let (one, two) = (vehicle("one", &text), vehicle("two", &other));
        for view in [View::Overview, View::Strips] {
            let (one, two) = (drawn(&one, view), drawn(&two, view));
            assert_eq!(one.sheets.len(), two.sheets.len(), "{parts} {view:?}");
            for (one, two) in one.sheets.iter().zip(&two.sheets) {
                assert_eq!(places(&one.plan), places(&two.plan), "{parts} {view:?}");
            }
        }
    }
}

/// Each strip by itself, by heading.
fn strips(vehicle: &Vehicle) -> BTreeMap<String, Vec<String>> {
    let schematic = gather(vehicle, Units::default(), None, &[]);
    strip::cut(&schematic)
        .into_iter()
        .map(|one| (one.heading, places(&compose(&one.schematic, None).plan)))
        .collect()
}

#[test]
fn a_circuit_that_is_moved_in_the_record_leaves_the_other_strips_as_they_are() {
    let text = make_up::record(120);
    // A load on a switch that nothing else follows: its lines are put behind all others of their kind.
    let names = |n: usize| {
        let all = ["F", "S", "L"].map(|letter| [format!("{letter}{n},"), format!("{letter}{n}:")]);
        all.concat()
    };
    let lines = |n: usize| {
        let has = |line: &&str| names(n).iter().any(|name| line.contains(name.as_str()));
        text.lines().filter(has).count()
    };
    let n = (2..28)
        .step_by(5)
        .find(|&n| lines(n) == 7)
        .expect("a circuit by itself");
    let own = |line: &&str| names(n).iter().any(|name| line.contains(name.as_str()));
    let (head, rest) = text.split_once("parts:\n").expect("parts");
    let (parts, wires) = rest.split_once("wires:\n").expect("wires");
    let moved = |lines: &str| {
        let stays: Vec<&str> = lines.lines().filter(|line| !own(line)).collect();
        let goes: Vec<&str> = lines.lines().filter(own).collect();
        assert!(goes.len() >= 3, "{goes:?}");
        [stays, goes].concat().join("\n")
    };
    let other = format!("{head}parts:\n{}\nwires:\n{}\n", moved(parts), moved(wires));
    let before = strips(&vehicle("before", &text));
    let after = strips(&vehicle("after", &other));
    assert!(before.len() > 15, "{}", before.len());
    let apart =
        |heading: &str| heading.contains(&format!("F{n}:")) || heading.starts_with("Supply");
    for (heading, places) in &before {
        if !apart(heading) {
            assert_eq!(Some(places), after.get(heading), "{heading}");
        }
    }
}
