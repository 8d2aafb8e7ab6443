//! `keyoff completions`: what a shell needs to complete the command line.

use clap::Args;
use clap::CommandFactory;

use super::End;
use crate::fault::Fault;
use crate::line::CommandLine;
use crate::terminal::Terminal;

/// `keyoff completions`
#[derive(Args, Debug)]
pub struct Completions {
    /// The shell
    #[arg(value_enum, value_name = "SHELL")]
    pub shell: clap_complete::Shell,
}

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
