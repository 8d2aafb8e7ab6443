//! `keyoff fuses`: the fuse chart.

use clap::Args;
use keyoff::render::csv;
use keyoff::render::fuse_chart;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;

use super::End;
use crate::args::Record;
use crate::args::TableFormat;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff fuses`
#[derive(Args, Debug)]
pub struct Fuses {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: TableFormat,
}

/// Prints the fuse chart.
pub fn run(args: &Fuses, terminal: Terminal) -> Result<End, Fault> {
    let data = args.format == TableFormat::Json;
    let vehicle = match record::vehicle(&args.record.file, args.record.input.max_size) {
        Ok(vehicle) => vehicle,
        Err(unusable) => return super::refuse(&args.record.file, &unusable, data, terminal),
    };
    let text = match args.format {
        TableFormat::Text => fuse_chart::text(&vehicle, terminal.out),
        TableFormat::Csv => csv::table(&fuse_chart::rows(&vehicle))
            .map_err(|error| Fault::new(error.to_string()))?,
        TableFormat::Json => {
            let data = Printed::Answer(Box::new(fuse_chart::data(&vehicle)));
            json::pretty(&data).map_err(|error| Fault::new(error.to_string()))?
        }
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}
