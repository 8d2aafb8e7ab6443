//! `keyoff fuses`: the fuse chart.

use keyoff::render::csv;
use keyoff::render::fuse_chart;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;

use super::End;
use crate::args::Fuses;
use crate::args::TableFormat;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// Prints the fuse chart.
pub fn run(args: &Fuses, terminal: Terminal) -> Result<End, Fault> {
    let data = args.format == TableFormat::Json;
    let vehicle = match record::vehicle(&args.file, args.input.max_size) {
        Ok(vehicle) => vehicle,
        Err(unusable) => return super::refuse(&args.file, &unusable, data, terminal),
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
