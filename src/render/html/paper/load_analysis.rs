//! Load against charging, for those who ask for it with a bid and at delivery.

use maud::Markup;
use maud::html;

use super::super::Material;
use super::super::Section;
use super::super::basis;
use super::super::frame;
use super::super::load;
use super::form;
use super::readings;
use crate::quantity::Fraction;
use crate::render::text::Grid;
use crate::render::text::page::Column;

/// The sections.
pub(super) fn sections(of: &Material<'_>) -> Vec<Section> {
    vec![
        Section::new("who", "The vehicle and the analysis", who(of)),
        Section::new("loads", "Loads", loads(of)),
        Section::new("analysis", "Load analysis", load::analysis(of)),
        Section::new("situations", "Situations", load::balance(of)),
        Section::new("shifts", "Over a shift", shifts(of)),
        Section::new(
            "measured",
            "Measurements",
            html! { (readings::to_take(of)) (readings::taken(of)) },
        ),
        Section::new("assumed", "What was assumed", basis::assumed(of)),
        Section::new("sources", "Sources", basis::sources(of)),
        Section::new(
            "signatures",
            "Signatures",
            form::signatures(&["Worked out by", "Measured by", "Received by"]),
        ),
    ]
}

fn who(of: &Material<'_>) -> Markup {
    form::who(
        &of.told.vehicle.name,
        &["Worked out by", "For", "Order or job"],
    )
}

/// Every load with what it takes when everything is on, and room for what is measured.
fn loads(of: &Material<'_>) -> Markup {
    let told = &of.told;
    let vehicle = told.vehicle;
    let all_on = told.balances.iter().find(|(of, ..)| of.name == "all on");
    let users = all_on
        .map(|(_, _, balance)| balance.users.as_slice())
        .unwrap_or_default();
    let duties = &of.budget.analysis.intermittent;
    let rows = users
        .iter()
        .filter(|user| user.current.0 > 1e-6)
        .map(|user| {
            let part = vehicle.part(user.part);
            let duty = duties.iter().find(|(id, ..)| *id == user.part);
            let required = vehicle.own_load == Some(user.part) || part.fields.flag("required");
            vec![
                part.name.value.clone(),
                part.what.clone().unwrap_or_default(),
                told.show.one(user.current),
                told.show.one(user.volts),
                duty.map_or_else(
                    || "continuous".to_owned(),
                    |(_, _, duty)| format!("{} of the time", told.show.one(Fraction(*duty))),
                ),
                if required { "yes" } else { "" }.to_owned(),
            ]
        });
    let columns = [
        Column::Words("Load"),
        Column::Words("What it is"),
        Column::Figures("Current"),
        Column::Figures("at"),
        Column::Words("Runs"),
        Column::Words("Has to stay on"),
    ];
    html! {
        (frame::table_to_fill_in("Every load with everything on", Grid::new(&columns, rows.collect()), &["Measured"]))
    }
}

fn shifts(of: &Material<'_>) -> Markup {
    html! {
        @if of.budget.shifts.is_empty() {
            p { "The record describes no shift: no situation of it has phases." }
        }
        (load::shifts(of))
    }
}
