//! `keyoff new`: a commented starter record.

use std::path::Path;
use std::path::PathBuf;

use super::End;
use crate::args::Output;
use crate::fault::Fault;
use crate::terminal::Terminal;
use clap::Args;

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

const STARTER: &str = include_str!("../starter.yaml");

/// Writes or prints the starter record under the vehicle's name.
pub fn run(args: &New, terminal: Terminal) -> Result<End, Fault> {
    let file = Path::new(&args.name);
    let is_file = file
        .extension()
        .is_some_and(|end| end == "yaml" || end == "yml");
    let name = if is_file {
        file.file_stem().unwrap_or_default().to_string_lossy()
    } else {
        args.name.as_str().into()
    };
    let output = args
        .output
        .output
        .clone()
        .or_else(|| is_file.then(|| PathBuf::from(&args.name)));
    super::deliver(
        terminal,
        output.as_deref(),
        args.output.force,
        &starter(&name)?,
    )
}

/// The starter record of a vehicle of this name.
fn starter(name: &str) -> Result<String, Fault> {
    if name.trim().is_empty() {
        return Err(Fault::new("the vehicle has no name")
            .help("write for example: keyoff new \"Service truck 7\""));
    }
    Ok(STARTER.replacen("{name}", &scalar(name)?, 1))
}

/// A name as YAML: plain where that can be nothing else, else quoted as JSON, which YAML reads alike.
fn scalar(name: &str) -> Result<String, Fault> {
    let plain = |c: char| c.is_ascii_alphanumeric() || c == ' ' || c == '_';
    let clean = name.starts_with(|c: char| c.is_ascii_alphabetic())
        && name.chars().all(plain)
        && name.trim() == name
        && name != "unknown";
    if clean {
        return Ok(name.to_owned());
    }
    serde_json::to_string(name).map_err(|error| Fault::new(error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_stays_one_value_whatever_it_holds() {
        assert_eq!(scalar("Service truck 7").unwrap(), "Service truck 7");
        assert_eq!(scalar("a: {b}\n#").unwrap(), r##""a: {b}\n#""##);
        assert_eq!(scalar("unknown").unwrap(), "\"unknown\"");
        assert_eq!(scalar("7 truck").unwrap(), "\"7 truck\"");
        assert!(starter("  ").is_err());
        assert!(starter("{name}").unwrap().contains("name: \"{name}\""));
    }
}
