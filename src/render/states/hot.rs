//! Everything that is live with the key off, with its protection and its route.

use super::basis;
use super::held;
use super::needs;
use super::protections;
use super::routes;
use super::way;
use crate::analyze::Explored;
use crate::analyze::hot::Hot;
use crate::analyze::hot::What;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::Zone;
use crate::quantity::Amps;
use crate::render::json::audit::document;
use crate::render::json::audit::explored;
use crate::render::json::audit::setting;
use crate::render::json::number;
use crate::render::json::v1;
use crate::render::snippet::Look;
use crate::render::text::Grid;
use crate::render::text::Page;
use crate::render::text::page::Column;
use crate::render::text::show::Show;
use crate::render::words;

/// In the shape of format 1.
#[must_use]
pub fn data(vehicle: &Vehicle, hot: &[Hot], of: &Explored) -> v1::Hot {
    v1::Hot {
        format: v1::FORMAT,
        document: document(vehicle),
        hot: hot.iter().map(|hot| line(vehicle, hot)).collect(),
        explored: explored(of),
    }
}

fn line(vehicle: &Vehicle, hot: &Hot) -> v1::HotLine {
    let label = |at: crate::model::TerminalId| vehicle.terminal(at).label.clone();
    let wire = match hot.what {
        What::Wire(id) => Some(vehicle.wire(id)),
        What::Point(_) => None,
    };
    let point = match hot.what {
        What::Wire(_) => None,
        What::Point(id) => Some(vehicle.part(id)),
    };
    let zone = wire.map_or_else(
        || point.map_or(Zone::default(), |part| part.zone),
        |wire| wire.zone,
    );
    v1::HotLine {
        wire: wire.map(|wire| wire.id.clone()),
        point: point.map(|part| part.name.value.clone()),
        from: wire.map(|wire| label(wire.from)),
        to: wire.map(|wire| label(wire.to)),
        size: wire
            .and_then(|wire| wire.size)
            .map(crate::table::wire::label),
        length_m: wire
            .and_then(|wire| wire.length)
            .map(|length| number(length.likely.0)),
        insulation: wire
            .and_then(|wire| wire.fields.text("insulation"))
            .map(|insulation| insulation.value.clone()),
        route: wire.map_or_else(Vec::new, |wire| wire.route.clone()),
        bundle: wire.and_then(|wire| wire.bundle.clone()),
        zone: zone_name(zone).to_owned(),
        when: if hot.when.shore {
            v1::HotWhen::Shore
        } else if hot.when.settled {
            v1::HotWhen::Always
        } else {
            v1::HotWhen::JustOff
        },
        setting: setting(&hot.setting),
        voltage_v: number(hot.volts.0),
        parked_a: hot.parked.map(|amps| number(amps.0)),
        routes: routes(vehicle, &hot.routes),
    }
}

const fn zone_name(zone: Zone) -> &'static str {
    match zone {
        Zone::EngineBay => "engine-bay",
        Zone::Cabin => "cabin",
        Zone::Exterior => "exterior",
    }
}

/// `as left`, `only with S1 closed`, `for a time after the key`.
fn when(vehicle: &Vehicle, hot: &Hot) -> String {
    let mut needs = needs(&hot.setting);
    if let Some(held) = held(vehicle, &hot.setting, &hot.routes) {
        needs.push_str(&held);
    }
    // Where a master switch opens the return, what is dead against the chassis is not so against the battery.
    let masters = vehicle.switches.iter().filter(|unit| unit.disconnect);
    let opens = masters
        .map(|unit| &unit.label)
        .any(|label| hot.setting.closed.contains(label));
    if opens && hot.parked.is_some_and(|amps| amps.abs().0 > 1e-6) {
        needs.push_str(" against the chassis; as left against the battery's -");
    }
    let base = if hot.when.shore {
        "on shore power"
    } else if hot.when.settled {
        "as left"
    } else {
        "for a time after the key"
    };
    match (needs.is_empty(), hot.when.settled && !hot.when.shore) {
        (true, _) => base.to_owned(),
        (false, true) => format!("only with {needs}"),
        (false, false) => format!("{base}, with {needs}"),
    }
}

/// For people.
#[must_use]
pub fn text(vehicle: &Vehicle, hot: &[Hot], of: &Explored, show: Show, look: Look) -> String {
    let mut page = Page::new(look);
    let name = page.strong(&vehicle.name);
    page.line(
        0,
        &format!("{name}: what is live with the key off, its protection and its route"),
    );
    let wires = hot.iter().filter(|hot| matches!(hot.what, What::Wire(_)));
    let bare: Vec<&Hot> = wires.clone().filter(|hot| hot.is_bare()).collect();
    let always = wires.clone().filter(|hot| hot.always()).count();
    page.line(
        0,
        &format!(
            "{} live in some setting, {always} as the vehicle is left; {} without any protection on some way from a source.",
            words::plural(wires.clone().count(), "wire is", "wires are"),
            bare.len()
        ),
    );
    for (heading, grid) in grids(vehicle, hot, show) {
        if !grid.is_empty() {
            page.heading(heading);
            page.grid(2, grid);
        }
    }
    page.blank();
    page.line(0, NOTE);
    basis(&mut page, of);
    page.into_text()
}

/// How the tables are to be read.
pub const NOTE: &str = "Parked: what flows as the vehicle is left. Protected by: nearest to the source first; where several \
     sources feed it, each way. A wire is live where either of its ends is above 0.5 V. The lead from a source to its first \
     fuse is protected by nothing too; whether it is short enough is what `protection-too-far` judges.";

/// Wires that nothing protects, those behind a protection, and points, each under its heading.
#[must_use]
pub fn grids(vehicle: &Vehicle, hot: &[Hot], show: Show) -> [(&'static str, Grid<'static>); 3] {
    let wires = |is_bare: bool| {
        let wires = hot.iter().filter(|hot| matches!(hot.what, What::Wire(_)));
        let rows = wires
            .filter(|hot| hot.is_bare() == is_bare)
            .map(|hot| row(vehicle, hot, show));
        Grid::new(COLUMNS, rows.collect())
    };
    let points: Vec<Vec<String>> = hot
        .iter()
        .filter_map(|hot| match hot.what {
            What::Point(id) => Some((hot, vehicle.part(id))),
            What::Wire(_) => None,
        })
        .map(|(hot, part)| {
            vec![
                part.name.value.clone(),
                part.kind.text().to_owned(),
                when(vehicle, hot),
                protected(vehicle, hot, show),
                sources(vehicle, hot),
                part.place
                    .clone()
                    .unwrap_or_else(|| zone_name(part.zone).to_owned()),
            ]
        })
        .collect();
    [
        ("Wires that nothing protects", wires(true)),
        ("Wires behind a protection", wires(false)),
        (
            "Studs, busbars, splices and wire ends",
            Grid::new(POINTS, points),
        ),
    ]
}

const POINTS: &[Column<'_>] = &[
    Column::Words("Point"),
    Column::Words("Kind"),
    Column::Words("Live"),
    Column::Words("Protected by"),
    Column::Words("Way from the source"),
    Column::Words("Place"),
];

const COLUMNS: &[Column<'_>] = &[
    Column::Words("Wire"),
    Column::Words("From, to"),
    Column::Words("Size"),
    Column::Figures("Length"),
    Column::Words("Live"),
    Column::Figures("Parked"),
    Column::Words("Protected by"),
    Column::Words("Way from the source"),
    Column::Words("Runs"),
];

fn row(vehicle: &Vehicle, hot: &Hot, show: Show) -> Vec<String> {
    let What::Wire(id) = hot.what else {
        return Vec::new();
    };
    let wire = vehicle.wire(id);
    let [from, to] = [wire.from, wire.to].map(|at| &vehicle.terminal(at).label);
    vec![
        wire.id.clone(),
        format!("{from} to {to}"),
        wire.size.map(crate::table::wire::label).unwrap_or_default(),
        wire.length
            .map(|length| show.one(length.likely))
            .unwrap_or_default(),
        when(vehicle, hot),
        hot.parked
            .filter(|amps| amps.abs().0 > 1e-6)
            .map(|amps| show.one(amps.abs()))
            .unwrap_or_default(),
        protected(vehicle, hot, show),
        sources(vehicle, hot),
        runs(vehicle, id),
    ]
}

/// Where a wire runs, in words of the record.
fn runs(vehicle: &Vehicle, id: WireId) -> String {
    let wire = vehicle.wire(id);
    let mut words = vec![zone_name(wire.zone).to_owned()];
    words.extend(wire.route.iter().cloned());
    words.extend(wire.bundle.iter().map(|bundle| format!("bundle {bundle}")));
    words.join(", ")
}

fn protected(vehicle: &Vehicle, hot: &Hot, show: Show) -> String {
    each(hot, |route| protections(vehicle, route, show))
}

fn sources(vehicle: &Vehicle, hot: &Hot) -> String {
    each(hot, |route| {
        let source = &vehicle.part(route.source).name.value;
        let way = way(vehicle, route);
        if way.is_empty() {
            source.clone()
        } else {
            format!("{source}, {}", way.join(", "))
        }
    })
}

fn each(hot: &Hot, of: impl Fn(&crate::analyze::route::Route) -> String) -> String {
    let mut all: Vec<String> = Vec::new();
    for words in hot.routes.iter().map(of) {
        if !all.contains(&words) {
            all.push(words);
        }
    }
    all.join("; ")
}

/// As rows of a spreadsheet, the names of the columns first.
#[must_use]
pub fn rows(vehicle: &Vehicle, hot: &[Hot]) -> Vec<Vec<String>> {
    let columns = [
        "wire",
        "point",
        "from",
        "to",
        "size",
        "length_m",
        "insulation",
        "runs",
        "live",
        "voltage_v",
        "parked_a",
        "protected_by",
        "way",
    ];
    let mut rows = vec![columns.iter().map(|name| (*name).to_owned()).collect()];
    for hot in hot {
        let line = line(vehicle, hot);
        let amps = |amps: Option<f64>| amps.map_or_else(String::new, |amps| amps.to_string());
        rows.push(vec![
            line.wire.unwrap_or_default(),
            line.point.unwrap_or_default(),
            line.from.unwrap_or_default(),
            line.to.unwrap_or_default(),
            line.size.unwrap_or_default(),
            amps(line.length_m),
            line.insulation.unwrap_or_default(),
            match hot.what {
                What::Wire(id) => runs(vehicle, id),
                What::Point(_) => line.zone,
            },
            when(vehicle, hot),
            number(hot.volts.0).to_string(),
            amps(hot.parked.map(|Amps(amps)| number(amps))),
            protected(vehicle, hot, Show::default()),
            sources(vehicle, hot),
        ]);
    }
    rows
}
