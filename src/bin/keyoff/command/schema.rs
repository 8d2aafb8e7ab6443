//! `keyoff schema`: the JSON Schemas, for editors and programs.

use keyoff::render::schema;

use super::End;
use crate::args::Schema;
use crate::fault::Fault;
use crate::terminal::Terminal;

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
