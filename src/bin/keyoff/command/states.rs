//! `keyoff hot`, `keyoff trace` and `keyoff matrix`: what is live and what works in which state.

use clap::Args;
use keyoff::analyze;
use keyoff::analyze::Solved;
use keyoff::analyze::hot;
use keyoff::analyze::matrix;
use keyoff::analyze::trace;
use keyoff::model::TerminalId;
use keyoff::model::Vehicle;
use keyoff::render::csv;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::states;
use keyoff::render::text::show::Show;
use keyoff::solve::Detail;
use keyoff::solve::Solver;

use super::End;
use crate::args::Format;
use crate::args::Record;
use crate::args::TableFormat;
use crate::args::Units;
use crate::args::values;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff hot`
#[derive(Args, Debug)]
pub struct Hot {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: TableFormat,

    /// Settings of one group of switches that bear on one another, at most, in each position of the key
    #[arg(long, value_name = "N", default_value_t = keyoff::analyze::SETTINGS, value_parser = values::settings)]
    pub settings: usize,

    /// Units in which lengths are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,
}

/// `keyoff trace`
#[derive(Args, Debug)]
pub struct Trace {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// A terminal such as `K1.30`, a wire, or a part
    #[arg(value_name = "POINT")]
    pub point: String,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,

    /// Settings of one group of switches that bear on one another, at most, in each position of the key
    #[arg(long, value_name = "N", default_value_t = keyoff::analyze::SETTINGS, value_parser = values::settings)]
    pub settings: usize,

    /// Units in which figures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,
}

/// `keyoff matrix`
#[derive(Args, Debug)]
pub struct Matrix {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: TableFormat,

    /// Settings of one group of switches that bear on one another, at most, in each position of the key
    #[arg(long, value_name = "N", default_value_t = keyoff::analyze::SETTINGS, value_parser = values::settings)]
    pub settings: usize,
}

/// A vehicle, explored in every setting.
struct Explored {
    vehicle: Vehicle,
    solved: Solved,
    detail: Detail,
}

fn explored(
    path: &std::path::Path,
    most: u64,
    settings: usize,
) -> Result<Explored, record::Unusable> {
    let vehicle = record::vehicle(path, most)?;
    let (solved, detail) = analyze::analyze_in_detail(&vehicle, settings);
    Ok(Explored {
        vehicle,
        solved,
        detail,
    })
}

/// Prints everything that is live with the key off.
pub fn hot(args: &Hot, terminal: Terminal) -> Result<End, Fault> {
    let json = args.format == TableFormat::Json;
    let of = match explored(&args.record.file, args.record.input.max_size, args.settings) {
        Ok(of) => of,
        Err(unusable) => return super::refuse(&args.record.file, &unusable, json, terminal),
    };
    let hot = hot::hot(&mut Solver::new(&of.vehicle), &of.solved, &of.detail);
    let seen = &of.solved.explored;
    let text = match args.format {
        TableFormat::Text => states::hot::text(
            &of.vehicle,
            &hot,
            seen,
            Show(args.units.into()),
            terminal.out,
        ),
        TableFormat::Csv => table(&states::hot::rows(&of.vehicle, &hot))?,
        TableFormat::Json => pretty(states::hot::data(&of.vehicle, &hot, seen))?,
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}

/// Prints when a point is live, and what makes it dead.
pub fn trace(args: &Trace, terminal: Terminal) -> Result<End, Fault> {
    let data = args.format == Format::Json;
    let of = match explored(&args.record.file, args.record.input.max_size, args.settings) {
        Ok(of) => of,
        Err(unusable) => return super::refuse(&args.record.file, &unusable, data, terminal),
    };
    let vehicle = &of.vehicle;
    let mut solver = Solver::new(vehicle);
    let points = match terminals(vehicle, &args.point) {
        Ok(points) => points,
        Err(fault) => return super::refuse(&args.record.file, &fault.into(), data, terminal),
    };
    let traces: Vec<trace::Trace> = points
        .into_iter()
        .map(|at| trace::trace(&mut solver, &of.detail, at, args.settings))
        .collect();
    let seen = &of.solved.explored;
    let text = match args.format {
        Format::Text => states::trace::text(
            vehicle,
            &args.point,
            &traces,
            seen,
            Show(args.units.into()),
            terminal.out,
        ),
        Format::Json => pretty(states::trace::data(vehicle, &args.point, &traces, seen))?,
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}

/// Prints parts against states.
pub fn matrix(args: &Matrix, terminal: Terminal) -> Result<End, Fault> {
    let json = args.format == TableFormat::Json;
    let of = match explored(&args.record.file, args.record.input.max_size, args.settings) {
        Ok(of) => of,
        Err(unusable) => return super::refuse(&args.record.file, &unusable, json, terminal),
    };
    let matrix = matrix::matrix(&mut Solver::new(&of.vehicle), &of.solved, &of.detail);
    let seen = &of.solved.explored;
    let text = match args.format {
        TableFormat::Text => states::matrix::text(&of.vehicle, &matrix, seen, terminal.out),
        TableFormat::Csv => table(&states::matrix::rows(&matrix))?,
        TableFormat::Json => pretty(states::matrix::data(&of.vehicle, &matrix, seen))?,
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}

/// The terminals that a name stands for: a terminal, the two ends of a wire, all of a part.
fn terminals(vehicle: &Vehicle, name: &str) -> Result<Vec<TerminalId>, Fault> {
    let labels = || {
        vehicle
            .terminals
            .iter()
            .map(|terminal| terminal.label.as_str())
    };
    if let Some(part) = vehicle.parts.iter().find(|part| part.name.value == name)
        && !part.terminals.is_empty()
    {
        return Ok(part.terminals.clone());
    }
    if let Some(wire) = vehicle.wires.iter().find(|wire| wire.id == name) {
        return Ok(vec![wire.from, wire.to]);
    }
    if let Some(at) = labels().position(|label| label == name) {
        return Ok(vec![TerminalId(at as u32)]);
    }
    // `X1.1`, as a record writes it, is a pin: both its sides.
    let sides: Vec<TerminalId> = (0..)
        .zip(labels())
        .filter(|(_, label)| {
            ["a", "b"]
                .iter()
                .any(|side| *label == format!("{name}.{side}"))
        })
        .map(|(at, _)| TerminalId(at))
        .collect();
    if !sides.is_empty() {
        return Ok(sides);
    }
    let parts = vehicle.parts.iter().map(|part| part.name.value.as_str());
    let wires = vehicle.wires.iter().map(|wire| wire.id.as_str());
    let names: Vec<&str> = parts.chain(wires).chain(labels()).collect();
    Err(super::no_such(
        "part, terminal or wire",
        name,
        &names,
        "`keyoff wirelist FILE` lists the wires and where they land",
    ))
}

fn table(rows: &[Vec<String>]) -> Result<String, Fault> {
    csv::table(rows).map_err(|error| Fault::new(error.to_string()))
}

fn pretty<T: serde::Serialize>(data: T) -> Result<String, Fault> {
    json::pretty(&Printed::Answer(Box::new(data))).map_err(|error| Fault::new(error.to_string()))
}
