//! `keyoff schema`: the JSON Schemas, for editors and programs.

use clap::Args;
use keyoff::render::schema;

use super::End;
use crate::fault::Fault;
use crate::terminal::Terminal;

/// `keyoff schema`
#[derive(Args, Debug)]
pub struct Schema {
    /// `vehicle`, or the command whose JSON it describes; the list of all of them without a name
    #[arg(value_name = "NAME")]
    pub name: Option<String>,
}

/// Prints a schema, or the list of them.
pub fn run(args: &Schema, terminal: Terminal) -> Result<End, Fault> {
    let text = match &args.name {
        None => schema::ALL
            .iter()
            .map(|one| format!("{:<12}{}\n", one.name, one.about))
            .collect(),
        Some(name) => named(name)?.to_owned(),
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}

fn named(name: &str) -> Result<&'static str, Fault> {
    let found = schema::ALL.iter().find(|one| one.name == name);
    found.map(|one| one.text).ok_or_else(|| {
        let names: Vec<&str> = schema::ALL.iter().map(|one| one.name).collect();
        super::no_such("schema", name, &names, "`keyoff schema` lists all schemas")
    })
}
