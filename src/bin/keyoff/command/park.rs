//! `keyoff park`: standing with the key off.

use std::path::PathBuf;

use clap::Args;
use keyoff::analyze::endurance::Starts;
use keyoff::analyze::park;
use keyoff::analyze::park::Parked;
use keyoff::model::Vehicle;
use keyoff::quantity::Celsius;
use keyoff::render::chart;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;
use keyoff::render::text::show::Show;
use keyoff::render::text::standing::Standing;
use keyoff::solve::Solver;

use super::End;
use crate::args::Format;
use crate::args::Record;
use crate::args::Units;
use crate::args::values;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff park`
#[derive(Args, Debug)]
pub struct Park {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// Will it start after so many days? What the record `stands` where left out
    #[arg(long, value_name = "N", value_parser = values::days)]
    pub days: Option<f64>,

    /// At this temperature, e.g. `-20C` or `14F`; that of the record where left out
    #[arg(long, value_name = "T", value_parser = values::temperature, allow_hyphen_values = true)]
    pub at: Option<f64>,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,

    /// Units in which temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// Also writes the chart of charge over days, as SVG
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Writes over a file that is there
    #[arg(long)]
    pub force: bool,
}

/// Prints the draw, the timeline, the days at several temperatures, and whether the engine starts.
pub fn run(args: &Park, terminal: Terminal) -> Result<End, Fault> {
    let data = args.format == Format::Json;
    let (vehicle, solved) = match record::solved(&args.record.file, args.record.input.max_size) {
        Ok(both) => both,
        Err(unusable) => return super::refuse(&args.record.file, &unusable, data, terminal),
    };
    let parked = park::park_by_temperature(&vehicle, &solved.key_off);
    let timeline = park::follow(&mut Solver::new(&vehicle), &parked);
    let starts = starts(args, &vehicle, &parked);
    let starts = starts.as_ref().map(|(days, starts)| (*days, starts));
    if let Some(path) = &args.output {
        let picture = chart::while_parked(&vehicle, &parked, &timeline, args.units.into());
        super::beside(terminal, path, args.force, &chart::svg(&picture))?;
    }
    let text = if data {
        let park = json::park::park(&vehicle, &solved.key_off, &parked, &timeline, starts);
        json::pretty(&Printed::Answer(Box::new(park)))
            .map_err(|error| Fault::new(error.to_string()))?
    } else {
        let standing = Standing {
            vehicle: &vehicle,
            key_off: &solved.key_off,
            parked: &parked,
            show: Show(args.units.into()),
        };
        text::park::park(standing, &timeline, starts, terminal.out)
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}

/// The answer to "will it start?": after the days asked for, else after those that the record says it must be able to stand.
fn starts(args: &Park, vehicle: &Vehicle, parked: &Parked) -> Option<(f64, Starts)> {
    let days = args
        .days
        .or_else(|| vehicle.stands.map(|stands| stands.likely.days()))?;
    let at = args.at.map_or(parked.at, Celsius);
    park::starts(parked, at, days).map(|starts| (days, starts))
}
