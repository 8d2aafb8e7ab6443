//! `keyoff hunt`: where an unknown draw is.

use keyoff::advise::hunt;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;
use keyoff::render::text::show::Show;

use super::End;
use crate::args::Format;
use crate::args::Hunt;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// Prints what the readings say and what to do next.
pub fn run(args: &Hunt, terminal: Terminal) -> Result<End, Fault> {
    let data = args.format == Format::Json;
    let (vehicle, solved) = match record::solved(&args.file, args.input.max_size) {
        Ok(both) => both,
        Err(unusable) => return super::refuse(&args.file, &unusable, data, terminal),
    };
    let hunt = hunt::hunt(&vehicle, &solved);
    let text = if data {
        json::pretty(&Printed::Answer(Box::new(json::hunt::hunt(
            &vehicle, &hunt,
        ))))
        .map_err(|error| Fault::new(error.to_string()))?
    } else {
        text::hunt::hunt(&vehicle, &hunt, Show(args.units.into()), terminal.out)
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}
