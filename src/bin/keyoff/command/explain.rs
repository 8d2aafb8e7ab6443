//! `keyoff explain`: what a check looks for.

use clap::Args;
use keyoff::check;
use keyoff::render::json;
use keyoff::render::text;

use super::End;
use crate::args::Format;
use crate::fault::Fault;
use crate::terminal::Terminal;

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

/// Prints the page of a check, or the list of all checks.
pub fn run(args: &Explain, terminal: Terminal) -> Result<End, Fault> {
    let checks: Vec<&check::Meta> = match &args.check {
        None => check::ALL.iter().map(|check| &check.meta).collect(),
        Some(name) => vec![named(name)?],
    };
    let text = match (args.format, &args.check) {
        (Format::Json, _) => json::pretty(&json::checks::checks(&checks))
            .map_err(|error| Fault::new(error.to_string()))?,
        (Format::Text, None) => text::checks::list(&checks, terminal.out),
        (Format::Text, Some(_)) => checks
            .iter()
            .map(|check| text::checks::page(check, terminal.out))
            .collect(),
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}

fn named(name: &str) -> Result<&'static check::Meta, Fault> {
    let found = check::ALL.iter().find(|check| check.meta.name == name);
    found.map(|check| &check.meta).ok_or_else(|| {
        let names: Vec<&str> = check::ALL.iter().map(|check| check.meta.name).collect();
        super::no_such("check", name, &names, "`keyoff explain` lists all checks")
    })
}
