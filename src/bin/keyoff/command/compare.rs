//! `keyoff compare`: two records side by side.

use keyoff::advise::compare::Difference;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;

use super::End;
use crate::args::Compare;
use crate::args::Format;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

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
