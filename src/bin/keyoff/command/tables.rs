//! `keyoff tables`: the published values in use.

use clap::Args;
use keyoff::render::csv;
use keyoff::render::json;
use keyoff::render::text;
use keyoff::table;
use keyoff::table::TableView;

use super::End;
use crate::args::TableFormat;
use crate::fault::Fault;
use crate::terminal::Terminal;

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

/// Prints one table, or the list of them.
pub fn run(args: &Tables, terminal: Terminal) -> Result<End, Fault> {
    let mut views = table::all();
    if let Some(name) = &args.name {
        let names: Vec<&str> = views.iter().map(|view| view.name).collect();
        if !names.contains(&name.as_str()) {
            return Err(super::no_such(
                "table",
                name,
                &names,
                "`keyoff tables` lists all tables",
            ));
        }
        views.retain(|view| view.name == name);
    }
    let text = match (args.format, &args.name) {
        (TableFormat::Json, _) => json::pretty(&json::tables::tables(&views))
            .map_err(|error| Fault::new(error.to_string()))?,
        (TableFormat::Csv, _) => spreadsheet(&views)?,
        (TableFormat::Text, None) => text::tables::list(&views, terminal.out),
        (TableFormat::Text, Some(_)) => views
            .iter()
            .map(|view| text::tables::one(view, terminal.out))
            .collect(),
    };
    terminal.print(&text)?;
    Ok(End::Clean)
}

/// Each table after the other, with an empty line between.
fn spreadsheet(views: &[TableView]) -> Result<String, Fault> {
    let mut texts = Vec::new();
    for view in views {
        let mut rows = vec![view.columns.clone()];
        rows.extend(view.rows.iter().cloned());
        texts.push(csv::table(&rows).map_err(|error| Fault::new(error.to_string()))?);
    }
    Ok(texts.join("\r\n"))
}
