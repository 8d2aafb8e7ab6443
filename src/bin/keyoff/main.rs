//! The `keyoff` command: reads the command line, gives files and terminals to the library, and turns what comes back into
//! text and an exit code.

mod args;
mod command;
mod fault;
mod file;
mod line;
mod record;
mod terminal;

use std::process::ExitCode;

use clap::Parser;

use command::End;
use line::Command;
use line::CommandLine;
use terminal::Terminal;

fn main() -> ExitCode {
    let line = match CommandLine::try_parse() {
        Ok(line) => line,
        Err(error) => {
            // Help and version are answers, all else is bad usage; a closed pipe is neither.
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    let terminal = Terminal::new(line.color);
    let end = match &line.command {
        Command::Audit(args) => command::audit::run(args, terminal),
        Command::Park(args) => command::park::run(args, terminal),
        Command::Hunt(args) => command::hunt::run(args, terminal),
        Command::Budget(args) => command::budget::run(args, terminal),
        Command::Hot(args) => command::states::hot(args, terminal),
        Command::Trace(args) => command::states::trace(args, terminal),
        Command::Matrix(args) => command::states::matrix(args, terminal),
        Command::Remove(args) => command::remove::run(args, terminal),
        Command::Compare(args) => command::compare::run(args, terminal),
        Command::WalkRound(args) => command::walkround::run(args, terminal),
        Command::Explain(args) => command::explain::run(args, terminal),
        Command::Tables(args) => command::tables::run(args, terminal),
        Command::Diagram(args) => command::diagram::run(args, terminal),
        Command::Report(args) => command::report::run(args, terminal),
        Command::View(args) => command::view::run(args, terminal),
        Command::WireList(args) => command::wirelist::run(args, terminal),
        Command::Size(args) => command::size::run(args, terminal),
        Command::Fuses(args) => command::fuses::run(args, terminal),
        Command::New(args) => command::new::run(args, terminal),
        Command::Schema(args) => command::schema::run(args, terminal),
        Command::Completions(args) => command::completions::run(args, terminal),
        Command::Manual(args) => command::manual::run(args, terminal),
    };
    let end = end.unwrap_or_else(|fault| {
        terminal.say(&fault.text(terminal.err.width));
        End::Unusable
    });
    ExitCode::from(end as u8)
}
