//! `keyoff compare`: two records side by side.

use std::path::PathBuf;

use clap::Args;
use keyoff::advise::compare::Difference;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;

use super::End;
use crate::args::Format;
use crate::args::Input;
use crate::args::Units;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff compare`
#[derive(Args, Debug)]
pub struct Compare {
    /// The first record; `-` reads standard input
    #[arg(value_name = "A")]
    pub a: PathBuf,

    /// The second record
    #[arg(value_name = "B")]
    pub b: PathBuf,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,

    /// Units in which lengths and temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// Prints what differs, and what that does.
pub fn run(args: &Compare, terminal: Terminal) -> Result<End, Fault> {
    let data = args.format == Format::Json;
    let mut sides = Vec::new();
    for file in [&args.a, &args.b] {
        match record::audit(file, args.input.max_size) {
            Ok(audit) => sides.push(audit),
            Err(unusable) => return super::refuse(file, &unusable, data, terminal),
        }
    }
    let [before, after] = sides.as_slice() else {
        return Err(Fault::new("two records are needed"));
    };
    let difference = Difference::of(before, after);
    let text = if data {
        let compare = json::compare::compare(before, after, &difference);
        json::pretty(&Printed::Answer(Box::new(compare)))
            .map_err(|error| Fault::new(error.to_string()))?
    } else {
        let units = args.units.into();
        text::compare::compare(before, after, &difference, units, terminal.out)
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}
