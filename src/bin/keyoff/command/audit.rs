//! `keyoff audit`: the main job.

use std::path::Path;

use keyoff::Audit;
use keyoff::check;
use keyoff::check::Level;
use keyoff::check::Meta;
use keyoff::render::csv;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::junit;
use keyoff::render::sarif;
use keyoff::render::sarif::Outcome;
use keyoff::render::text;

use super::End;
use crate::args;
use crate::args::AuditFormat;
use crate::args::FailOn;
use crate::fault::Fault;
use crate::record;
use crate::record::Unusable;
use crate::terminal::Terminal;

/// Audits every record, in the order given; one that cannot be used does not keep the others from being audited.
pub fn run(args: &args::Audit, terminal: Terminal) -> Result<End, Fault> {
    match args.format {
        AuditFormat::Text | AuditFormat::Json => each(args, terminal),
        AuditFormat::Csv | AuditFormat::Sarif | AuditFormat::Junit => together(args, terminal),
    }
}

/// Prints the answer about each record as soon as it is there.
fn each(args: &args::Audit, terminal: Terminal) -> Result<End, Fault> {
    let mut end = End::Clean;
    for (number, path) in args.files.iter().enumerate() {
        let audit = record::audit(path, args.input.max_size);
        end = end.max(ended(&audit, args.fail_on));
        let text = match (args.format, &audit) {
            (AuditFormat::Json, audit) => json(args, path, audit)?,
            (_, Ok(audit)) => words(args, number, audit, terminal),
            (_, Err(unusable)) => {
                terminal.say(&super::unusable(unusable, terminal.err));
                continue;
            }
        };
        terminal.print(&text)?;
        if args.files.len() == 1 {
            // The process ends right after: taking a large vehicle apart piece by piece would only cost time.
            std::mem::forget(audit);
        }
    }
    Ok(end)
}

fn words(args: &args::Audit, number: usize, audit: &Audit, terminal: Terminal) -> String {
    let options = text::audit::Options {
        look: terminal.out,
        units: args.units.into(),
        why: args.why,
    };
    let text = text::audit::audit(&audit.vehicle, &audit.solved, &audit.report, options);
    if number == 0 {
        text
    } else {
        format!("\n{}\n\n{text}", "=".repeat(terminal.out.width))
    }
}

fn json(args: &args::Audit, path: &Path, audit: &Result<Audit, Unusable>) -> Result<String, Fault> {
    let printed = match audit {
        Ok(audit) => Printed::Answer(Box::new(json::audit::audit(
            &audit.vehicle,
            &audit.solved,
            &audit.report,
        ))),
        Err(unusable) => Printed::Unreadable(super::unreadable(path, unusable)),
    };
    let text = if args.files.len() == 1 {
        json::pretty(&printed)
    } else {
        json::line(&printed)
    };
    text.map_err(|error| Fault::new(error.to_string()))
}

/// Prints one answer about all records.
fn together(args: &args::Audit, terminal: Terminal) -> Result<End, Fault> {
    let mut end = End::Clean;
    let mut audits = Vec::new();
    for path in &args.files {
        let audit = record::audit(path, args.input.max_size);
        end = end.max(ended(&audit, args.fail_on));
        if let Err(unusable) = &audit {
            terminal.say(&super::unusable(unusable, terminal.err));
        }
        audits.push((path.display().to_string(), audit));
    }
    let outcomes: Vec<Outcome<'_>> = audits
        .iter()
        .map(|(path, audit)| outcome(path, audit))
        .collect();
    let checks: Vec<&Meta> = check::ALL.iter().map(|check| &check.meta).collect();
    let text = match args.format {
        AuditFormat::Sarif => json::pretty(&sarif::sarif(&checks, &outcomes))
            .map_err(|error| Fault::new(error.to_string()))?,
        AuditFormat::Junit => junit::junit(&checks, &outcomes, least(args.fail_on)),
        _ => {
            let read: Vec<_> = audits
                .iter()
                .filter_map(|(_, audit)| audit.as_ref().ok())
                .map(|audit| (&audit.vehicle, &audit.report))
                .collect();
            csv::audit(&read).map_err(|error| Fault::new(error.to_string()))?
        }
    };
    terminal.print(&text)?;
    Ok(end)
}

fn outcome<'a>(path: &'a str, audit: &'a Result<Audit, Unusable>) -> Outcome<'a> {
    match audit {
        Ok(audit) => Outcome::Audited(&audit.vehicle, &audit.report),
        Err(Unusable::Unreadable(unreadable)) => {
            Outcome::Unreadable(&unreadable.sources, &unreadable.problems)
        }
        Err(Unusable::Unavailable(fault)) => Outcome::Unavailable(path, &fault.message),
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
