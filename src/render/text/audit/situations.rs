//! Every situation in one table.

use super::Told;
use crate::analyze::Balance;
use crate::quantity::Volts;
use crate::render::text::Page;
use crate::render::text::page::Column;
use crate::render::words;

pub(super) fn write(told: &Told<'_>, page: &mut Page) {
    page.heading("Situations");
    let rows = told
        .balances
        .iter()
        .map(|(situation, _, balance)| {
            let battery = balance.starter(told.vehicle);
            let lowest = lowest(told, balance);
            vec![
                situation.name.clone(),
                situation.key.text().to_owned(),
                words::engine(situation.engine),
                words::whole(told.show.one(balance.load), &balance.missing),
                words::whole(told.show.one(balance.average), &balance.missing),
                balance
                    .alternator
                    .map_or_else(String::new, |amps| told.show.one(amps)),
                balance
                    .alternator_limit
                    .map_or_else(String::new, |amps| told.show.one(amps)),
                battery.map_or_else(String::new, |flow| told.show.signed(flow.current)),
                battery.map_or_else(String::new, |flow| told.show.one(flow.volts)),
                lowest.map_or_else(String::new, |(_, name)| name.to_owned()),
                lowest.map_or_else(String::new, |(volts, _)| told.show.one(volts)),
            ]
        })
        .collect();
    page.table(
        2,
        &[
            Column::Words("Situation"),
            Column::Words("Key"),
            Column::Words("Engine"),
            Column::Figures("Load"),
            Column::Figures("Average"),
            Column::Figures("Alternator"),
            Column::Figures("of"),
            Column::Figures("Battery"),
            Column::Figures("at"),
            Column::Words("Lowest load"),
            Column::Figures("at"),
        ],
        rows,
    );
    page.line(
        2,
        "Average: weighted by duty. Lowest load: the one with the least voltage across it. Battery: the one that starts the engine, + when it gives, - when it is charged.",
    );
    let missing = words::all(told.balances.iter().map(|(.., balance)| &balance.missing));
    if !missing.is_empty() {
        page.line(2, &words::not_whole(&missing));
    }
    let explored = &told.solved.explored;
    page.line(2, &words::explored(explored));
}

/// The user of current with the least voltage across it.
fn lowest<'t>(told: &Told<'t>, balance: &Balance) -> Option<(Volts, &'t str)> {
    let mut lowest: Option<(Volts, &str)> = None;
    for user in balance.users.iter().filter(|user| user.current.0 > 1e-6) {
        if lowest.is_none_or(|(volts, _)| user.volts < volts) {
            lowest = Some((user.volts, &told.vehicle.part(user.part).name.value));
        }
    }
    lowest
}
