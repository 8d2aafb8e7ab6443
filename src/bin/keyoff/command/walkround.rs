//! `keyoff walkround`: the sheet to carry round the vehicle.

use clap::Args;
use keyoff::advise::walkround::Round;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;

use super::End;
use crate::args::Format;
use crate::args::Record;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff walkround`
#[derive(Args, Debug)]
pub struct WalkRound {
    /// The record
    #[command(flatten)]
    pub record: Record,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,
}

/// Prints the sheet, by place.
pub fn run(args: &WalkRound, terminal: Terminal) -> Result<End, Fault> {
    let data = args.format == Format::Json;
    let audit = match record::audit(&args.record.file, args.record.input.max_size) {
        Ok(audit) => audit,
        Err(unusable) => return super::refuse(&args.record.file, &unusable, data, terminal),
    };
    let round = Round::of(&audit);
    let text = if data {
        let sheet = json::walkround::walkround(&audit.vehicle, &round);
        json::pretty(&Printed::Answer(Box::new(sheet)))
            .map_err(|error| Fault::new(error.to_string()))?
    } else {
        text::walkround::walkround(&audit.vehicle, &round, terminal.out)
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}
