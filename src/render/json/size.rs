//! Fuse and wire for a load, in the shape of format 1.

use super::number;
use super::v1;
use crate::advise::size::Row;
use crate::advise::size::Sized;
use crate::table::wire;

/// The answer as data.
#[must_use]
pub fn size(sized: &Sized) -> v1::Size {
    let need = &sized.need;
    v1::Size {
        format: v1::FORMAT,
        draw_a: number(need.draw.0),
        out_m: number(need.out.0),
        back_m: number(need.back.0),
        system_v: number(need.system.0),
        fuse: sized.fuse.map(|(form, rating)| v1::SizedFuse {
            rating_a: number(rating.0),
            form: form.name().to_owned(),
        }),
        wire: sized.chosen.map(|at| {
            let row = &sized.table[at];
            v1::SizedWire {
                size: wire::label(row.size),
                ampacity_a: number(row.ampacity.0),
                drop_v: number(row.drop.0),
                drop_percent: number(row.drop.0 / need.system.0 * 100.0),
                decided_by: sized
                    .decided_by
                    .map_or_else(String::new, |by| by.name().to_owned()),
            }
        }),
        next_thinner: sized
            .chosen
            .and_then(|at| at.checked_sub(1))
            .map(|at| row(&sized.table[at])),
        table: sized.table.iter().map(row).collect(),
        why: sized
            .why
            .iter()
            .map(|step| v1::SizedStep {
                step: step.step.clone(),
                source: step.source.clone(),
            })
            .collect(),
        sources: sized.sources.clone(),
    }
}

fn row(row: &Row) -> v1::SizedRow {
    v1::SizedRow {
        size: wire::label(row.size),
        fits: row.against.is_empty(),
        ampacity_a: number(row.ampacity.0),
        drop_v: number(row.drop.0),
        why: why(row),
    }
}

/// What speaks against a size, or `fits`.
#[must_use]
pub fn why(row: &Row) -> String {
    if row.against.is_empty() {
        return "fits".to_owned();
    }
    let words: Vec<&str> = row.against.iter().map(|(_, says)| says.as_str()).collect();
    words.join("; ")
}
