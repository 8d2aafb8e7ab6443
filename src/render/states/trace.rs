//! One point: when it is live, from where, and what makes it dead.

use super::basis;
use super::held;
use super::key_name;
use super::needs;
use super::protections;
use super::routes;
use super::way;
use crate::analyze::Explored;
use crate::analyze::trace::Dead;
use crate::analyze::trace::Live;
use crate::analyze::trace::Trace;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::read::document::Kind;
use crate::render::json::audit::document;
use crate::render::json::audit::explored;
use crate::render::json::audit::key;
use crate::render::json::audit::part_names;
use crate::render::json::audit::setting;
use crate::render::json::number;
use crate::render::json::v1;
use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::render::text::show::Show;
use crate::render::words;

/// In the shape of format 1.
#[must_use]
pub fn data(vehicle: &Vehicle, point: &str, traces: &[Trace], of: &Explored) -> v1::Trace {
    let line = |trace: &Trace| v1::TraceLine {
        at: vehicle.terminal(trace.at).label.clone(),
        keys: trace
            .keys
            .iter()
            .map(|(at, live)| v1::TraceKey {
                name: key_name(*at),
                key: key(at.key),
                live: live.is_some(),
                setting: live.as_ref().and_then(|live| setting(&live.setting)),
                voltage_v: live.as_ref().map(|live| number(live.volts.0)),
                routes: live
                    .as_ref()
                    .map_or_else(Vec::new, |live| routes(vehicle, &live.routes)),
            })
            .collect(),
        dead: trace.dead.as_ref().map(|dead| v1::DeadBy {
            open: part_names(vehicle, &dead.open),
            take_off: part_names(vehicle, &dead.take_off),
            shown: dead.shown,
            still_through: part_names(vehicle, &dead.still_through),
            settings: dead.settings,
        }),
    };
    v1::Trace {
        format: v1::FORMAT,
        document: document(vehicle),
        point: point.to_owned(),
        terminals: traces.iter().map(line).collect(),
        explored: explored(of),
    }
}

/// For people.
#[must_use]
pub fn text(
    vehicle: &Vehicle,
    point: &str,
    traces: &[Trace],
    of: &Explored,
    show: Show,
    look: Look,
) -> String {
    let mut page = Page::new(look);
    let name = page.strong(&vehicle.name);
    page.line(
        0,
        &format!("{name}: {point}, when it is live and what makes it dead"),
    );
    for trace in traces {
        page.heading(&vehicle.terminal(trace.at).label);
        if trace.dead.is_none() {
            page.line(
                2,
                if of.complete {
                    "No setting makes it live."
                } else {
                    "No setting that was looked at makes it live; not all of them were."
                },
            );
            continue;
        }
        // What is the same in several positions of the key is said once.
        let mut said: Vec<(String, Vec<String>)> = Vec::new();
        let mut dead_in = Vec::new();
        for (at, live) in &trace.keys {
            let Some(live) = live else {
                dead_in.push(key_name(*at));
                continue;
            };
            let told = told(vehicle, live, show);
            let volts = format!("{} ({})", key_name(*at), show.one(live.volts));
            match said.iter_mut().find(|(known, _)| *known == told) {
                Some((_, keys)) => keys.push(volts),
                None => said.push((told, vec![volts])),
            }
        }
        for (told, keys) in said {
            let keys = page.strong(&format!("Key {}", keys.join("; ")));
            page.item(2, 4, &format!("{keys}: live {told}"));
        }
        if !dead_in.is_empty() {
            let keys = page.strong(&format!("Key {}", dead_in.join("; ")));
            page.item(2, 4, &format!("{keys}: dead in every setting."));
        }
        if let Some(dead) = &trace.dead {
            page.item(2, 4, &makes_dead(vehicle, dead));
        }
    }
    basis(&mut page, of);
    page.into_text()
}

/// `as everything is left, from B1 over w1, F1, w2; protected by F1 (30 A).`
fn told(vehicle: &Vehicle, live: &Live, show: Show) -> String {
    let mut needs = needs(&live.setting);
    if let Some(held) = held(vehicle, &live.setting, &live.routes) {
        needs.push_str(&held);
    }
    let setting = if needs.is_empty() {
        "as everything is left".to_owned()
    } else {
        format!("with {needs}")
    };
    let ways: Vec<String> = live
        .routes
        .iter()
        .map(|route| {
            let source = &vehicle.part(route.source).name.value;
            let way = way(vehicle, route);
            let over = if way.is_empty() {
                String::new()
            } else {
                format!(" over {}", way.join(", "))
            };
            let through = if route.through.is_empty() {
                String::new()
            } else {
                format!(
                    " (through {}, which finds no other way home)",
                    words::list(&part_names(vehicle, &route.through))
                )
            };
            format!(
                "from {source}{over}{through}; protected by {}",
                protections(vehicle, route, show)
            )
        })
        .collect();
    if ways.is_empty() {
        format!("{setting}.")
    } else {
        format!("{setting}, {}.", ways.join(", and "))
    }
}

/// `To make it dead: pull F1.`
fn makes_dead(vehicle: &Vehicle, dead: &Dead) -> String {
    let mut steps: Vec<String> = Vec::new();
    let named = |kinds: &[Kind], verb: &str, steps: &mut Vec<String>| {
        let of: Vec<PartId> = dead
            .open
            .iter()
            .copied()
            .filter(|&part| kinds.contains(&vehicle.part(part).kind))
            .collect();
        if !of.is_empty() {
            steps.push(format!("{verb} {}", words::list(&part_names(vehicle, &of))));
        }
    };
    named(&[Kind::Fuse], "pull", &mut steps);
    named(&[Kind::Breaker, Kind::Disconnect], "open", &mut steps);
    named(&[Kind::Feed], "pull the factory fuse of", &mut steps);
    named(&[Kind::Connector], "unplug", &mut steps);
    if !dead.take_off.is_empty() {
        steps.push(format!(
            "take {} off: nothing that opens stands before it",
            words::list(&part_names(vehicle, &dead.take_off))
        ));
    }
    let steps = words::list(&steps);
    let steps = if steps.is_empty() {
        "nothing that opens stands between it and a source".to_owned()
    } else {
        steps
    };
    let shown = if dead.shown {
        format!(
            "with that, all {} settings were solved again and none makes it live",
            dead.settings
        )
    } else if !dead.still_through.is_empty() {
        format!(
            "but it stays live through {}: open what feeds that too",
            words::list(&part_names(vehicle, &dead.still_through))
        )
    } else if dead.complete {
        "but some setting makes it live all the same: take the batteries off and measure".to_owned()
    } else {
        format!(
            "with that, {} settings were solved again and none makes it live, but not all of them were: measure",
            dead.settings
        )
    };
    format!("To make it dead: {steps} ({shown}).")
}
