//! Audits as JUnit XML, the form that build services read: one suite a record, one case a finding, a case that was skipped
//! for what could not be judged, and a passed one for each check that shows nothing.

use std::fmt::Write;

use super::sarif::Outcome;
use crate::check::Level;
use crate::check::Meta;
use crate::check::Report;
use crate::check::Reported;
use crate::model::Vehicle;
use crate::render::json::unreadable::MOST;
use crate::render::words;
use crate::source::Problem;
use crate::source::Sources;
use crate::source::Text;

/// One case of a suite.
struct Case {
    class: String,
    name: String,
    result: Result,
}

enum Result {
    Passed,
    Failed { message: String, text: String },
    Skipped(String),
    Broken { message: String, text: String },
}

/// What stands before the suites.
pub const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"keyoff\">\n";
/// What stands after them.
pub const FOOT: &str = "</testsuites>\n";

/// What `checks` say about one record; findings from `fail_on` up are failures, none where it is left out.
#[must_use]
pub fn junit(checks: &[&Meta], outcome: Outcome<'_>, fail_on: Option<Level>) -> String {
    let mut out = String::new();
    match outcome {
        Outcome::Audited(vehicle, report) => suite(
            &mut out,
            words::path(&vehicle.document.sources),
            &cases(checks, vehicle, report, fail_on),
        ),
        Outcome::Unreadable(sources, problems) => suite(
            &mut out,
            words::path(sources),
            &problems
                .iter()
                .take(MOST)
                .map(|problem| broken(sources, problem))
                .collect::<Vec<_>>(),
        ),
        Outcome::Unavailable(name, message) => suite(
            &mut out,
            name,
            &[Case {
                class: "read".to_owned(),
                name: name.to_owned(),
                result: Result::Broken {
                    message: message.to_owned(),
                    text: message.to_owned(),
                },
            }],
        ),
    }
    out
}

fn cases(
    checks: &[&Meta],
    vehicle: &Vehicle,
    report: &Report,
    fail_on: Option<Level>,
) -> Vec<Case> {
    let mut cases: Vec<Case> = report
        .findings
        .iter()
        .map(|reported| case(vehicle, reported, fail_on))
        .collect();
    for (meta, gap) in &report.gaps {
        cases.push(Case {
            class: meta.name.to_owned(),
            name: words::list(&words::subjects(vehicle, &gap.parts, &gap.wires)),
            result: Result::Skipped(format!("not stated: {}", words::list(&gap.missing))),
        });
    }
    for check in checks {
        let name = check.name;
        let shows = report.findings.iter().any(|one| one.check.name == name)
            || report.gaps.iter().any(|(meta, _)| meta.name == name);
        if !shows {
            cases.push(Case {
                class: name.to_owned(),
                name: "none shown by these inputs".to_owned(),
                result: Result::Passed,
            });
        }
    }
    cases
}

fn case(vehicle: &Vehicle, reported: &Reported, fail_on: Option<Level>) -> Case {
    let finding = &reported.finding;
    let fails = reported.accepted.is_none() && fail_on.is_some_and(|least| reported.level >= least);
    let message = words::sentence(&finding.message);
    let result = if fails {
        let mut text = format!(
            "{}: {}: {message}\n{}",
            words::line(&vehicle.document.sources, finding.at),
            words::level(reported.level),
            words::sentence(&finding.help)
        );
        if let Some(shows) = words::shows(finding) {
            text += &format!("\n{shows}");
        }
        if !finding.source.is_empty() {
            text += &format!("\nSource: {}", words::sentence(&finding.source));
        }
        Result::Failed { message, text }
    } else {
        Result::Passed
    };
    Case {
        class: reported.check.name.to_owned(),
        name: words::list(&words::subjects(vehicle, &finding.parts, &finding.wires)),
        result,
    }
}

fn broken(sources: &Sources, problem: &Problem) -> Case {
    let message = words::sentence(&problem.message);
    let position = sources.position(problem.at);
    let name = sources.get(problem.at.file).map_or("", Text::name);
    let help = problem.help.as_deref().map(words::sentence);
    Case {
        class: "read".to_owned(),
        name: format!("{name}:{}:{}", position.line, position.column),
        result: Result::Broken {
            text: format!("{message}\n{}", help.unwrap_or_default()),
            message,
        },
    }
}

fn suite(out: &mut String, name: &str, cases: &[Case]) {
    let count = |is: fn(&Result) -> bool| cases.iter().filter(|case| is(&case.result)).count();
    // Writing to a string does not fail.
    let _ = writeln!(
        out,
        "  <testsuite name=\"{}\" tests=\"{}\" failures=\"{}\" errors=\"{}\" skipped=\"{}\">",
        escape(name),
        cases.len(),
        count(|result| matches!(result, Result::Failed { .. })),
        count(|result| matches!(result, Result::Broken { .. })),
        count(|result| matches!(result, Result::Skipped(_))),
    );
    for case in cases {
        let head = format!(
            "    <testcase classname=\"{}\" name=\"{}\"",
            escape(&case.class),
            escape(&case.name)
        );
        let _ = match &case.result {
            Result::Passed => writeln!(out, "{head}/>"),
            Result::Failed { message, text } => writeln!(
                out,
                "{head}>\n      <failure message=\"{}\">{}</failure>\n    </testcase>",
                escape(message),
                escape(text)
            ),
            Result::Broken { message, text } => writeln!(
                out,
                "{head}>\n      <error message=\"{}\">{}</error>\n    </testcase>",
                escape(message),
                escape(text)
            ),
            Result::Skipped(message) => writeln!(
                out,
                "{head}>\n      <skipped message=\"{}\"/>\n    </testcase>",
                escape(message)
            ),
        };
    }
    out.push_str("  </testsuite>\n");
}

/// As XML 1.0 wants it; characters that it forbids are left out.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' => out.push_str("&#10;"),
            '\t' => out.push_str("&#9;"),
            '\u{fffe}' | '\u{ffff}' => {}
            c if (c as u32) < 0x20 => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_escaped() {
        assert_eq!(
            escape("a<b & \"c\"\u{1}\n"),
            "a&lt;b &amp; &quot;c&quot;&#10;"
        );
    }

    #[test]
    fn what_cannot_be_had_is_an_error() {
        let text = junit(
            &[],
            Outcome::Unavailable("x.yaml", "there is no file `x.yaml`"),
            None,
        );
        assert!(
            text.contains("tests=\"1\" failures=\"0\" errors=\"1\" skipped=\"0\""),
            "{text}"
        );
    }

    #[test]
    fn an_audit_as_junit() {
        let (vehicle, _, report) = crate::render::fixture::audit();
        let suite = junit(
            &crate::render::fixture::METAS.each_ref(),
            Outcome::Audited(&vehicle, &report),
            Some(Level::Warning),
        );
        insta::assert_snapshot!(format!("{HEAD}{suite}{FOOT}"));
    }
}
