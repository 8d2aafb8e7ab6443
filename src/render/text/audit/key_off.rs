//! The standing draw, by part and by fuse.

use super::Told;
use crate::model::PartId;
use crate::quantity::show::digits;
use crate::render::text::Page;
use crate::render::text::page::Column;
use crate::render::words;

pub(super) fn write(told: &Told<'_>, page: &mut Page) {
    let key_off = &told.solved.key_off;
    let vehicle = told.vehicle;
    let name = |part: PartId| vehicle.part(part).name.value.clone();
    if !key_off.by_part.is_empty() {
        page.heading("Key-off draw, by part");
        let rows = key_off
            .by_part
            .iter()
            .map(|draw| {
                let behind: Vec<String> =
                    draw.protected_by.iter().map(|part| name(*part)).collect();
                vec![
                    name(draw.part),
                    told.show(draw.current),
                    told.range(draw.range),
                    when(draw.only_if.as_ref().and_then(words::setting)),
                    behind.join(", "),
                    vehicle.part(draw.part).what.clone().unwrap_or_default(),
                ]
            })
            .collect();
        page.table(
            2,
            &[
                Column::Words("Part"),
                Column::Figures("Draw"),
                Column::Words("Between"),
                Column::Words("When"),
                Column::Words("Behind"),
                Column::Words("What it is"),
            ],
            rows,
        );
    }
    if !key_off.by_fuse.is_empty() {
        page.heading("Key-off draw, by fuse: what a meter loses when it is pulled");
        let rows = key_off
            .by_fuse
            .iter()
            .map(|(fuse, current)| {
                vec![
                    name(*fuse),
                    told.show(*current),
                    vehicle.part(*fuse).what.clone().unwrap_or_default(),
                ]
            })
            .collect();
        page.table(
            2,
            &[
                Column::Words("Fuse"),
                Column::Figures("Loses"),
                Column::Words("What it is"),
            ],
            rows,
        );
    }
    if key_off.by_battery.len() > 1 {
        page.heading("Key-off draw, by battery");
        let rows = key_off
            .by_battery
            .iter()
            .map(|(battery, draw, simple)| {
                vec![
                    name(*battery),
                    told.show(*draw),
                    simple.map_or_else(String::new, |time| {
                        super::summary::simple(time.hours() * draw.0, draw.0, time)
                    }),
                    told.parked
                        .banks
                        .iter()
                        .find(|bank| bank.part == *battery)
                        .and_then(|bank| bank.here.as_ref())
                        .map_or_else(String::new, |here| {
                            format!(
                                "{} days ({} to {})",
                                digits(here.days.likely, 2),
                                digits(here.days.low, 2),
                                digits(here.days.high, 2)
                            )
                        }),
                ]
            })
            .collect();
        page.table(
            2,
            &[
                Column::Words("Battery"),
                Column::Figures("Draw"),
                Column::Words("Simple sum"),
                Column::Words(&format!("Holds out at {}", told.show(told.parked.at))),
            ],
            rows,
        );
    }
}

fn when(setting: Option<String>) -> String {
    setting.map_or_else(|| "as left".to_owned(), |setting| format!("only {setting}"))
}
