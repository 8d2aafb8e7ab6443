//! `keyoff report`: one page for a browser and for paper.

use keyoff::render::html;

use super::End;
use crate::args::Report;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// Writes or prints the page.
pub fn run(args: &Report, terminal: Terminal) -> Result<End, Fault> {
    let audit = match record::audit(&args.file, args.input.max_size) {
        Ok(audit) => audit,
        Err(unusable) => return super::refuse(&args.file, &unusable, false, terminal),
    };
    let options = html::Options {
        units: args.units.into(),
        paper: args.sheet.into(),
    };
    let (vehicle, solved, report) = (&audit.vehicle, &audit.solved, &audit.report);
    let page = match args.paper {
        Some(kind) => html::paper(kind.into(), vehicle, solved, report, options),
        None => html::report(vehicle, solved, report, options),
    };
    super::deliver(
        terminal,
        args.output.output.as_deref(),
        args.output.force,
        &page,
    )
}
