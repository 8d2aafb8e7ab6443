//! The wiring diagram, with the situation to choose: one set of sheets for each, of which style shows the chosen one.

use maud::Markup;
use maud::html;

use super::Material;
use super::frame;
use crate::draw;
use crate::draw::Drawing;
use crate::draw::Mark;
use crate::draw::Sheet;
use crate::draw::Shown;
use crate::render::svg;
use crate::render::text::audit::summary;
use crate::render::words;

/// One choice.
pub(super) struct Choice {
    /// Its name.
    name: String,
    /// What it shows, in a sentence.
    says: Markup,
    drawing: Drawing,
}

/// The wiring by itself, then every situation.
pub(super) fn drawings(of: &Material<'_>) -> Vec<Choice> {
    let marks = marks(of);
    let mut choices = vec![Choice {
        name: "the wiring alone".to_owned(),
        says: html! { "The wiring as the record has it, with what was found marked by its number." },
        drawing: draw(of, None, marks.clone()),
    }];
    for (situation, solution, balance) in &of.told.balances {
        let shown = Shown {
            name: &situation.name,
            solution,
        };
        choices.push(Choice {
            name: situation.name.clone(),
            says: frame::prose(
                of.told.vehicle,
                &summary::on(&of.told, situation, solution, balance),
            ),
            drawing: draw(of, Some(shown), marks.clone()),
        });
    }
    choices
}

/// The wiring by itself, without marks.
pub(super) fn wiring(of: &Material<'_>) -> Vec<Choice> {
    vec![Choice {
        name: "the wiring".to_owned(),
        says: html! { "The wiring as the record has it." },
        drawing: draw(of, None, Vec::new()),
    }]
}

fn marks(of: &Material<'_>) -> Vec<Mark> {
    let open = of.open().map(|(_, one)| Mark {
        parts: one.finding.parts.clone(),
        wires: one.finding.wires.clone(),
        level: words::level(one.level).to_owned(),
        message: one.finding.message.clone(),
    });
    open.collect()
}

fn draw(of: &Material<'_>, situation: Option<Shown<'_>>, marks: Vec<Mark>) -> Drawing {
    let options = draw::Options {
        paper: of.options.paper,
        units: of.options.units,
        situation,
        marks,
        ..draw::Options::default()
    };
    draw::diagram(of.told.vehicle, &options)
}

/// The rules that show the sheets of the chosen one and no others. Without style all are shown.
pub(super) fn style(choices: usize) -> String {
    if choices < 2 {
        return String::new();
    }
    let chosen: Vec<String> = (0..choices)
        .map(|at| format!("#shown-{at}:checked~#drawing-{at}"))
        .collect();
    format!(
        ".choose>.drawing{{display:none}}{}{{display:block}}",
        chosen.join(",")
    )
}

pub(super) fn section(choices: &[Choice]) -> Markup {
    if let [only] = choices {
        return html! { div class="drawing" { (sheets(only)) } };
    }
    html! {
        p class="screen" {
            "Choose what is shown. Wires that are live are drawn in their colours, those that are not as thin grey lines; the figures are \
             volts at the terminals and amperes in the wires. What is printed is what is chosen, as the last sheets."
        }
        fieldset class="choose" {
            legend { "Situation shown" }
            @for (at, choice) in choices.iter().enumerate() {
                input type="radio" name="shown" id={ "shown-" (at) } checked[at == 0];
                label for={ "shown-" (at) } { (choice.name) }
            }
            @for (at, choice) in choices.iter().enumerate() {
                div class="drawing" id={ "drawing-" (at) } {
                    h3 { "Shown: " (choice.name) }
                    (sheets(choice))
                }
            }
        }
    }
}

fn sheets(choice: &Choice) -> Markup {
    html! {
        p { (choice.says) }
        @for sheet in &choice.drawing.sheets {
            (page(sheet, &choice.name))
        }
    }
}

fn page(sheet: &Sheet, name: &str) -> Markup {
    let label = format!("{}; shown: {name}", sheet.describes);
    html! {
        // What is wider than the screen is moved within its own frame, also by keys.
        div class="sheet" role="region" tabindex="0" aria-label=(label) {
            (frame::picture(svg::inline(sheet, &label)))
        }
    }
}
