//! The minimum beside the whole removal, in words: what each leaves behind and what the battery has of it.

use super::Sheet;
use super::Told;
use crate::advise::ends::keys;
use crate::advise::removal::Least;
use crate::advise::removal::PlaceKind;
use crate::analyze::KeyOff;
use crate::analyze::park::park;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::phrase;
use crate::quantity::Meters;
use crate::quantity::show::digits;
use crate::read::document::Kind;
use crate::render::text::Grid;
use crate::render::text::page::Column;
use crate::render::words;

/// The heading over it.
pub const HEADING: &str = "Minimum or full";

/// What the two are.
pub const BOTH: &str = "The minimum takes the parts out and leaves their wires in the looms. The full removal is the plan above.";

/// What is said where no wire would come out.
const SAME: &str = "No wire of the record comes out with this: both are the same.";

/// What is said where a joint or a plug is named alone, which the least work does not take out.
const LEFT_ALONE: &str =
    "What is named stays in its place with the least work: only the full removal takes it out.";

/// What is said where the minimum could not be worked out.
const NO_MINIMUM: &str = "The minimum could not be worked out: the record cannot be changed that way. The plan above is the full removal.";

/// The minimum that can be chosen.
///
/// # Errors
/// What is said where there is no choice.
pub fn choice(least: Option<&Least>) -> Result<&Least, &'static str> {
    let least = least.ok_or(NO_MINIMUM)?;
    let left_alone = least.remove.is_empty() && least.pull.is_empty() && least.lift.is_empty();
    if left_alone {
        return Err(LEFT_ALONE);
    }
    if least.runs.is_empty() && least.capped.is_empty() && least.pull.is_empty() {
        return Err(SAME);
    }
    Ok(least)
}

impl Sheet<'_> {
    /// The table, then what the minimum takes.
    pub(super) fn least(&mut self, least: Option<&Least>) {
        let least = match choice(least) {
            Ok(least) => least,
            Err(words) => return self.section(HEADING, &[words.to_owned()]),
        };
        self.page.heading(HEADING);
        self.page.line(2, BOTH);
        self.page.grid(2, self.told.least(least));
        for line in self.told.least_work(least) {
            self.page.marked(2, "[ ]", 6, &line);
        }
        for line in self.told.least_price(least) {
            self.page.item(2, 4, &line);
        }
    }
}

impl Told<'_> {
    fn long(&self, wires: &[WireId]) -> String {
        let vehicle = &self.plan.before.vehicle;
        let lengths = wires.iter().map(|&wire| vehicle.wire(wire).length.as_ref());
        let known: f64 = lengths.flatten().map(|length| length.likely.0).sum();
        match wires.len() {
            0 => "0".to_owned(),
            count if known > 0.0 => format!("{count}, {}", self.show.one(Meters(known))),
            count => count.to_string(),
        }
    }

    /// What each leaves behind, and what the battery has of it.
    #[must_use]
    pub fn least(&self, least: &Least) -> Grid<'static> {
        let plan = self.plan;
        let full_ends = plan
            .places
            .iter()
            .filter(|place| place.kind == PlaceKind::End)
            .count();
        let row = |what: &str, minimum: String, full: String| vec![what.to_owned(), minimum, full];
        let draw = |key_off: &KeyOff| self.show.one(key_off.draw);
        let days = |vehicle: &Vehicle, key_off: &KeyOff| {
            let parked = park(vehicle, key_off);
            let here = parked.starter().and_then(|bank| bank.here.as_ref());
            here.map_or_else(
                || "not known".to_owned(),
                |here| digits(here.days.likely, 3),
            )
        };
        let (is, then) = (&plan.before.solved.key_off, &plan.after.solved.key_off);
        let now = &least.solved.key_off;
        let at = self.show.one(plan.before.vehicle.climate.parked.likely);
        let gain = |key_off: &KeyOff| {
            let less = is.draw - key_off.draw;
            if less.0.abs() < 0.5e-3 {
                "no change".to_owned()
            } else {
                self.show.signed(-less)
            }
        };
        let rows = vec![
            row(
                "Wires taken out",
                "0".to_owned(),
                self.long(&plan.wires_out),
            ),
            row(
                "Wires left that serve nothing",
                self.long(&least.runs),
                "0".to_owned(),
            ),
            row(
                "Ends to cap and label",
                least.capped.len().to_string(),
                full_ends.to_string(),
            ),
            row(
                "Ends that stay live",
                least.live_ends.len().to_string(),
                plan.live_ends.len().to_string(),
            ),
            row("Draw with the key off", draw(now), draw(then)),
            row("against now", gain(now), gain(then)),
            row(
                &format!("Days until it no longer starts, at {at}"),
                days(&least.vehicle, now),
                days(&plan.after.vehicle, then),
            ),
        ];
        let columns = [
            Column::Words(""),
            Column::Figures("minimum"),
            Column::Figures("full"),
        ];
        Grid::new(&columns, rows)
    }

    /// What the minimum takes, a sentence a step.
    #[must_use]
    pub fn least_work(&self, least: &Least) -> Vec<String> {
        let vehicle = &self.plan.before.vehicle;
        let label = |at| vehicle.terminal(at).label.as_str();
        let mut lines = Vec::new();
        if !least.pull.is_empty() {
            let (feeds, fuses): (Vec<PartId>, Vec<PartId>) = least
                .pull
                .iter()
                .partition(|&&part| vehicle.part(part).kind == Kind::Feed);
            if !fuses.is_empty() {
                let slots = if fuses.len() == 1 {
                    "leave the slot empty and mark it"
                } else {
                    "leave the slots empty and mark them"
                };
                lines.push(format!("Pull {}, {slots} `DEAD`.", self.names(&fuses)));
            }
            if !feeds.is_empty() {
                lines.push(format!(
                    "Pull the fuse of the feed {}, leave the slot empty and mark it `DEAD`.",
                    self.names(&feeds)
                ));
            }
        }
        for &(wire, at) in &least.lift {
            lines.push(format!(
                "Take {} off at {} too, where it is fed: no fuse can be left out for it alone.",
                vehicle.wire(wire).id,
                label(at)
            ));
        }
        if !least.remove.is_empty() {
            lines.push(format!("Take out {}.", self.names(&least.remove)));
        }
        for place in &least.places {
            if place.kind != PlaceKind::End {
                let was: Vec<&str> = place.terminals.iter().map(|&at| label(at)).collect();
                let wires = self.ids(&place.wires);
                let (where_, were) = (words::list(&was), phrase::verb(was.len(), "was", "were"));
                lines.push(match place.kind {
                    PlaceKind::Ground => format!("Give {wires} a ground where {where_} {were}."),
                    _ => format!("Join {wires} where {where_} {were}."),
                });
            }
        }
        if !least.capped.is_empty() {
            let ends: Vec<String> = least
                .capped
                .iter()
                .map(|&(wire, at)| format!("{} at {}", vehicle.wire(wire).id, label(at)))
                .collect();
            lines.push(format!(
                "Cap with a sealed end cap and label, with number, date and `DEAD, was ...`: {}.",
                words::list(&ends)
            ));
        }
        lines
    }

    /// What it costs, and what the battery has of each.
    #[must_use]
    pub fn least_price(&self, least: &Least) -> Vec<String> {
        let mut lines = Vec::new();
        let ends = least.capped.len();
        lines.push(format!(
            "The minimum leaves {}, {} live, and {}.",
            words::plural(ends, "capped end", "capped ends"),
            least.live_ends.len(),
            words::plural(
                least.runs.len(),
                "wire that serves nothing",
                "wires that serve nothing"
            ),
        ));
        for end in &least.live_ends {
            lines.push(format!(
                "{} stays live {}: {}.",
                end.at,
                keys(end.hot_in),
                end.advice
            ));
        }
        for run in &least.live_runs {
            let wire = &self.plan.before.vehicle.wire(run.wire).id;
            let up_to = run.up_to.map_or_else(
                || "stays live from end to end, and serves nothing".to_owned(),
                |fuse| format!("stays live up to the empty slot of {}", self.name(fuse)),
            );
            lines.push(if run.protected {
                format!("{wire} {up_to}.")
            } else {
                format!("{wire} {up_to}, and no fuse stands before it: better off at its source end too.")
            });
        }
        if least.live_if_only_unplugged > least.live_ends.len() {
            lines.push(format!(
                "With the parts only unplugged, {} would be live{}.",
                words::plural(least.live_if_only_unplugged, "end", "ends"),
                self.what_a_live_end_meets(least)
            ));
        }
        let (full, minimum) = (
            self.plan.after.solved.key_off.draw,
            least.solved.key_off.draw,
        );
        let more = minimum - full;
        lines.push(if more.0.abs() < 0.5e-3 {
            "For the battery both are the same.".to_owned()
        } else if more.0 > 0.0 {
            format!(
                "The battery gives {} more with the minimum than after the full removal.",
                self.show.one(more)
            )
        } else {
            format!(
                "The battery gives {} less with the minimum, for what is behind the fuses that are left out.",
                self.show.one(more.abs())
            )
        });
        if !least.runs.is_empty() {
            lines.push("A wire that is left has to be found again by whoever works there next, and a cap that comes off brings its end back.".to_owned());
        }
        lines
    }

    /// What stands between such ends and the battery when they touch metal.
    fn what_a_live_end_meets(&self, least: &Least) -> String {
        let it = if least.live_if_only_unplugged == 1 {
            "it is"
        } else {
            "each is"
        };
        if least.unfused_if_only_unplugged {
            format!(": against metal {it} a short circuit that no fuse ends")
        } else {
            format!(": against metal {it} a short circuit that has to blow a fuse")
        }
    }
}
