//! What an upfitter gives with the vehicle.

use maud::Markup;
use maud::html;

use super::super::Material;
use super::super::Section;
use super::super::basis;
use super::super::diagram;
use super::super::findings;
use super::super::frame;
use super::super::lists;
use super::super::load;
use super::form;
use super::places;
use super::readings;
use crate::model::Status;
use crate::render::text::Grid;
use crate::render::text::page::Column;
use crate::render::words;

/// The sections, and how many drawings there are to choose from.
pub(super) fn sections(of: &Material<'_>) -> (Vec<Section>, usize) {
    let drawings = diagram::wiring(of);
    let sections = vec![
        Section::new("who", "The vehicle and the work", who(of)),
        Section::new("fitted", "What was fitted", fitted(of)),
        Section::new("key-off", "Key-off statement", key_off(of)),
        Section::new("tests", "Tests in every state", tests(of)),
        Section::new("measured", "Measurements", measured(of)),
        Section::new(
            "findings",
            "Open findings",
            places::findings(of, &["Settled"]),
        ),
        Section::new("accepted", "Known and wanted", accepted(of)),
        Section::new(
            "not-judged",
            "What could not be judged",
            findings::not_judged(of),
        ),
        Section::new(
            "load",
            "Load analysis",
            html! { (load::analysis(of)) (load::balance(of)) },
        ),
        Section::new("fuses", "Fuse chart", lists::fuses(of)),
        Section::new("wires", "Wire list", lists::wires(of)),
        Section::new(
            "diagram",
            "Wiring diagram as built",
            diagram::section(&drawings),
        ),
        Section::new("cautions", "Cautions", basis::cautions(of)),
        Section::new(
            "signatures",
            "Signatures",
            form::signatures(&["Fitted by", "Checked by", "Received by"]),
        ),
    ];
    (sections, drawings.len())
}

fn who(of: &Material<'_>) -> Markup {
    html! {
        (form::who(&of.told.vehicle.name, &["Fitted by", "For", "Order or job"]))
        p { "This record gives what was fitted, what it draws, how it is protected, and how it was tested. Keep it with the vehicle." }
    }
}

fn fitted(of: &Material<'_>) -> Markup {
    let vehicle = of.told.vehicle;
    let new = vehicle.part_ids().filter(|&id| {
        let status = vehicle.part(id).status;
        vehicle.own_load != Some(id) && matches!(status, Status::Added | Status::Planned)
    });
    let rows = new.map(|id| {
        let part = vehicle.part(id);
        let said = |key: &str| {
            part.fields
                .quantity(key)
                .map(|quantity| quantity.text.clone())
        };
        let rating = said("draw")
            .or_else(|| said("rating"))
            .or_else(|| said("contact"))
            .or_else(|| said("capacity"));
        vec![
            part.name.value.clone(),
            places::what(vehicle, id),
            rating.unwrap_or_default(),
            part.place.clone().unwrap_or_default(),
            places::status(part.status).to_owned(),
        ]
    });
    let columns = [
        Column::Words("Part"),
        Column::Words("What it is"),
        Column::Words("Draw or rating"),
        Column::Words("Place"),
        Column::Words("State"),
    ];
    frame::table_to_fill_in(
        "Parts added or planned",
        Grid::new(&columns, rows.collect()),
        &["Serial number"],
    )
}

/// What stays live, why, for how long the vehicle stands, and what to switch off before it does.
fn key_off(of: &Material<'_>) -> Markup {
    let told = &of.told;
    let vehicle = told.vehicle;
    let standing = told.standing();
    let mut left_on: Vec<&str> = Vec::new();
    for draw in &told.solved.key_off.by_part {
        if let Some(setting) = &draw.only_if {
            for switch in &setting.closed {
                if !left_on.contains(&switch.as_str()) {
                    left_on.push(switch);
                }
            }
        }
    }
    let masters: Vec<&str> = vehicle
        .switches
        .iter()
        .filter(|unit| unit.disconnect)
        .map(|unit| unit.label.as_str())
        .collect();
    let wanted = vehicle.parts.iter().filter_map(|part| {
        let stays = part.stays_live.as_ref()?;
        let most = stays
            .at_most
            .map_or_else(String::new, |most| told.show.one(most.likely));
        Some(vec![part.name.value.clone(), stays.because.clone(), most])
    });
    let columns = [
        Column::Words("Part"),
        Column::Words("Why it stays live"),
        Column::Words("At most"),
    ];
    let wanted = Grid::new(&columns, wanted.collect());
    html! {
        @for (_, sentence) in standing.lines() {
            p { (frame::prose(vehicle, &sentence)) }
        }
        @for (caption, grid) in standing.grids() {
            (frame::table(&caption, grid))
        }
        (frame::table("Wanted with the key off", wanted))
        h3 { "Before it is stored" }
        @if left_on.is_empty() && masters.is_empty() {
            p { "Nothing that the record shows has to be switched off." }
        }
        @if !left_on.is_empty() {
            (form::boxes(left_on.iter().map(|switch| format!("{switch} is off"))))
        }
        @if !masters.is_empty() {
            (form::boxes(masters.iter().map(|switch| format!("{switch} is open, once modules are asleep and nothing needs it"))))
        }
    }
}

/// Every situation with what has to be on in it.
fn tests(of: &Material<'_>) -> Markup {
    let vehicle = of.told.vehicle;
    let rows = of.told.balances.iter().map(|(situation, _, balance)| {
        let users = balance.users.iter();
        let on: Vec<&str> = users
            .filter(|user| user.current.0 > 1e-6 && vehicle.own_load != Some(user.part))
            .map(|user| vehicle.part(user.part).name.value.as_str())
            .collect();
        let worked = vehicle.switches.iter().zip(&situation.positions);
        let worked: Vec<String> = worked
            .filter(|(unit, at)| **at != unit.left)
            .filter_map(|(unit, at)| {
                let position = unit.positions.get(usize::from(*at))?;
                Some(format!("{} {position}", unit.label))
            })
            .collect();
        let unplugged: Vec<&str> = situation.detached.iter().map(String::as_str).collect();
        vec![
            situation.name.clone(),
            format!(
                "{}, engine {}",
                situation.key.text(),
                words::engine(situation.engine)
            ),
            worked.join(", "),
            unplugged.join(", "),
            if on.is_empty() {
                "nothing".to_owned()
            } else {
                on.join(", ")
            },
        ]
    });
    let columns = [
        Column::Words("State"),
        Column::Words("Key"),
        Column::Words("Switches moved"),
        Column::Words("Unplugged"),
        Column::Words("Draws"),
    ];
    html! {
        (frame::table_to_fill_in(
            "What draws in every state of the record",
            Grid::new(&columns, rows.collect()),
            &["As said", "Remarks"],
        ))
        p class="remark" { "Also: every required lamp and the horn work as before; while the engine is cranked nothing drops out that must not." }
    }
}

fn measured(of: &Material<'_>) -> Markup {
    html! {
        (readings::to_take(of))
        (readings::taken(of))
    }
}

fn accepted(of: &Material<'_>) -> Markup {
    let known = of.told.report.findings.iter().filter_map(|one| {
        let accepted = one.accepted.as_ref()?;
        Some(vec![
            words::subject(of.told.vehicle, &one.finding),
            words::sentence(&one.finding.message),
            words::sentence(&accepted.because),
        ])
    });
    let columns = [
        Column::Words("Subject"),
        Column::Words("Finding"),
        Column::Words("Why it is wanted"),
    ];
    let grid = Grid::new(&columns, known.collect());
    html! {
        @if grid.is_empty() {
            p { "The record accepts no finding." }
        }
        (frame::table_to_fill_in("Accepted by the record", grid, &["Agreed"]))
    }
}
