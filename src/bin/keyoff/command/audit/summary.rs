//! The summaries of a fleet that are written to files while it is audited.

use std::path::PathBuf;

use keyoff::render::fleet;
use keyoff::render::json;
use keyoff::render::json::v1::FleetRow;

use super::Audit;
use crate::fault::Fault;
use crate::file::Growing;

/// The form of a summary, by the ending of its file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Form {
    Csv,
    Lines,
    Html,
}

/// All summaries that were asked for.
#[derive(Debug, Default)]
pub struct Summaries {
    files: Vec<(Form, Growing)>,
}

impl Summaries {
    /// Starts them. That one of them cannot be written is told before any work is done.
    pub fn create(args: &Audit) -> Result<Self, Fault> {
        let mut files = Vec::new();
        for path in &args.summary {
            let ending = path.extension().and_then(|ending| ending.to_str());
            let form = match ending.map(str::to_ascii_lowercase).as_deref() {
                Some("csv") => Form::Csv,
                Some("jsonl" | "ndjson") => Form::Lines,
                Some("html" | "htm") => Form::Html,
                _ => {
                    return Err(Fault::new(format!(
                        "`{}` does not say which form the summary takes",
                        path.display()
                    ))
                    .help("end its name in .csv, .jsonl or .html"));
                }
            };
            let mut file = Growing::create(path, args.force)?;
            file.add(&match form {
                Form::Csv => fleet::csv_head().map_err(|error| Fault::new(error.to_string()))?,
                Form::Lines => String::new(),
                Form::Html => fleet::html_head("Vehicles"),
            })?;
            files.push((form, file));
        }
        Ok(Self { files })
    }

    /// One more vehicle.
    pub fn add(&mut self, row: &FleetRow) -> Result<(), Fault> {
        for (form, file) in &mut self.files {
            file.add(&match form {
                Form::Csv => fleet::csv_row(row).map_err(|error| Fault::new(error.to_string()))?,
                Form::Lines => json::line(row).map_err(|error| Fault::new(error.to_string()))?,
                Form::Html => fleet::html_row(row),
            })?;
        }
        Ok(())
    }

    /// Puts them in their places.
    pub fn finish(self) -> Result<Vec<PathBuf>, Fault> {
        let mut written = Vec::new();
        for (form, mut file) in self.files {
            if form == Form::Html {
                file.add(&fleet::html_foot())?;
            }
            written.push(file.finish()?);
        }
        Ok(written)
    }
}
