//! `keyoff manual`: the manual pages.

use clap::Args;
use clap::CommandFactory;

use super::End;
use crate::fault::Fault;
use crate::line::CommandLine;
use crate::terminal::Terminal;

/// `keyoff manual`
#[derive(Args, Debug)]
pub struct Manual {
    /// A command; the program itself where left out
    #[arg(value_name = "COMMAND")]
    pub command: Option<String>,
}

/// Prints the manual page of the program or of one command.
pub fn run(args: &Manual, terminal: Terminal) -> Result<End, Fault> {
    let mut program = CommandLine::command();
    program.build();
    let page = match &args.command {
        None => program,
        Some(name) => {
            let names: Vec<&str> = program
                .get_subcommands()
                .map(clap::Command::get_name)
                .collect();
            let found = program.find_subcommand(name).cloned();
            let list = format!("the commands are {}", names.join(", "));
            found.ok_or_else(|| super::no_such("command", name, &names, &list))?
        }
    };
    let title = match &args.command {
        None => "keyoff".to_owned(),
        Some(name) => format!("keyoff-{name}"),
    };
    let mut bytes = Vec::new();
    clap_mangen::Man::new(page)
        .title(title)
        .source(concat!("keyoff ", env!("CARGO_PKG_VERSION")))
        .render(&mut bytes)
        .map_err(|error| Fault::new(error.to_string()))?;
    terminal.print(&String::from_utf8_lossy(&bytes))?;
    Ok(End::Clean)
}
