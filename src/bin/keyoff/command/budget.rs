//! `keyoff budget`: key-on load against charging.

use std::path::PathBuf;

use clap::Args;
use keyoff::analyze::budget;
use keyoff::analyze::park;
use keyoff::render::chart;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;
use keyoff::render::text::show::Show;
use keyoff::solve::Solver;

use super::End;
use crate::args::Format;
use crate::args::Record;
use crate::args::Units;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff budget`
#[derive(Args, Debug)]
pub struct Budget {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,

    /// Units in which temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// Also writes the chart of charge over the first situation with phases, as SVG
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Writes over a file that is there
    #[arg(long)]
    pub force: bool,
}

/// Prints every situation against the charging system, shifts, and the load analysis.
pub fn run(args: &Budget, terminal: Terminal) -> Result<End, Fault> {
    let data = args.format == Format::Json;
    let audit = match record::audit(&args.record.file, args.record.input.max_size) {
        Ok(audit) => audit,
        Err(unusable) => return super::refuse(&args.record.file, &unusable, data, terminal),
    };
    let vehicle = &audit.vehicle;
    let parked = park::park(vehicle, &audit.solved.key_off);
    let budget = budget::budget(&mut Solver::new(vehicle), &audit.solved, &parked);
    if let Some(path) = &args.output {
        let Some(shift) = budget.shifts.first() else {
            let fault =
                Fault::new("no situation of this record has phases: there is no shift to draw");
            return Err(fault.help(
                "write for example `phases: [{engine: cruise, for: 1 h}, {engine: idle, for: 3 h}]` in a situation",
            ));
        };
        let picture = chart::over_shift(vehicle, &parked, shift);
        super::beside(terminal, path, args.force, &chart::svg(&picture))?;
    }
    let text = if data {
        let budget = json::budget::budget(vehicle, &audit.report, &parked, &budget);
        json::pretty(&Printed::Answer(Box::new(budget)))
            .map_err(|error| Fault::new(error.to_string()))?
    } else {
        let show = Show(args.units.into());
        text::budget::budget(vehicle, &parked, &budget, show, terminal.out)
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}
