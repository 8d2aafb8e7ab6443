//! Audits as SARIF 2.1.0 (OASIS Standard, 2020), for editors and build services.
//!
//! A finding is a result of kind `fail`, suppressed where the record accepts it. What could not be judged is a result of
//! kind `open`: the standard's word for "insufficient information to decide".

use serde_json::Value;
use serde_json::json;

use crate::check::Gap;
use crate::check::Level;
use crate::check::Meta;
use crate::check::Report;
use crate::check::Reported;
use crate::model::Vehicle;
use crate::render::json::number;
use crate::render::json::unreadable::MOST;
use crate::render::words;
use crate::source::Problem;
use crate::source::Sources;
use crate::source::Span;
use crate::source::Text;

/// Where the standard's own schema is published.
const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// What became of one record.
#[derive(Clone, Copy, Debug)]
pub enum Outcome<'a> {
    /// It was audited.
    Audited(&'a Vehicle, &'a Report),
    /// It could not be read.
    Unreadable(&'a Sources, &'a [Problem]),
    /// The file itself could not be had: its name, and why.
    Unavailable(&'a str, &'a str),
}

/// So many faults of files that could not be read are told in one log; the rest is counted.
const MOST_TOLD: usize = 10_000;

/// What one record gives to the log, as text.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Part {
    results: Vec<String>,
    notifications: Vec<String>,
}

/// What `checks` say about one record.
///
/// # Errors
/// None on memory: the library that writes JSON can say no to other things.
pub fn part(checks: &[&Meta], outcome: Outcome<'_>) -> Result<Part, serde_json::Error> {
    let mut results = Vec::new();
    let mut notifications = Vec::new();
    match outcome {
        Outcome::Audited(vehicle, report) => {
            results.extend(
                report
                    .findings
                    .iter()
                    .map(|one| result(checks, vehicle, one)),
            );
            results.extend(
                report
                    .gaps
                    .iter()
                    .map(|(meta, gap)| open(checks, vehicle, meta, gap)),
            );
        }
        Outcome::Unreadable(sources, problems) => {
            let problems = problems.iter().take(MOST);
            notifications.extend(problems.map(|problem| notification(sources, problem)));
        }
        Outcome::Unavailable(name, message) => notifications.push(json!({
            "level": "error",
            "message": {"text": message},
            "locations": [{"physicalLocation": {"artifactLocation": {"uri": uri(name)}}}],
        })),
    }
    let texts = |values: Vec<Value>| -> Result<Vec<String>, serde_json::Error> {
        values.iter().map(serde_json::to_string).collect()
    };
    Ok(Part {
        results: texts(results)?,
        notifications: texts(notifications)?,
    })
}

/// One log of one run over all records, a result a line, written as it grows.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Log {
    any: bool,
    notifications: Vec<String>,
    /// Faults beyond [`MOST_TOLD`].
    more: usize,
}

impl Log {
    /// What stands before the results.
    ///
    /// # Errors
    /// As [`part`].
    pub fn head(checks: &[&Meta]) -> Result<String, serde_json::Error> {
        let tool = json!({"driver": {
            "name": "keyoff",
            "semanticVersion": env!("CARGO_PKG_VERSION"),
            "rules": checks.iter().map(|check| rule(check)).collect::<Vec<_>>(),
        }});
        Ok(format!(
            "{{\"$schema\": \"{SCHEMA}\", \"version\": \"2.1.0\", \"runs\": [{{\n\"tool\": {},\n\
             \"columnKind\": \"unicodeCodePoints\",\n\"results\": [",
            serde_json::to_string(&tool)?
        ))
    }

    /// What one more record adds to it.
    pub fn add(&mut self, part: Part) -> String {
        let mut out = String::new();
        for result in part.results {
            out.push_str(if self.any { ",\n" } else { "\n" });
            out.push_str(&result);
            self.any = true;
        }
        for notification in part.notifications {
            if self.notifications.len() < MOST_TOLD {
                self.notifications.push(notification);
            } else {
                self.more += 1;
            }
        }
        out
    }

    /// What stands after the results.
    ///
    /// # Errors
    /// As [`part`].
    pub fn foot(mut self) -> Result<String, serde_json::Error> {
        let whole = self.notifications.is_empty();
        if self.more > 0 {
            let rest = json!({
                "level": "error",
                "message": {"text": format!("{} more faults are not listed.", self.more)},
            });
            self.notifications.push(serde_json::to_string(&rest)?);
        }
        Ok(format!(
            "\n],\n\"invocations\": [{{\"executionSuccessful\": {whole}, \"toolExecutionNotifications\": [{}]}}]\n}}]}}\n",
            self.notifications.join(",\n")
        ))
    }
}

fn rule(meta: &Meta) -> Value {
    json!({
        "id": meta.name,
        "shortDescription": {"text": meta.summary},
        "help": {"text": meta.page, "markdown": meta.page},
        "defaultConfiguration": {"level": level(meta.level)},
        "properties": {"harm": words::harm(meta.harm)},
    })
}

fn result(checks: &[&Meta], vehicle: &Vehicle, reported: &Reported) -> Value {
    let sources = &vehicle.document.sources;
    let finding = &reported.finding;
    let related: Vec<Value> = finding
        .also
        .iter()
        .enumerate()
        .map(|(number, (at, label))| {
            json!({
                "id": number + 1,
                "physicalLocation": physical(sources, *at),
                "message": {"text": label},
            })
        })
        .collect();
    let mut properties = json!({
        "harm": words::harm(reported.check.harm),
        "help": finding.help,
        "source": finding.source,
    });
    for (name, measure) in [("value", finding.value), ("limit", finding.limit)] {
        if let Some(measure) = measure {
            properties[name] = json!({"amount": number(measure.amount), "unit": measure.unit});
        }
    }
    if let Some(setting) = words::setting(&finding.setting) {
        properties["setting"] = setting.into();
    }
    if let Some(setting) = finding.worst.as_ref().and_then(words::setting) {
        properties["worst_setting"] = setting.into();
    }
    let subjects = words::subjects(vehicle, &finding.parts, &finding.wires);
    let mut result = json!({
        "ruleId": reported.check.name,
        "level": level(reported.level),
        "message": {"text": with_mend(&finding.message, Some(&finding.help))},
        "locations": [{
            "physicalLocation": physical(sources, finding.at),
            "logicalLocations": logical(&subjects),
        }],
        "relatedLocations": related,
        "properties": properties,
    });
    if let Some(index) = index(checks, reported.check) {
        result["ruleIndex"] = index.into();
    }
    if let Some(accepted) = &reported.accepted {
        result["suppressions"] = json!([{
            "kind": "inSource",
            "justification": accepted.because,
            "location": {"physicalLocation": physical(sources, accepted.at)},
        }]);
    }
    result
}

fn open(checks: &[&Meta], vehicle: &Vehicle, meta: &Meta, gap: &Gap) -> Value {
    let sources = &vehicle.document.sources;
    let subjects = words::subjects(vehicle, &gap.parts, &gap.wires);
    let at = place(vehicle, gap);
    let mut result = json!({
        "ruleId": meta.name,
        "kind": "open",
        "level": "none",
        "message": {"text": format!(
            "{} cannot be judged: {} not stated.",
            words::list(&subjects),
            match gap.missing.len() {
                0 => "a fact is".to_owned(),
                1 => format!("{} is", gap.missing[0]),
                _ => format!("{} are", words::list(&gap.missing)),
            }
        )},
        "locations": [{
            "physicalLocation": physical(sources, at),
            "logicalLocations": logical(&subjects),
        }],
    });
    if let Some(index) = index(checks, meta) {
        result["ruleIndex"] = index.into();
    }
    result
}

/// Where what cannot be judged stands in the record.
fn place(vehicle: &Vehicle, gap: &Gap) -> Span {
    let part = gap.parts.first().map(|part| vehicle.part(*part).name.at);
    let wire = gap.wires.first().and_then(|wire| vehicle.wire(*wire).at);
    part.or(wire).unwrap_or_default()
}

fn index(checks: &[&Meta], meta: &Meta) -> Option<usize> {
    checks.iter().position(|check| check.name == meta.name)
}

fn notification(sources: &Sources, problem: &Problem) -> Value {
    json!({
        "level": "error",
        "message": {"text": with_mend(&problem.message, problem.help.as_deref())},
        "locations": [{"physicalLocation": physical(sources, problem.at)}],
    })
}

fn with_mend(message: &str, help: Option<&str>) -> String {
    let message = words::sentence(message);
    match help.map(str::trim).filter(|help| !help.is_empty()) {
        Some(help) => format!("{message} What to do: {}", words::sentence(help)),
        None => message,
    }
}

fn physical(sources: &Sources, at: Span) -> Value {
    let start = sources.position(at);
    let end = sources.position(Span {
        start: at.end,
        ..at
    });
    json!({
        "artifactLocation": {"uri": uri(&file(sources, at))},
        "region": {
            "startLine": start.line,
            "startColumn": start.column,
            "endLine": end.line,
            "endColumn": end.column,
        },
    })
}

/// The file of a place. A record names its libraries as seen from its own folder.
fn file(sources: &Sources, at: Span) -> String {
    let name = sources.get(at.file).map_or("", Text::name);
    let record = words::path(sources).replace('\\', "/");
    match record.rsplit_once('/') {
        Some((folder, _)) if at.file.0 != 0 && !name.starts_with('/') => format!("{folder}/{name}"),
        _ => name.to_owned(),
    }
}

fn logical(subjects: &[String]) -> Vec<Value> {
    subjects.iter().map(|name| json!({"name": name})).collect()
}

const fn level(level: Level) -> &'static str {
    words::level(level)
}

/// A path as a relative reference (RFC 3986): every byte that is not plain is written as `%XX`.
fn uri(path: &str) -> String {
    let path = path.replace('\\', "/");
    let mut out = String::new();
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"/-._~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_with_blanks_is_a_reference() {
        assert_eq!(uri("my trucks\\ä:1.yaml"), "my%20trucks/%C3%A4%3A1.yaml");
    }

    fn log_of(checks: &[&Meta], outcomes: &[Outcome<'_>]) -> Value {
        let mut log = Log::default();
        let mut text = Log::head(checks).unwrap();
        for outcome in outcomes {
            text += &log.add(part(checks, *outcome).unwrap());
        }
        text += &log.foot().unwrap();
        serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {text}"))
    }

    #[test]
    fn what_cannot_be_had_is_a_failed_run() {
        let unavailable = Outcome::Unavailable("x.yaml", "there is no file `x.yaml`");
        let log = log_of(&[], &[unavailable]);
        let invocation = &log["runs"][0]["invocations"][0];
        assert_eq!(invocation["executionSuccessful"], false);
        assert_eq!(
            invocation["toolExecutionNotifications"][0]["message"]["text"],
            "there is no file `x.yaml`"
        );
    }

    #[test]
    fn a_log_of_very_many_faults_does_not_grow_for_ever() {
        let unavailable = Outcome::Unavailable("x.yaml", "there is no file `x.yaml`");
        let log = log_of(&[], &vec![unavailable; MOST_TOLD + 3]);
        let told = &log["runs"][0]["invocations"][0]["toolExecutionNotifications"];
        assert_eq!(told.as_array().unwrap().len(), MOST_TOLD + 1);
        assert_eq!(
            told[MOST_TOLD]["message"]["text"],
            "3 more faults are not listed."
        );
    }

    #[test]
    fn an_audit_as_sarif() {
        let (vehicle, _, report) = crate::render::fixture::audit();
        let outcome = Outcome::Audited(&vehicle, &report);
        let log = log_of(
            &crate::render::fixture::METAS.each_ref(),
            &[outcome, outcome],
        );
        let results = log["runs"][0]["results"].as_array().unwrap().len();
        assert_eq!(results, 2 * (report.findings.len() + report.gaps.len()));
        insta::assert_snapshot!(
            super::super::json::pretty(&log_of(
                &crate::render::fixture::METAS.each_ref(),
                &[outcome]
            ))
            .unwrap()
        );
    }
}
