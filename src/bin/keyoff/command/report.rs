//! `keyoff report`: one page for a browser and for paper.

use std::path::PathBuf;

use clap::Args;
use keyoff::Audit;
use keyoff::render::html;

use super::End;
use crate::args::Output;
use crate::args::Paper;
use crate::args::PaperKind;
use crate::args::Record;
use crate::args::Units;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff report`
#[derive(Args, Debug)]
pub struct Report {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// Where the page is written
    #[command(flatten)]
    pub output: Output,

    /// One of the papers of the trade instead, with room for a pen
    #[arg(long, value_enum, value_name = "PAPER")]
    pub paper: Option<PaperKind>,

    /// What comes out, for the removal record
    #[arg(
        long,
        value_name = "PART",
        num_args = 1..,
        required_if_eq("paper", "removal-record"),
        requires = "paper"
    )]
    pub remove: Vec<String>,

    /// Another record of the vehicle: what differs stands in the report
    #[arg(long, value_name = "FILE", conflicts_with = "paper")]
    pub against: Option<PathBuf>,

    /// The sheets that diagrams are laid out for
    #[arg(long, value_enum, default_value_t, value_name = "SHEET")]
    pub sheet: Paper,

    /// Units in which lengths and temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,
}

/// Writes or prints the page.
pub fn run(args: &Report, terminal: Terminal) -> Result<End, Fault> {
    if !args.remove.is_empty() && args.paper != Some(PaperKind::RemovalRecord) {
        let fault = Fault::new("nothing is taken out for this paper");
        return Err(fault.help("--remove goes with --paper removal-record"));
    }
    let audit = match record::audit(&args.record.file, args.record.input.max_size) {
        Ok(audit) => audit,
        Err(unusable) => return super::refuse(&args.record.file, &unusable, false, terminal),
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
            Err(why) => return super::refuse(&args.record.file, &why, false, terminal),
        },
        None => match &args.against {
            Some(file) => match record::audit(file, args.record.input.max_size) {
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
