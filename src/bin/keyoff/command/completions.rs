//! `keyoff completions`: what a shell needs to complete the command line.

use clap::CommandFactory;

use super::End;
use crate::args::CommandLine;
use crate::args::Completions;
use crate::fault::Fault;
use crate::terminal::Terminal;

/// Prints the script of a shell.
pub fn run(args: &Completions, terminal: Terminal) -> Result<End, Fault> {
    let mut bytes = Vec::new();
    clap_complete::generate(
        args.shell,
        &mut CommandLine::command(),
        "keyoff",
        &mut bytes,
    );
    terminal.print(&String::from_utf8_lossy(&bytes))?;
    Ok(End::Clean)
}
