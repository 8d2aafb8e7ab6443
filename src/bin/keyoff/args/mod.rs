//! The words of the command line.

mod choices;
mod values;

use std::path::PathBuf;

use clap::Args;
use clap::Parser;
use clap::Subcommand;

use values::days;
use values::settings;
use values::size;
use values::temperature;

pub use choices::AuditFormat;
pub use choices::Color;
pub use choices::DiagramFormat;
pub use choices::FailOn;
pub use choices::Format;
pub use choices::Paper;
pub use choices::PaperKind;
pub use choices::TableFormat;
pub use choices::Units;
pub use choices::View;

use crate::given;

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
    #[arg(long, global = true, value_enum, default_value_t, value_name = "WHEN")]
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

/// `keyoff audit`
#[derive(Args, Debug)]
pub struct Audit {
    /// Records, folders of records, patterns like `trucks/*.yaml`; `-` reads standard input
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,

    /// What to print; of several records, words are a line each and JSON is the whole audit of each on a line
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: AuditFormat,

    /// The least level that makes the exit code 1
    #[arg(long, value_enum, default_value_t, value_name = "LEVEL")]
    pub fail_on: FailOn,

    /// Shows the arithmetic behind each finding
    #[arg(long)]
    pub why: bool,

    /// Of several records, prints all that is said about each instead of one line
    #[arg(long)]
    pub full: bool,

    /// Also writes a summary, one row a vehicle; its ending says the form: .csv, .jsonl or .html. May be given again
    #[arg(long, value_name = "FILE")]
    pub summary: Vec<PathBuf>,

    /// Writes over a summary that is there
    #[arg(long)]
    pub force: bool,

    /// How many records are audited at a time; as many as there are processor cores where left out
    #[arg(long, value_name = "N")]
    pub jobs: Option<std::num::NonZeroUsize>,

    /// Settings of one group of switches that bear on one another, at most, in each position of the key; the report says
    /// when it did not get through
    #[arg(long, value_name = "N", default_value_t = keyoff::analyze::SETTINGS, value_parser = settings)]
    pub settings: usize,

    /// Units in which lengths and temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// What every command that reads a record takes.
#[derive(Args, Clone, Copy, Debug)]
pub struct Input {
    /// The largest record that is read, e.g. `64MiB`
    #[arg(long, value_name = "SIZE", default_value = "16MiB", value_parser = size)]
    pub max_size: u64,
}

/// `keyoff park`
#[derive(Args, Debug)]
pub struct Park {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Will it start after so many days? What the record `stands` where left out
    #[arg(long, value_name = "N", value_parser = days)]
    pub days: Option<f64>,

    /// At this temperature, e.g. `-20C` or `14F`; that of the record where left out
    #[arg(long, value_name = "T", value_parser = temperature, allow_hyphen_values = true)]
    pub at: Option<f64>,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,

    /// Units in which temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// Also writes the chart of charge over days, as SVG
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Writes over a file that is there
    #[arg(long)]
    pub force: bool,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

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

/// `keyoff budget`
#[derive(Args, Debug)]
pub struct Budget {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,

    /// Units in which temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// Also writes the chart of charge over the first situation with phases, as SVG
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Writes over a file that is there
    #[arg(long)]
    pub force: bool,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// `keyoff hot`
#[derive(Args, Debug)]
pub struct Hot {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: TableFormat,

    /// Settings of one group of switches that bear on one another, at most, in each position of the key
    #[arg(long, value_name = "N", default_value_t = keyoff::analyze::SETTINGS, value_parser = settings)]
    pub settings: usize,

    /// Units in which lengths are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// `keyoff trace`
#[derive(Args, Debug)]
pub struct Trace {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// A terminal such as `K1.30`, a wire, or a part
    #[arg(value_name = "POINT")]
    pub point: String,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,

    /// Settings of one group of switches that bear on one another, at most, in each position of the key
    #[arg(long, value_name = "N", default_value_t = keyoff::analyze::SETTINGS, value_parser = settings)]
    pub settings: usize,

    /// Units in which figures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// `keyoff matrix`
#[derive(Args, Debug)]
pub struct Matrix {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: TableFormat,

    /// Settings of one group of switches that bear on one another, at most, in each position of the key
    #[arg(long, value_name = "N", default_value_t = keyoff::analyze::SETTINGS, value_parser = settings)]
    pub settings: usize,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// `keyoff walkround`
#[derive(Args, Debug)]
pub struct WalkRound {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// `keyoff remove`
#[derive(Args, Debug)]
pub struct Remove {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Parts that come out
    #[arg(required = true, value_name = "PART")]
    pub parts: Vec<String>,

    /// Also writes the record as it is afterwards, comments and layout kept
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,

    /// Writes over a file that is there
    #[arg(long)]
    pub force: bool,

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

/// `keyoff explain`
#[derive(Args, Debug)]
pub struct Explain {
    /// A check
    #[arg(value_name = "CHECK")]
    pub check: Option<String>,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,
}

/// `keyoff tables`
#[derive(Args, Debug)]
pub struct Tables {
    /// A table; the list of all of them without a name
    #[arg(value_name = "NAME")]
    pub name: Option<String>,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: TableFormat,
}

/// `keyoff diagram`
#[derive(Args, Debug)]
pub struct Diagram {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Where the diagram is written
    #[command(flatten)]
    pub output: Output,

    /// How the vehicle is laid out
    #[arg(long, value_enum, default_value_t, value_name = "VIEW")]
    pub view: View,

    /// The paper
    #[arg(long, value_enum, default_value_t, value_name = "PAPER")]
    pub paper: Paper,

    /// Takes the paper upright
    #[arg(long)]
    pub portrait: bool,

    /// What to write
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: DiagramFormat,

    /// Shows what is live and what flows in this situation, e.g. `parked`
    #[arg(long, value_name = "NAME")]
    pub situation: Option<String>,

    /// Marks what the checks find
    #[arg(long)]
    pub findings: bool,

    /// Units in which lengths are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// `keyoff report`
#[derive(Args, Debug)]
pub struct Report {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Where the page is written
    #[command(flatten)]
    pub output: Output,

    /// One of the papers of the trade instead, with room for a pen
    #[arg(long, value_enum, value_name = "PAPER")]
    pub paper: Option<PaperKind>,

    /// What comes out, for the removal record
    #[arg(
        long,
        value_name = "PART",
        num_args = 1..,
        required_if_eq("paper", "removal-record"),
        requires = "paper"
    )]
    pub remove: Vec<String>,

    /// Another record of the vehicle: what differs stands in the report
    #[arg(long, value_name = "FILE", conflicts_with = "paper")]
    pub against: Option<PathBuf>,

    /// The sheets that diagrams are laid out for
    #[arg(long, value_enum, default_value_t, value_name = "SHEET")]
    pub sheet: Paper,

    /// Units in which lengths and temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// `keyoff view`
#[derive(Args, Debug)]
pub struct Live {
    /// The record
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// The port on the loopback address; any that is free where left out
    #[arg(
        long,
        value_name = "PORT",
        default_value_t = 0,
        hide_default_value = true
    )]
    pub port: u16,

    /// The paper that diagrams are laid out for
    #[arg(long, value_enum, default_value_t, value_name = "SHEET")]
    pub sheet: Paper,

    /// Units in which lengths and temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// `keyoff wirelist`
#[derive(Args, Debug)]
pub struct WireList {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: TableFormat,

    /// Prints two labels a wire instead, one for each end, as CSV
    #[arg(long, conflicts_with = "totals")]
    pub labels: bool,

    /// Prints what is to be bought instead, by size, colour and insulation, as CSV
    #[arg(long)]
    pub totals: bool,

    /// Units in which lengths are shown; as they are written where left out
    #[arg(long, value_enum, value_name = "UNITS")]
    pub units: Option<Units>,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// `keyoff fuses`
#[derive(Args, Debug)]
pub struct Fuses {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: TableFormat,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// `keyoff size`
#[derive(Args, Debug)]
pub struct Size {
    /// A record with the part to size; none is needed with `--draw` and `--length`
    #[arg(value_name = "FILE", requires = "part", conflicts_with_all = ["draw", "length"])]
    pub file: Option<PathBuf>,

    /// The part of the record whose circuit is sized anew
    #[arg(long = "for", value_name = "PART", requires = "file")]
    pub part: Option<String>,

    /// Running current, or power at the rated voltage: `14A`, `160W`
    #[arg(long, value_name = "DRAW", value_parser = given::draw)]
    pub draw: Option<given::Drawn>,

    /// Wire from the fuse to the load, one way: `6m`, `20ft`
    #[arg(long, value_name = "LENGTH", value_parser = given::meters)]
    pub length: Option<f64>,

    /// Return wire; left out where the chassis is the return
    #[arg(long = "return", value_name = "LENGTH", value_parser = given::meters)]
    pub back: Option<f64>,

    /// Nominal voltage
    #[arg(long, value_name = "VOLTS", default_value = "12V", value_parser = given::volts)]
    pub voltage: f64,

    /// Temperature around the wire: `60C`, `140F`
    #[arg(long, value_name = "TEMPERATURE", value_parser = given::celsius, allow_hyphen_values = true)]
    pub ambient: Option<f64>,

    /// Type of the insulation or its class: `gxl`, `105C`
    #[arg(long, value_name = "INSULATION")]
    pub insulation: Option<String>,

    /// The wire runs in an engine space
    #[arg(long)]
    pub engine_space: bool,

    /// Conductors that carry current in its bundle, itself included
    #[arg(long, value_name = "COUNT", default_value_t = 1)]
    pub bundle: u32,

    /// Share of the time that it runs: `15%`
    #[arg(long, value_name = "SHARE", value_parser = given::share)]
    pub duty: Option<f64>,

    /// Current at switch-on and how long: `6x for 2s`, `40A for 100ms`
    #[arg(long, value_name = "INRUSH", value_parser = given::inrush)]
    pub inrush: Option<(f64, bool, f64)>,

    /// Drop out and back, at most: `3%`
    #[arg(long, value_name = "SHARE", value_parser = given::share)]
    pub drop: Option<f64>,

    /// The ampacity table, by its name in `keyoff tables rules`
    #[arg(long, value_name = "NAME")]
    pub table: Option<String>,

    /// The rule of fuse against wire, by its name in `keyoff tables rules`
    #[arg(long, value_name = "NAME")]
    pub rule: Option<String>,

    /// Shows the sum
    #[arg(long)]
    pub why: bool,

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

/// `keyoff new`
#[derive(Args, Debug)]
pub struct New {
    /// The vehicle's name; where it ends in .yaml or .yml, the file that is written
    #[arg(value_name = "NAME")]
    pub name: String,

    /// Where the record is written
    #[command(flatten)]
    pub output: Output,
}

/// `keyoff schema`
#[derive(Args, Debug)]
pub struct Schema {
    /// `vehicle`, or the command whose JSON it describes; the list of all of them without a name
    #[arg(value_name = "NAME")]
    pub name: Option<String>,
}

/// `keyoff completions`
#[derive(Args, Debug)]
pub struct Completions {
    /// The shell
    #[arg(value_enum, value_name = "SHELL")]
    pub shell: clap_complete::Shell,
}

/// `keyoff manual`
#[derive(Args, Debug)]
pub struct Manual {
    /// A command; the program itself where left out
    #[arg(value_name = "COMMAND")]
    pub command: Option<String>,
}

/// Where a file goes.
#[derive(Args, Debug)]
pub struct Output {
    /// The file to write; printed where left out
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Writes over a file that is there
    #[arg(long)]
    pub force: bool,
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
