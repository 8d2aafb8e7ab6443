//! `keyoff hunt`: where an unknown draw is.

use std::io::BufRead;
use std::path::PathBuf;

use clap::Args;
use keyoff::advise::hunt;
use keyoff::read::edit;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;
use keyoff::render::text::show::Show;

use super::End;
use crate::args::Format;
use crate::args::Input;
use crate::args::Units;
use crate::fault::Fault;
use crate::file;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff hunt`
#[derive(Args, Debug)]
pub struct Hunt {
    /// The record with its `readings:`; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Asks what the meter shows and writes it into the record, until the draw is found
    #[arg(long)]
    pub interactive: bool,

    /// What to print
    #[arg(
        long,
        value_enum,
        default_value_t,
        value_name = "FORM",
        conflicts_with = "interactive"
    )]
    pub format: Format,

    /// Units in which lengths and temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// Prints what the readings say and what to do next; asks for readings where that is wanted.
pub fn run(args: &Hunt, terminal: Terminal) -> Result<End, Fault> {
    if args.interactive {
        return ask(args, terminal);
    }
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

/// Says what to do, asks what the meter shows, writes it into the record, and again, until the draw is found.
fn ask(args: &Hunt, terminal: Terminal) -> Result<End, Fault> {
    if file::is_standard(&args.file) {
        return Err(Fault::new("readings cannot be written into standard input")
            .help("name the file of the record"));
    }
    let mut answers = std::io::stdin().lock().lines();
    loop {
        let (vehicle, solved) = match record::solved(&args.file, args.input.max_size) {
            Ok(both) => both,
            Err(unusable) => return super::refuse(&args.file, &unusable, false, terminal),
        };
        let hunt = hunt::hunt(&vehicle, &solved);
        if !hunt.goes_on() {
            let show = Show(args.units.into());
            terminal.print(&text::hunt::hunt(&vehicle, &hunt, show, terminal.out))?;
            return Ok(End::Clean);
        }
        terminal.print(&text::hunt::turn(&hunt, terminal.out))?;
        loop {
            let Some(answer) = answers.next() else {
                return Ok(End::Clean);
            };
            let answer = answer
                .map_err(|error| Fault::new(format!("the answer cannot be read: {error}")))?;
            let answer = answer.trim();
            if answer.is_empty() || matches!(answer, "q" | "quit" | "exit") {
                return Ok(End::Clean);
            }
            match edit::with_reading(&vehicle.document, &entry(&hunt, answer)) {
                Ok(changed) => {
                    file::write(&args.file, changed.as_bytes(), true)?;
                    break;
                }
                Err(problems) => {
                    let first = problems.first();
                    let words = first.map_or("it is no reading", |one| one.message.as_str());
                    terminal.say(&format!(
                        "not written: {words}; what does the meter show?\n"
                    ));
                }
            }
        }
    }
}

/// The reading as it stands in a record: what the tool asked for with the value that was typed, or a whole entry in braces.
fn entry(hunt: &keyoff::advise::hunt::Hunt, answer: &str) -> String {
    if answer.starts_with('{') {
        return answer.to_owned();
    }
    let line = hunt.asked();
    let unit = if line.contains("? mV") { "mV" } else { "mA" };
    let value = if answer.ends_with(|c: char| c.is_ascii_digit()) {
        format!("{answer} {unit}")
    } else {
        answer.to_owned()
    };
    line.trim_start_matches("- ")
        .replace(&format!("? {unit}"), &value)
}
