//! `keyoff report`: one page for a browser and for paper.

use keyoff::Audit;
use keyoff::render::html;

use super::End;
use crate::args::PaperKind;
use crate::args::Report;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// Writes or prints the page.
pub fn run(args: &Report, terminal: Terminal) -> Result<End, Fault> {
    if !args.remove.is_empty() && args.paper != Some(PaperKind::RemovalRecord) {
        let fault = Fault::new("nothing is taken out for this paper");
        return Err(fault.help("--remove goes with --paper removal-record"));
    }
    let audit = match record::audit(&args.file, args.input.max_size) {
        Ok(audit) => audit,
        Err(unusable) => return super::refuse(&args.file, &unusable, false, terminal),
    };
    let options = html::Options {
        units: args.units.into(),
        paper: args.sheet.into(),
    };
    let paper = |audit: &Audit, kind| html::paper(kind, audit, options);
    let page = match args.paper {
        Some(PaperKind::HandOver) => paper(&audit, html::PaperKind::HandOver),
        Some(PaperKind::Condition) => paper(&audit, html::PaperKind::Condition),
        Some(PaperKind::LoadAnalysis) => paper(&audit, html::PaperKind::LoadAnalysis),
        Some(PaperKind::RemovalRecord) => match super::remove::plan(audit, &args.remove) {
            Ok(plan) => html::removal_record(&plan, options),
            Err(why) => return super::refuse(&args.file, &why, false, terminal),
        },
        None => match &args.against {
            Some(file) => match record::audit(file, args.input.max_size) {
                Ok(before) => html::report_against(&before, &audit, options),
                Err(unusable) => return super::refuse(file, &unusable, false, terminal),
            },
            None => html::report(&audit.vehicle, &audit.solved, &audit.report, options),
        },
    };
    super::deliver(
        terminal,
        args.output.output.as_deref(),
        args.output.force,
        &page,
    )
}
