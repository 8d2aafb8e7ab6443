//! The forms in which many audits are printed: what one record adds, made beside the others, and how pieces are joined.

use std::path::Path;

use keyoff::check;
use keyoff::check::Meta;
use keyoff::render::csv;
use keyoff::render::fleet;
use keyoff::render::json;
use keyoff::render::json::v1::FleetRow;
use keyoff::render::junit;
use keyoff::render::sarif;
use keyoff::render::sarif::Outcome;

use super::Audit;
use crate::args::AuditFormat;
use crate::command;
use crate::fault::Fault;
use crate::record::Unusable;
use crate::terminal::Terminal;

/// What one record adds.
#[derive(Debug, Default)]
pub struct Piece {
    /// To standard output, as it is.
    text: String,
    /// To a SARIF log.
    log: sarif::Part,
    /// To standard error.
    pub aside: String,
}

/// All pieces in one answer.
#[derive(Debug)]
pub struct Joined<'a> {
    args: &'a Audit,
    terminal: Terminal,
    checks: Vec<&'static Meta>,
    log: sarif::Log,
    sum: fleet::Sum,
}

impl<'a> Joined<'a> {
    /// Nothing yet.
    pub fn new(args: &'a Audit, terminal: Terminal) -> Self {
        Self {
            args,
            terminal,
            checks: check::ALL.iter().map(|check| &check.meta).collect(),
            log: sarif::Log::default(),
            sum: fleet::Sum::default(),
        }
    }

    /// Makes what one record adds. Nothing is kept: pieces can be made at the same time.
    pub fn piece(
        &self,
        path: &Path,
        audit: &Result<keyoff::Audit, Unusable>,
        row: &FleetRow,
    ) -> Result<Piece, Fault> {
        let mut piece = Piece::default();
        let data = |error: serde_json::Error| Fault::new(error.to_string());
        let name = path.display().to_string();
        match (self.args.format, audit) {
            (AuditFormat::Json, audit) => {
                piece.text = json::line(&super::printed(path, audit)).map_err(data)?;
            }
            (AuditFormat::Text, Ok(audit)) if self.args.full => {
                piece.text = super::words(self.args, audit, self.terminal);
            }
            (AuditFormat::Text, _) if !self.args.full => {
                piece.text = fleet::text_row(row, self.terminal.out, self.args.units.into());
            }
            (AuditFormat::Csv, Ok(audit)) => {
                piece.text = csv::audit(&audit.vehicle, &audit.report)
                    .map_err(|error| Fault::new(error.to_string()))?;
            }
            (AuditFormat::Sarif, audit) => {
                piece.log = sarif::part(&self.checks, outcome(&name, audit)).map_err(data)?;
            }
            (AuditFormat::Junit, audit) => {
                let least = super::least(self.args.fail_on);
                piece.text = junit::junit(&self.checks, outcome(&name, audit), least);
            }
            (AuditFormat::Text | AuditFormat::Csv, _) => {}
        }
        let told = self.args.format == AuditFormat::Json
            || (self.args.format == AuditFormat::Text && !self.args.full);
        if let (Err(unusable), false) = (audit, told) {
            piece.aside = command::unusable(unusable, self.terminal.err);
        }
        Ok(piece)
    }

    /// What stands before all pieces.
    pub fn head(&self) -> Result<String, Fault> {
        Ok(match self.args.format {
            AuditFormat::Text if !self.args.full => fleet::text_head(self.terminal.out),
            AuditFormat::Text | AuditFormat::Json => String::new(),
            AuditFormat::Csv => csv::head().map_err(|error| Fault::new(error.to_string()))?,
            AuditFormat::Sarif => {
                sarif::Log::head(&self.checks).map_err(|error| Fault::new(error.to_string()))?
            }
            AuditFormat::Junit => junit::HEAD.to_owned(),
        })
    }

    /// What a piece adds to the answer, in its turn.
    pub fn add(&mut self, piece: Piece, row: &FleetRow) -> String {
        let first = self.sum.vehicles() == 0;
        self.sum.add(row);
        match self.args.format {
            AuditFormat::Sarif => self.log.add(piece.log),
            AuditFormat::Text if self.args.full && !first && !piece.text.is_empty() => {
                format!(
                    "\n{}\n\n{}",
                    "=".repeat(self.terminal.out.width),
                    piece.text
                )
            }
            _ => piece.text,
        }
    }

    /// What stands after all pieces.
    pub fn foot(self) -> Result<String, Fault> {
        Ok(match self.args.format {
            AuditFormat::Text if !self.args.full => fleet::text_foot(&self.sum, self.terminal.out),
            AuditFormat::Text | AuditFormat::Json | AuditFormat::Csv => String::new(),
            AuditFormat::Sarif => self
                .log
                .foot()
                .map_err(|error| Fault::new(error.to_string()))?,
            AuditFormat::Junit => junit::FOOT.to_owned(),
        })
    }
}

fn outcome<'a>(path: &'a str, audit: &'a Result<keyoff::Audit, Unusable>) -> Outcome<'a> {
    match audit {
        Ok(audit) => Outcome::Audited(&audit.vehicle, &audit.report),
        Err(Unusable::Unreadable(unreadable)) => {
            Outcome::Unreadable(&unreadable.sources, &unreadable.problems)
        }
        Err(Unusable::Unavailable(fault)) => Outcome::Unavailable(path, &fault.message),
    }
}
