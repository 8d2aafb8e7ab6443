//! `keyoff wirelist`: what is cut, crimped and labelled.

use clap::Args;
use keyoff::render::csv;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::wire_list;

use super::End;
use crate::args::Record;
use crate::args::TableFormat;
use crate::args::Units;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff wirelist`
#[derive(Args, Debug)]
pub struct WireList {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: TableFormat,

    /// Prints two labels a wire instead, one for each end, as CSV
    #[arg(long, conflicts_with = "totals")]
    pub labels: bool,

    /// Prints what is to be bought instead, by size, colour and insulation, as CSV
    #[arg(long)]
    pub totals: bool,

    /// Units in which lengths are shown; as they are written where left out
    #[arg(long, value_enum, value_name = "UNITS")]
    pub units: Option<Units>,
}

/// Prints the wire list, the labels of its ends, or what is to be bought.
pub fn run(args: &WireList, terminal: Terminal) -> Result<End, Fault> {
    let fault = |error: &dyn std::error::Error| Fault::new(error.to_string());
    let vehicle = match record::vehicle(&args.record.file, args.record.input.max_size) {
        Ok(vehicle) => vehicle,
        Err(unusable) => {
            return super::refuse(
                &args.record.file,
                &unusable,
                args.format == TableFormat::Json,
                terminal,
            );
        }
    };
    let units = args.units.map(Into::into);
    let text = match args.format {
        _ if args.labels => csv::table(&wire_list::labels(&vehicle)).map_err(|e| fault(&e))?,
        _ if args.totals => {
            csv::table(&wire_list::totals_rows(&vehicle, units)).map_err(|e| fault(&e))?
        }
        TableFormat::Csv => csv::table(&wire_list::rows(&vehicle, units)).map_err(|e| fault(&e))?,
        TableFormat::Json => {
            let data = Printed::Answer(Box::new(wire_list::data(&vehicle, units)));
            json::pretty(&data).map_err(|e| fault(&e))?
        }
        TableFormat::Text => wire_list::text(&vehicle, units, terminal.out),
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}
