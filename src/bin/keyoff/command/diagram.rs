//! `keyoff diagram`: the wiring diagram.

use clap::Args;
use keyoff::Audit;
use keyoff::draw;
use keyoff::draw::Mark;
use keyoff::draw::Options;
use keyoff::draw::Shown;
use keyoff::draw::Turn;
use keyoff::render::json;
use keyoff::render::json::layout;
use keyoff::render::json::v1::Printed;
use keyoff::render::svg;
use keyoff::render::words;

use super::End;
use crate::args::DiagramFormat;
use crate::args::Output;
use crate::args::Paper;
use crate::args::Record;
use crate::args::Units;
use crate::args::View;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff diagram`
#[derive(Args, Debug)]
pub struct Diagram {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// Where the diagram is written
    #[command(flatten)]
    pub output: Output,

    /// How the vehicle is laid out
    #[arg(long, value_enum, default_value_t, value_name = "VIEW")]
    pub view: View,

    /// The paper
    #[arg(long, value_enum, default_value_t, value_name = "PAPER")]
    pub paper: Paper,

    /// Takes the paper upright
    #[arg(long)]
    pub portrait: bool,

    /// What to write
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: DiagramFormat,

    /// Shows what is live and what flows in this situation, e.g. `parked`
    #[arg(long, value_name = "NAME")]
    pub situation: Option<String>,

    /// Marks what the checks find
    #[arg(long)]
    pub findings: bool,

    /// Units in which lengths are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,
}

/// Writes or prints the diagram. Only what is to be shown is worked out: the plain one needs no solution.
pub fn run(args: &Diagram, terminal: Terminal) -> Result<End, Fault> {
    let mut options = Options {
        view: args.view.into(),
        paper: args.paper.into(),
        turn: if args.portrait {
            Turn::Portrait
        } else {
            Turn::Landscape
        },
        units: args.units.into(),
        ..Options::default()
    };
    let json = args.format == DiagramFormat::Json;
    let (vehicle, drawn) = if args.situation.is_some() || args.findings {
        let audit = match record::audit(&args.record.file, args.record.input.max_size) {
            Ok(audit) => audit,
            Err(unusable) => return super::refuse(&args.record.file, &unusable, json, terminal),
        };
        if let Some(name) = &args.situation {
            options.situation = Some(shown(&audit, name)?);
        }
        if args.findings {
            options.marks = marks(&audit);
        }
        let drawn = draw::diagram(&audit.vehicle, &options);
        (audit.vehicle, drawn)
    } else {
        match record::vehicle(&args.record.file, args.record.input.max_size) {
            Ok(vehicle) => {
                let drawn = draw::diagram(&vehicle, &options);
                (vehicle, drawn)
            }
            Err(unusable) => return super::refuse(&args.record.file, &unusable, json, terminal),
        }
    };
    let text = match args.format {
        DiagramFormat::Svg => svg::svg(&drawn),
        DiagramFormat::Json => {
            let data = Printed::Answer(Box::new(layout::data(&vehicle, &drawn)));
            json::pretty(&data).map_err(|error| Fault::new(error.to_string()))?
        }
    };
    super::deliver(
        terminal,
        args.output.output.as_deref(),
        args.output.force,
        &text,
    )
}

fn shown<'a>(audit: &'a Audit, name: &str) -> Result<Shown<'a>, Fault> {
    let situations = &audit.solved.situations;
    let found = situations.iter().find(|(of, _)| of.name == name);
    found
        .map(|(of, solution)| Shown {
            name: &of.name,
            solution,
        })
        .ok_or_else(|| {
            let names: Vec<&str> = situations.iter().map(|(of, _)| of.name.as_str()).collect();
            let list = format!("the record has {}", words::list(&names));
            super::no_such("situation", name, &names, &list)
        })
}

/// What is not accepted, the worst first.
fn marks(audit: &Audit) -> Vec<Mark> {
    let open = audit
        .report
        .findings
        .iter()
        .filter(|one| one.accepted.is_none());
    open.map(|one| Mark {
        parts: one.finding.parts.clone(),
        wires: one.finding.wires.clone(),
        level: words::level(one.level).to_owned(),
        message: one.finding.message.clone(),
    })
    .collect()
}
