//! What several commands take from the command line, and how what is written there is read.

mod choices;
pub mod values;

use std::path::PathBuf;

use clap::Args;

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

/// The record that a command is about.
#[derive(Args, Debug)]
pub struct Record {
    /// The record; `-` reads standard input
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// What every command that reads a record takes.
#[derive(Args, Clone, Copy, Debug)]
pub struct Input {
    /// The largest record that is read, e.g. `64MiB`
    #[arg(long, value_name = "SIZE", default_value = "16MiB", value_parser = values::size, display_order = 900)]
    pub max_size: u64,
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
