//! Rows as one page that needs nothing else: a table that is sorted by a press on the head of a column, and that can be read
//! and printed without that too.

use crate::quantity::Amps;
use crate::quantity::Units;
use crate::quantity::show;
use crate::render::json::v1::FleetRow;
use crate::render::words::ADVICE;

/// Heads of the columns, and whether they hold figures.
const COLUMNS: &[(&str, bool)] = &[
    ("Record", false),
    ("Vehicle", false),
    ("Errors", true),
    ("Warnings", true),
    ("Notes", true),
    ("Not judged", true),
    ("Key-off draw", true),
    ("Days it still starts", true),
    ("Worst finding", false),
];

const STYLE: &str = "\
body{font:15px/1.4 system-ui,sans-serif;margin:1.5rem;color:#1a1a1a;background:#fff}\
h1{font-size:1.3rem}table{border-collapse:collapse;width:100%}\
th,td{padding:.3rem .6rem;border-bottom:1px solid #ccc;text-align:left;vertical-align:top}\
td.n,th.n{text-align:right;white-space:nowrap}\
th button{font:inherit;font-weight:600;background:none;border:0;padding:0;cursor:pointer;color:inherit;text-align:inherit}\
th[aria-sort=ascending] button::after{content:' \\2191'}th[aria-sort=descending] button::after{content:' \\2193'}\
tr.error td:first-child{border-left:4px solid #b00020}tr.warning td:first-child{border-left:4px solid #b36b00}\
tr.note td:first-child{border-left:4px solid #00639b}tr.nothing td:first-child{border-left:4px solid #bbb}\
tr.unreadable td:first-child{border-left:4px solid #000}\
@media(prefers-color-scheme:dark){body{color:#eee;background:#161616}th,td{border-color:#444}}\
@media print{body{margin:0;font-size:11px}thead{display:table-header-group}tr{break-inside:avoid}}";

/// Sorts the rows by a column: figures as figures, what has none last, equals in the order they had.
const SCRIPT: &str = "\
document.querySelectorAll('th button').forEach(function(button){button.addEventListener('click',function(){\
var head=button.parentNode,at=head.cellIndex,body=document.querySelector('tbody'),\
down=head.getAttribute('aria-sort')!=='descending'&&head.classList.contains('n')||head.getAttribute('aria-sort')==='ascending';\
document.querySelectorAll('th').forEach(function(other){other.removeAttribute('aria-sort')});\
head.setAttribute('aria-sort',down?'descending':'ascending');\
var key=function(row){var cell=row.cells[at],v=cell.getAttribute('data-v');return v===null?cell.textContent:v===''?null:Number(v)};\
Array.from(body.rows).map(function(row){return[key(row),row]}).sort(function(a,b){\
if(a[0]===null||b[0]===null)return(a[0]===null)-(b[0]===null);\
var way=typeof a[0]==='number'?a[0]-b[0]:a[0].localeCompare(b[0]);return down?-way:way}).forEach(function(pair){body.appendChild(pair[1])})})});";

/// The top of the page.
#[must_use]
pub fn head(title: &str) -> String {
    let title = escape(title);
    let mut out = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<title>{title}</title>\n<style>{STYLE}</style>\n</head>\n\
         <body>\n<h1>{title}</h1>\n<table>\n<thead>\n<tr>"
    );
    for (name, figures) in COLUMNS {
        let class = if *figures { " class=\"n\"" } else { "" };
        out += &format!("<th scope=\"col\"{class}><button type=\"button\">{name}</button></th>");
    }
    out + "</tr>\n</thead>\n<tbody>\n"
}

/// One vehicle.
#[must_use]
pub fn row(row: &FleetRow) -> String {
    let mut out = format!(
        "<tr class=\"{}\"><td>{}</td><td>{}</td>",
        super::verdict(row.verdict),
        escape(&row.document.path),
        escape(row.document.name.as_deref().unwrap_or_default())
    );
    let mut figure = |value: Option<f64>, shown: &str| {
        let value = value.map_or_else(String::new, |value| value.to_string());
        out += &format!("<td class=\"n\" data-v=\"{value}\">{}</td>", escape(shown));
    };
    let counts = row.summary.as_ref().map(|summary| {
        [
            summary.errors,
            summary.warnings,
            summary.notes,
            summary.not_checked,
        ]
    });
    for at in 0..4 {
        let count = counts.map(|counts| counts[at]);
        figure(
            count.map(|count| count as f64),
            &count.map_or_else(String::new, |count| count.to_string()),
        );
    }
    let mut draw = row
        .draw_a
        .map_or_else(String::new, |draw| show::show(Amps(draw), Units::Metric));
    if !row.draw_lacks.is_empty() {
        draw = format!("more than {draw}");
    }
    figure(row.draw_a, &draw);
    let days = row.days_to_no_start.as_ref();
    figure(
        days.map(|days| days.likely),
        &days.map_or_else(String::new, |days| {
            format!(
                "{} ({} to {}) at {}",
                show::digits(days.likely, 2),
                show::digits(days.low, 2),
                show::digits(days.high, 2),
                show::measure(days.at_c, "C", Units::Metric)
            )
        }),
    );
    let worst = match (&row.worst, &row.unreadable) {
        (_, Some(fault)) => format!("could not be used: {}", super::fault(fault)),
        (Some(worst), None) => {
            format!(
                "{} [{}, line {}]",
                worst.message, worst.check, worst.at.line
            )
        }
        (None, None) => String::new(),
    };
    out + &format!("<td>{}</td></tr>\n", escape(&worst))
}

/// The end of the page.
#[must_use]
pub fn foot() -> String {
    format!("</tbody>\n</table>\n<p>{ADVICE}</p>\n<script>{SCRIPT}</script>\n</body>\n</html>\n")
}

fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c => out.push(c),
        }
    }
    out
}
