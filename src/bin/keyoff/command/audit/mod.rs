//! `keyoff audit`: the main job.

mod find;
mod form;
mod many;
mod summary;

use std::path::Path;

use keyoff::Audit;
use keyoff::check::Level;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;

use super::End;
use crate::args;
use crate::args::AuditFormat;
use crate::args::FailOn;
use crate::fault::Fault;
use crate::record;
use crate::record::Unusable;
use crate::terminal::Terminal;

/// Audits one record at length, or a fleet of them: a line each, in the order given, a folder's files by name; one that
/// cannot be used does not keep the others from being audited.
pub fn run(args: &args::Audit, terminal: Terminal) -> Result<End, Fault> {
    let alone = args.files.len() == 1 && args.summary.is_empty() && !find::is_many(&args.files[0]);
    match args.format {
        AuditFormat::Text | AuditFormat::Json if alone => one(args, &args.files[0], terminal),
        _ => many::run(args, terminal),
    }
}

fn one(args: &args::Audit, path: &Path, terminal: Terminal) -> Result<End, Fault> {
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

fn words(args: &args::Audit, audit: &Audit, terminal: Terminal) -> String {
    let options = text::audit::Options {
        look: terminal.out,
        units: args.units.into(),
        why: args.why,
    };
    text::audit::audit(&audit.vehicle, &audit.solved, &audit.report, options)
}

fn printed(path: &Path, audit: &Result<Audit, Unusable>) -> Printed<json::v1::Audit> {
    match audit {
        Ok(audit) => Printed::Answer(Box::new(json::audit::audit(
            &audit.vehicle,
            &audit.solved,
            &audit.report,
        ))),
        Err(unusable) => Printed::Unreadable(super::unreadable(path, unusable)),
    }
}

fn ended(audit: &Result<Audit, Unusable>, fail_on: FailOn) -> End {
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
