//! What was taken out, in which order, what was left behind, and the proof.

use maud::Markup;
use maud::html;

use super::super::Material;
use super::super::Options;
use super::super::Section;
use super::super::basis;
use super::super::diagram;
use super::super::findings;
use super::super::frame;
use super::form;
use super::places;
use crate::advise;
use crate::advise::removal::Plan;
use crate::render::text::Grid;
use crate::render::text::page::Column;
use crate::render::text::removal;
use crate::render::text::removal::Told;
use crate::render::text::removal::least;
use crate::render::text::show::Show;
use crate::render::text::sides;

/// The sections.
pub(super) fn sections(plan: &Plan, options: Options) -> Vec<Section> {
    let told = Told {
        plan,
        show: Show(options.units),
    };
    let after = &plan.after;
    let of = Material::new(&after.vehicle, &after.solved, &after.report, options);
    vec![
        Section::new("who", "The vehicle and the work", who(plan)),
        Section::new("out", "What comes out", out(&told)),
        Section::new("before-after", "Before and after", before_after(&told)),
        Section::new("stops", "What stops working though it stays", stops(&told)),
        Section::new("steps", "Order of work", steps(plan)),
        Section::new("wires", "Wires", wires(&told)),
        Section::new("left", "What is left behind", left(&told)),
        Section::new("minimum", least::HEADING, minimum(&told)),
        Section::new("proof", "Proof", proof(&told)),
        Section::new(
            "findings",
            "Findings that remain",
            places::findings(&of, &["Settled"]),
        ),
        Section::new(
            "not-judged",
            "What could not be judged afterwards",
            findings::not_judged(&of),
        ),
        Section::new(
            "diagram",
            "Wiring diagram afterwards",
            diagram::section(&diagram::wiring(&of)),
        ),
        Section::new("cautions", "Cautions", basis::cautions(&of)),
        Section::new(
            "signatures",
            "Signatures",
            form::signatures(&["Taken out by", "Checked by", "Received by"]),
        ),
    ]
}

fn who(plan: &Plan) -> Markup {
    let people = [
        "Taken out by",
        "For",
        "Why it comes out",
        "Where the parts go",
    ];
    form::who(&plan.before.vehicle.name, &people)
}

/// Every part, tested before it is taken out.
fn out(told: &Told<'_>) -> Markup {
    let vehicle = &told.plan.before.vehicle;
    let rows = told.plan.remove.iter().map(|&id| {
        let part = vehicle.part(id);
        vec![
            part.name.value.clone(),
            places::what(vehicle, id),
            part.place.clone().unwrap_or_default(),
            places::status(part.status).to_owned(),
        ]
    });
    let columns = [
        Column::Words("Part"),
        Column::Words("What it is"),
        Column::Words("Place"),
        Column::Words("Whose"),
    ];
    let blanks = ["Worked before", "Serial number", "Reused or scrapped"];
    frame::table_to_fill_in("Parts", Grid::new(&columns, rows.collect()), &blanks)
}

fn before_after(told: &Told<'_>) -> Markup {
    let sides = [&told.plan.before, &told.plan.after];
    let names = ["before", "after"];
    let vehicle = &told.plan.before.vehicle;
    html! {
        (frame::table("Worked out from the record", sides::grid(told.show, names, sides)))
        (frame::paragraphs(vehicle, sides::not_whole(names, sides)))
        (frame::list(vehicle, told.draws_more()))
    }
}

fn stops(told: &Told<'_>) -> Markup {
    let lines = told.dead(&|_, words| words.to_owned());
    html! {
        @if lines.is_empty() {
            p { "Nothing that the record has." }
        }
        (form::boxes(lines))
    }
}

fn steps(plan: &Plan) -> Markup {
    html! {
        @for (number, step) in plan.steps.iter().enumerate() {
            h3 { (number + 1) ". " (step.name) }
            (form::boxes(&step.lines))
        }
    }
}

fn wires(told: &Told<'_>) -> Markup {
    let vehicle = &told.plan.before.vehicle;
    let stay = told.stay();
    html! {
        @if told.plan.wires_out.is_empty() {
            p { "No wire comes out." }
        } @else {
            (frame::table_to_fill_in("Wires that come out, from end to end", told.out(), &["Out"]))
            p { (told.recovered()) }
        }
        @if !stay.is_empty() {
            h3 { "Wires that stay" }
            (frame::list(vehicle, stay))
        }
    }
}

fn left(told: &Told<'_>) -> Markup {
    let ends = told.left_behind(&|_, words| words.to_owned());
    let freed = told.freed();
    let rows: Vec<Vec<String>> = ends.into_iter().map(|end| vec![end]).collect();
    let none = rows.is_empty();
    let columns = [Column::Words("End")];
    html! {
        @if none {
            p { (removal::NOTHING_LEFT) }
        }
        (frame::table_to_fill_in("Ends", Grid::new(&columns, rows), &["Capped", "Labelled", "Photo"]))
        @if !freed.is_empty() {
            h3 { "Has nothing to do any more" }
            (frame::list(&told.plan.before.vehicle, freed))
            p class="remark" { (removal::FREED) }
        }
    }
}

/// What would be left of less work, for whoever decides which of the two is done.
fn minimum(told: &Told<'_>) -> Markup {
    let worked_out = advise::removal::least(told.plan).ok();
    let least = match least::choice(worked_out.as_ref()) {
        Ok(least) => least,
        Err(words) => return html! { p { (words) } },
    };
    html! {
        p { (least::BOTH) }
        (frame::table("What each leaves", told.least(least)))
        ul {
            @for line in told.least_price(least) {
                li { (frame::typed(&line)) }
            }
        }
        h3 { "What the minimum takes, where that is what is done" }
        (form::boxes(told.least_work(least)))
    }
}

/// The same measurement before and after, under the same conditions.
fn proof(told: &Told<'_>) -> Markup {
    let draw = |audit: &crate::Audit| told.show.one(audit.solved.key_off.draw);
    let rows = [("before", &told.plan.before), ("after", &told.plan.after)]
        .map(|(when, audit)| vec![format!("Key off, asleep: current, {when}"), draw(audit)]);
    let columns = [Column::Words("Measure"), Column::Words("Worked out")];
    let blanks = [
        "Measured",
        "Waited",
        "Temperature",
        "Battery voltage",
        "Meter and range",
    ];
    html! {
        (frame::table_to_fill_in("The same measurement twice", Grid::new(&columns, rows.to_vec()), &blanks))
        (form::boxes([
            "Every required lamp, the horn and the wipers work as before.",
            "What the vehicle came with works as before, in every position of the key.",
            "The engine starts and charges.",
            "No lamp in the dash that was not lit before.",
            "Every end that stays is capped, labelled and photographed.",
            "Holes and grommets are closed.",
        ]))
    }
}
