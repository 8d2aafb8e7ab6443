//! What was measured, with the conditions of each measurement; and what is to be measured.

use maud::Markup;
use maud::html;

use super::super::Material;
use super::super::frame;
use crate::read::document::Fields;
use crate::read::document::Reading;
use crate::read::document::Value;
use crate::render::text::Grid;
use crate::render::text::page::Column;

/// What the record lacks of a condition.
const NOT_STATED: &str = "not stated";

/// So many loads with the least voltage are measured.
const MOST_LOADS: usize = 6;

/// The readings of the record. A condition that is not stated says so: a figure without it proves little.
pub(super) fn taken(of: &Material<'_>) -> Markup {
    let document = &of.told.vehicle.document;
    if document.readings.is_empty() {
        return html! { p { "The record has no meter readings." } };
    }
    let said = |value: &Value| {
        document
            .sources
            .slice(value.at())
            .trim_matches('"')
            .to_owned()
    };
    // A meter stays where it was until it is said to be elsewhere.
    let mut place = "battery negative".to_owned();
    let rows = document.readings.iter().map(|reading| {
        let fields = &reading.fields;
        if let Some(said) = fields.get("where").map(said) {
            place = said;
        }
        let stated = |key: &str| fields.get(key).map_or_else(|| NOT_STATED.to_owned(), said);
        vec![
            stated("when"),
            quantity(reading, &place, &said),
            fields.get("key").map_or_else(|| "off".to_owned(), said),
            stated("after"),
            fields.get("pulled").map_or_else(String::new, said),
            fields.get("refitted").map_or_else(String::new, said),
            meter(fields, &said),
            fields.get("note").map_or_else(String::new, said),
        ]
    });
    let columns = [
        Column::Words("When"),
        Column::Words("What was read"),
        Column::Words("Key"),
        Column::Words("Waited"),
        Column::Words("Pulled before it"),
        Column::Words("Put back before it"),
        Column::Words("Meter"),
        Column::Words("Note"),
    ];
    frame::table(
        "Readings of the record",
        Grid::new(&columns, rows.collect()),
    )
}

fn meter(fields: &Fields, said: &impl Fn(&Value) -> String) -> String {
    let Some(meter) = fields.map("meter") else {
        return NOT_STATED.to_owned();
    };
    let parts = meter
        .list
        .iter()
        .map(|field| format!("{} {}", field.key.value, said(&field.value)));
    parts.collect::<Vec<_>>().join(", ")
}

fn quantity(reading: &Reading, place: &str, said: &impl Fn(&Value) -> String) -> String {
    let fields = &reading.fields;
    let get = |key: &str| fields.get(key).map(said);
    if let Some(current) = get("current") {
        return format!("{current} in {place}");
    }
    if let (Some(part), Some(drop)) = (get("across"), get("drop")) {
        return format!("{drop} across {part}");
    }
    if let (Some(at), Some(volts)) = (get("at"), get("voltage")) {
        return format!("{volts} at {at}");
    }
    "nothing".to_owned()
}

/// What a person measures against these sums, with room for the figure and its conditions.
pub(super) fn to_take(of: &Material<'_>) -> Markup {
    let told = &of.told;
    let vehicle = told.vehicle;
    let mut rows: Vec<Vec<String>> = Vec::new();
    if let Some(starter) = vehicle.starter {
        let battery = &vehicle.part(starter).name.value;
        let key_off = &told.solved.key_off;
        let mut expected = told.show.one(key_off.draw);
        let range = told.show.range(key_off.range);
        if !range.is_empty() {
            expected = range;
        }
        rows.push(vec![
            format!("Key off, asleep: current out of {battery}"),
            expected,
        ]);
        for (situation, _, balance) in &told.balances {
            if situation.engine.runs()
                && let Some(flow) = balance.starter(vehicle)
            {
                rows.push(vec![
                    format!("{}: voltage at the posts of {battery}", situation.name),
                    told.show.one(flow.volts),
                ]);
            }
        }
    }
    if let Some((situation, _, balance)) = told.balances.iter().find(|(of, ..)| of.name == "all on")
    {
        let mut users: Vec<_> = balance
            .users
            .iter()
            .filter(|user| user.current.0 > 1e-6 && vehicle.own_load != Some(user.part))
            .collect();
        users.sort_by(|a, b| a.volts.0.total_cmp(&b.volts.0).then(a.part.cmp(&b.part)));
        for user in users.into_iter().take(MOST_LOADS) {
            rows.push(vec![
                format!(
                    "{}: voltage across {}",
                    situation.name,
                    vehicle.part(user.part).name.value
                ),
                told.show.one(user.volts),
            ]);
        }
    }
    let columns = [Column::Words("Measure"), Column::Words("Worked out")];
    let blanks = ["Measured", "Waited", "Temperature", "Meter and range"];
    html! {
        (frame::table_to_fill_in("To be measured at the vehicle", Grid::new(&columns, rows), &blanks))
        p class="remark" {
            "Current asleep: meter in place before the key goes off, doors latched, wait until the last ten minutes are flat; opening a \
             door or pulling a fuse wakes modules, and the wait begins again."
        }
    }
}
