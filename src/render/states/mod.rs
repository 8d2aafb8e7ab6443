//! What is live and what works in which state: the pages of `hot`, `trace` and `matrix`.

pub mod hot;
pub mod matrix;
pub mod trace;

use crate::analyze::Explored;
use crate::analyze::route::Route;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Link;
use crate::model::Setting;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::render::json::audit::part_names;
use crate::render::json::v1;
use crate::render::text::Page;
use crate::render::text::show::Show;
use crate::render::words;
use crate::solve::AtKey;

/// `off`, `off, just after`, `run, engine at idle`.
fn key_name(at: AtKey) -> String {
    let mut name = at.key.text().to_owned();
    if at.key == Key::Off && at.shore {
        name += ", on shore power";
    } else if at.key == Key::Off && !at.settled {
        name += ", just after";
    }
    match at.engine {
        Engine::Idle => name += ", idle",
        Engine::Cruise | Engine::Speed(_) => name += ", at speed",
        Engine::Stopped => {}
    }
    name
}

/// What has to be set besides the key: `S1 closed`, `S2 open, with L1 in high`. Empty where nothing has to.
fn needs(setting: &Setting) -> String {
    let mut needs = Vec::new();
    if !setting.closed.is_empty() {
        needs.push(format!("{} closed", words::list(&setting.closed)));
    }
    if !setting.opened.is_empty() {
        needs.push(format!("{} open", words::list(&setting.opened)));
    }
    // The rest says what the column or the heading says, but for these.
    let said = [
        "just after the key is turned off",
        "on shore power",
        "with the engine at idle",
        "with the engine at speed",
    ];
    let also = setting.also.as_deref().unwrap_or_default();
    needs.extend(
        also.split(", ")
            .filter(|words| !words.is_empty() && !said.contains(words))
            .map(str::to_owned),
    );
    needs.join(", ")
}

/// What a button only starts: a latching relay on the way stays as it was put when the button is let go.
fn held(vehicle: &Vehicle, setting: &Setting, routes: &[Route]) -> Option<String> {
    let buttons = vehicle.switches.iter().filter(|unit| unit.momentary);
    let pressed = buttons
        .map(|unit| &unit.label)
        .any(|label| setting.closed.contains(label));
    let latching = |link: &Link| match *link {
        Link::Branch(branch) => Some(vehicle.part(vehicle.branch(branch).part)),
        Link::Wire(_) => None,
    };
    let mut parts = routes
        .iter()
        .flat_map(|route| &route.way)
        .filter_map(latching);
    let relay = parts.find(|part| part.kind == Kind::Relay && part.fields.flag("latching"))?;
    pressed.then(|| format!(", and from then on while {} is set", relay.name.value))
}

/// Wires and parts of a way, each once in a row.
fn way(vehicle: &Vehicle, route: &Route) -> Vec<String> {
    let mut way: Vec<String> = Vec::new();
    for link in &route.way {
        let name = match link {
            Link::Wire(wire) => vehicle.wire(*wire).id.clone(),
            Link::Branch(branch) => {
                let part = vehicle.branch(*branch).part;
                vehicle.part(part).name.value.clone()
            }
        };
        if way.last() != Some(&name) {
            way.push(name);
        }
    }
    way
}

fn routes(vehicle: &Vehicle, routes: &[Route]) -> Vec<v1::RouteLine> {
    let line = |route: &Route| v1::RouteLine {
        source: vehicle.part(route.source).name.value.clone(),
        way: way(vehicle, route),
        protected_by: part_names(vehicle, &route.protections),
        through: part_names(vehicle, &route.through),
    };
    routes.iter().map(line).collect()
}

/// `F1 (30 A)`, nearest to the source first; `nothing` where there is none.
fn protections(vehicle: &Vehicle, route: &Route, show: Show) -> String {
    let parts: Vec<String> = route
        .protections
        .iter()
        .map(|&part| {
            let part = vehicle.part(part);
            let rating = part.stated::<Amps>("rating");
            let size = part.fields.text("size").map(|size| size.value.clone());
            match (rating, size) {
                (Some(rating), _) => format!("{} ({})", part.name.value, show.one(rating.likely)),
                (None, Some(size)) => format!("{} ({size})", part.name.value),
                (None, None) if part.kind == Kind::Feed => {
                    format!("{} (factory fuse not stated)", part.name.value)
                }
                (None, None) => format!("{} (rating not stated)", part.name.value),
            }
        })
        .collect();
    if parts.is_empty() {
        "nothing".to_owned()
    } else {
        parts.join(", then ")
    }
}

/// How many settings it rests on.
#[must_use]
pub fn looked_at(of: &Explored) -> String {
    words::looked_at(of, "what is live only in the others is not in this page")
}

fn basis(page: &mut Page, of: &Explored) {
    page.blank();
    page.line(0, &looked_at(of));
    page.line(0, words::ADVICE);
}
