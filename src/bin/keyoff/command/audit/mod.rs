//! `keyoff audit`: the main job.

mod find;
mod form;
mod many;
mod summary;

use std::path::Path;
use std::path::PathBuf;

use clap::Args;
use keyoff::check::Level;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;

use super::End;
use crate::args::AuditFormat;
use crate::args::FailOn;
use crate::args::Input;
use crate::args::Units;
use crate::args::values;
use crate::fault::Fault;
use crate::record;
use crate::record::Unusable;
use crate::terminal::Terminal;

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
    #[arg(long, value_name = "N", default_value_t = keyoff::analyze::SETTINGS, value_parser = values::settings)]
    pub settings: usize,

    /// Units in which lengths and temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// Audits one record at length, or a fleet of them: a line each, in the order given, a folder's files by name; one that
/// cannot be used does not keep the others from being audited.
pub fn run(args: &Audit, terminal: Terminal) -> Result<End, Fault> {
    let alone = args.files.len() == 1 && args.summary.is_empty() && !find::is_many(&args.files[0]);
    match args.format {
        AuditFormat::Text | AuditFormat::Json if alone => one(args, &args.files[0], terminal),
        _ => many::run(args, terminal),
    }
}

fn one(args: &Audit, path: &Path, terminal: Terminal) -> Result<End, Fault> {
    let audit = record::audit_up_to(path, args.input.max_size, args.settings);
    let end = ended(&audit, args.fail_on);
    let text = match (args.format, &audit) {
        (AuditFormat::Json, audit) => {
            json::pretty(&printed(path, audit)).map_err(|error| Fault::new(error.to_string()))?
        }
        (_, Ok(audit)) => words(args, audit, terminal),
        (_, Err(unusable)) => {
            terminal.say(&super::unusable(unusable, terminal.err));
            return Ok(end);
        }
    };
    terminal.print(&text)?;
    // The process ends right after: taking a large vehicle apart piece by piece would only cost time.
    std::mem::forget(audit);
    Ok(end)
}

fn words(args: &Audit, audit: &keyoff::Audit, terminal: Terminal) -> String {
    let options = text::audit::Options {
        look: terminal.out,
        units: args.units.into(),
        why: args.why,
    };
    text::audit::audit(&audit.vehicle, &audit.solved, &audit.report, options)
}

fn printed(path: &Path, audit: &Result<keyoff::Audit, Unusable>) -> Printed<json::v1::Audit> {
    match audit {
        Ok(audit) => Printed::Answer(Box::new(json::audit::audit(
            &audit.vehicle,
            &audit.solved,
            &audit.report,
        ))),
        Err(unusable) => Printed::Unreadable(super::unreadable(path, unusable)),
    }
}

fn ended(audit: &Result<keyoff::Audit, Unusable>, fail_on: FailOn) -> End {
    let Ok(audit) = audit else {
        return End::Unusable;
    };
    let mut open = audit
        .report
        .findings
        .iter()
        .filter(|one| one.accepted.is_none());
    if least(fail_on).is_some_and(|least| open.any(|one| one.level >= least)) {
        End::Findings
    } else {
        End::Clean
    }
}

const fn least(fail_on: FailOn) -> Option<Level> {
    match fail_on {
        FailOn::Error => Some(Level::Error),
        FailOn::Warning => Some(Level::Warning),
        FailOn::Note => Some(Level::Note),
        FailOn::Never => None,
    }
}
