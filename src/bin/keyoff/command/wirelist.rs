//! `keyoff wirelist`: what is cut, crimped and labelled.

use keyoff::render::csv;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::wire_list;

use super::End;
use crate::args::TableFormat;
use crate::args::WireList;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// Prints the wire list, the labels of its ends, or what is to be bought.
pub fn run(args: &WireList, terminal: Terminal) -> Result<End, Fault> {
    let fault = |error: &dyn std::error::Error| Fault::new(error.to_string());
    let vehicle = match record::vehicle(&args.file, args.input.max_size) {
        Ok(vehicle) => vehicle,
        Err(unusable) => {
            return super::refuse(
                &args.file,
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
