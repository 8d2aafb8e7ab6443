//! The command line: the program and its commands.

use clap::Parser;
use clap::Subcommand;

use crate::args::Color;
use crate::command::audit::Audit;
use crate::command::budget::Budget;
use crate::command::compare::Compare;
use crate::command::completions::Completions;
use crate::command::diagram::Diagram;
use crate::command::explain::Explain;
use crate::command::fuses::Fuses;
use crate::command::hunt::Hunt;
use crate::command::manual::Manual;
use crate::command::new::New;
use crate::command::park::Park;
use crate::command::remove::Remove;
use crate::command::report::Report;
use crate::command::schema::Schema;
use crate::command::size::Size;
use crate::command::states::Hot;
use crate::command::states::Matrix;
use crate::command::states::Trace;
use crate::command::tables::Tables;
use crate::command::view::Live;
use crate::command::walkround::WalkRound;
use crate::command::wirelist::WireList;

const EXAMPLES: &str = "\
Examples:
  keyoff new truck.yaml                   start a record
  keyoff audit truck.yaml                 what is wrong, what is not known, key off and key on
  keyoff audit truck.yaml --why           the same, with the arithmetic behind each finding
  keyoff audit trucks/                    a whole fleet, a line each; --summary fleet.html writes a page to sort
  keyoff explain fuse-exceeds-wire        what a check looks for, and its source
  keyoff diagram truck.yaml -o truck.svg  the wiring diagram

Exit codes: 0 nothing at or above --fail-on, 1 findings, 2 the input could not be used.
keyoff advises; it certifies nothing.";

/// Audits the electrical equipment that people add to working vehicles: what draws with the key off, what the fuses and
/// wires behind it can bear, whether the alternator keeps up. One YAML record in, plain words out.
#[derive(Parser, Debug)]
#[command(name = "keyoff", version, after_help = EXAMPLES, max_term_width = 100)]
pub struct CommandLine {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,

    /// When to use colours.
    #[arg(
        long,
        global = true,
        display_order = 901,
        value_enum,
        default_value_t,
        value_name = "WHEN"
    )]
    pub color: Color,
}

/// The commands.
#[derive(Subcommand, Debug)]
pub enum Command {
    /// Findings, what could not be checked, key-off and key-on sums of one or more records
    Audit(Audit),
    /// Standing with the key off: draw, timeline, days at several temperatures, will it start
    Park(Park),
    /// Where an unknown draw is: what the readings say, the next fuse, the part
    Hunt(Hunt),
    /// Key-on load against charging in every situation, shifts, the load analysis
    Budget(Budget),
    /// Everything that is live with the key off, with its protection and its route
    Hot(Hot),
    /// One terminal, wire or part: when it is live, from where, and what makes it dead
    Trace(Trace),
    /// Parts against states: what works in which position of the key, by which switch
    Matrix(Matrix),
    /// The sheet to carry round the vehicle: by place, what to look at, what to mend
    #[command(name = "walkround")]
    WalkRound(WalkRound),
    /// Taking parts out: what goes dead, what comes out, the order of work, before and after
    Remove(Remove),
    /// Two records side by side: parts, wires, findings, draw, days, load
    Compare(Compare),
    /// What a check looks for, why, its formula and source; all checks without a name
    Explain(Explain),
    /// The published values in use, with their sources
    Tables(Tables),
    /// The wiring diagram as SVG, optionally of one situation
    Diagram(Diagram),
    /// One page for a browser and for paper: summary, findings, diagram, lists, sources
    Report(Report),
    /// The report in a browser on this machine, loaded anew whenever the record is saved
    View(Live),
    /// The wire list as a table
    #[command(name = "wirelist")]
    WireList(WireList),
    /// The fuse chart: every fuse and what it feeds
    Fuses(Fuses),
    /// Fuse and wire for a load, or for a part of a record
    Size(Size),
    /// A commented starter record
    New(New),
    /// The JSON Schema of the record, or of a JSON output
    Schema(Schema),
    /// The script that lets a shell complete this command line
    Completions(Completions),
    /// The manual page, for `man -l -`
    Manual(Manual),
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_in_order() {
        CommandLine::command().debug_assert();
    }
}
