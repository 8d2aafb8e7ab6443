//! What each check says about its own cases, to the last word and digit: the words that people act on change only where somebody
//! has read the change.

use std::fmt::Write as _;

use super::ALL;
use super::Check;
use super::Measure;
use super::Reported;
use super::tester::Audited;
use super::tester::audit;
use super::tester::document;
use crate::model::Setting;
use crate::source::Span;

#[test]
fn every_check_says_what_it_said() {
    let mut settings = insta::Settings::clone_current();
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    let _bound = settings.bind_to_scope();
    for check in ALL {
        insta::assert_snapshot!(check.meta.name, of_check(check));
    }
}

fn of_check(check: &Check) -> String {
    let mut text = String::new();
    for (case, on) in check.cases.trips {
        let _ = writeln!(text, "trips on {on}");
        let audited = audit(&document(case));
        let own = audited.report.findings.iter();
        for reported in own.filter(|one| one.check.name == check.meta.name) {
            found(&mut text, &audited, reported);
        }
        text.push('\n');
    }
    for (case, for_want_of) in check.cases.cannot {
        let _ = writeln!(text, "cannot judge for want of {for_want_of}");
        let audited = audit(&document(case));
        let own = audited.report.gaps.iter();
        for (_, gap) in own.filter(|(meta, _)| meta.name == check.meta.name) {
            let about = about(&audited, &gap.parts, &gap.wires);
            let _ = writeln!(text, "  {about} lacks {}", gap.missing.join(", "));
        }
        text.push('\n');
    }
    text
}

fn found(text: &mut String, audited: &Audited, reported: &Reported) {
    let finding = &reported.finding;
    let words = |at: Span| audited.vehicle.document.sources.slice(at);
    let _ = writeln!(
        text,
        "  {}: {}",
        format!("{:?}", reported.level).to_lowercase(),
        finding.message
    );
    let about = about(audited, &finding.parts, &finding.wires);
    let _ = writeln!(text, "    about {about}");
    let _ = writeln!(text, "    at `{}`: {}", words(finding.at), finding.label);
    for (at, label) in &finding.also {
        let _ = writeln!(text, "    and `{}`: {label}", words(*at));
    }
    if finding.setting != Setting::default() {
        let _ = writeln!(text, "    in {}", setting(&finding.setting));
    }
    if let Some(worst) = &finding.worst {
        let _ = writeln!(text, "    worst in {}", setting(worst));
    }
    match (finding.value, finding.limit) {
        (Some(value), Some(limit)) => {
            let _ = writeln!(text, "    {} against {}", measure(value), measure(limit));
        }
        (Some(value), None) => {
            let _ = writeln!(text, "    {}", measure(value));
        }
        _ => {}
    }
    let _ = writeln!(text, "    by {}", finding.source);
    for cause in &finding.why {
        let _ = writeln!(text, "    why: {} [{}]", cause.step, cause.source);
    }
    if let Some((fact, findings)) = &finding.hang_on {
        let _ = writeln!(text, "    {findings} hang on {fact}");
    }
    let _ = writeln!(text, "    do: {}", finding.help);
}

fn about(
    audited: &Audited,
    parts: &[crate::model::PartId],
    wires: &[crate::model::WireId],
) -> String {
    let vehicle = &audited.vehicle;
    let parts = parts
        .iter()
        .map(|&part| vehicle.part(part).name.value.as_str());
    let wires = wires.iter().map(|&wire| vehicle.wire(wire).id.as_str());
    parts.chain(wires).collect::<Vec<_>>().join(" ")
}

/// Four digits: what a person reads, with one more.
fn measure(measure: Measure) -> String {
    format!(
        "{} {}",
        crate::quantity::show::digits(measure.amount, 4),
        measure.unit
    )
}

fn setting(setting: &Setting) -> String {
    let mut words = Vec::new();
    words.extend(setting.key.map(|key| format!("key {}", key.text())));
    let list = |does: &str, list: &[String]| {
        (!list.is_empty()).then(|| format!("{does} {}", list.join(" ")))
    };
    words.extend(list("closed", &setting.closed));
    words.extend(list("opened", &setting.opened));
    words.extend(setting.situation.as_ref().map(|name| format!("`{name}`")));
    words.extend(setting.also.clone());
    words.join(", ")
}
