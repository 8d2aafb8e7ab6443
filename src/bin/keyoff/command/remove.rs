//! `keyoff remove`: taking parts out.

use std::collections::BTreeSet;
use std::path::PathBuf;

use clap::Args;
use keyoff::Audit;
use keyoff::advise::removal;
use keyoff::advise::removal::Plan;
use keyoff::advise::removal::Refused;
use keyoff::model::PartId;
use keyoff::model::Vehicle;
use keyoff::read::Unreadable;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;

use super::End;
use crate::args::Format;
use crate::args::Record;
use crate::args::Units;
use crate::fault::Fault;
use crate::record;
use crate::record::Unusable;
use crate::terminal::Terminal;

/// `keyoff remove`
#[derive(Args, Debug)]
pub struct Remove {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// Parts that come out
    #[arg(required = true, value_name = "PART")]
    pub parts: Vec<String>,

    /// Also writes the record as it is afterwards, comments and layout kept
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,

    /// Writes over a file that is there
    #[arg(long)]
    pub force: bool,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,

    /// Units in which lengths and temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,
}

/// Prints the plan, and writes the record as it is afterwards where that is asked for.
pub fn run(args: &Remove, terminal: Terminal) -> Result<End, Fault> {
    let data = args.format == Format::Json;
    let audit = match record::audit(&args.record.file, args.record.input.max_size) {
        Ok(audit) => audit,
        Err(unusable) => return super::refuse(&args.record.file, &unusable, data, terminal),
    };
    let plan = match plan(audit, &args.parts) {
        Ok(plan) => plan,
        Err(why) => return super::refuse(&args.record.file, &why, data, terminal),
    };
    let least = removal::least(&plan).ok();
    // A file that cannot be written is a fault before anything is promised.
    if let Some(path) = &args.write {
        super::beside(terminal, path, args.force, &plan.text)?;
    }
    let text = if data {
        json::pretty(&Printed::Answer(Box::new(json::removal::removal(
            &plan,
            least.as_ref(),
        ))))
        .map_err(|error| Fault::new(error.to_string()))?
    } else {
        text::removal::removal(&plan, least.as_ref(), args.units.into(), terminal.out)
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}

/// The plan for parts by their names, or why there is none.
pub(super) fn plan(audit: Audit, names: &[String]) -> Result<Plan, Unusable> {
    let parts = named(&audit.vehicle, names)?;
    removal::plan(audit, &parts).map_err(|refused| match refused {
        Refused::Text(sources, problems) => {
            Unusable::Unreadable(Box::new(Unreadable { sources, problems }))
        }
        Refused::Words { message, help } => Fault::new(message).help(help).into(),
    })
}

fn named(vehicle: &Vehicle, names: &[String]) -> Result<BTreeSet<PartId>, Fault> {
    let known: Vec<&str> = vehicle
        .document
        .parts
        .iter()
        .map(|part| part.name.value.as_str())
        .collect();
    names
        .iter()
        .map(|name| {
            let found = vehicle.document.part_index(name);
            found.map(|index| PartId(index.0)).ok_or_else(|| {
                if let Some(fault) = not_a_part(vehicle, name) {
                    return fault;
                }
                super::no_such(
                    "part",
                    name,
                    &known,
                    "`keyoff wirelist` names them as the record does",
                )
            })
        })
        .collect()
}

/// What is named by mistake in the place of a part.
fn not_a_part(vehicle: &Vehicle, name: &str) -> Option<Fault> {
    if name == "chassis" {
        return Some(Fault::new("the chassis stays").help("name the parts that come out"));
    }
    if let Some(wire) = vehicle.wires.iter().find(|wire| wire.id == name) {
        let label = |at| vehicle.terminal(at).label.as_str();
        let ends = [label(wire.from), label(wire.to)];
        return Some(
            Fault::new(format!(
                "`{name}` is a wire, from {} to {}",
                ends[0], ends[1]
            ))
            .help("name parts: the wires that only they need come out with them"),
        );
    }
    let terminal = vehicle.terminals.iter().find(|one| one.label == name)?;
    let part = vehicle.part(terminal.part?).name.value.as_str();
    Some(Fault::new(format!("`{name}` is a terminal")).help(format!("name the part: `{part}`")))
}
