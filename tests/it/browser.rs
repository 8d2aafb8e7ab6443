//! The pages in a real browser: they load without a fault, show the chosen situation, fit a phone, and print whole.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;

use crate::chromium;
use crate::chromium::Browser;
use crate::run::Folder;
use crate::run::run;

/// Every example with its page, and one record that tries to break out of it.
fn pages(folder: &Folder) -> Vec<PathBuf> {
    let hostile = folder.file("hostile.yaml", crate::pages::HOSTILE);
    let mut records = vec![hostile.display().to_string()];
    records.extend(crate::run::records("examples"));
    let mut pages = Vec::new();
    for (at, record) in records.iter().enumerate() {
        pages.push(page(folder, &at.to_string(), &["report", record]));
    }
    pages
}

/// The papers, of a record that has everything and of one that tries to break out.
fn papers(folder: &Folder) -> Vec<PathBuf> {
    let hostile = folder.0.join("hostile.yaml").display().to_string();
    let mut papers = Vec::new();
    for (at, record) in [hostile.as_str(), "examples/used-truck.yaml"]
        .iter()
        .enumerate()
    {
        for paper in crate::pages::PAPERS {
            let name = format!("{paper}-{at}");
            papers.push(page(folder, &name, &["report", record, "--paper", paper]));
        }
    }
    papers.push(page(folder, "removal", &crate::pages::REMOVAL));
    let against = [
        "report",
        "examples/used-truck.yaml",
        "--against",
        hostile.as_str(),
    ];
    papers.push(page(folder, "against", &against));
    papers
}

fn page(folder: &Folder, name: &str, command: &[&str]) -> PathBuf {
    let page = folder.0.join(format!("{name}.html"));
    let (record, more) = command.split_at(2);
    let output = ["-o", page.to_str().unwrap()];
    let ran = run([record, &output, more].concat());
    assert_eq!(ran.code, Some(0), "{command:?}: {ran:?}");
    page
}

#[test]
fn the_report_in_a_browser() {
    if !chromium::found() {
        return;
    }
    let folder = Folder::new();
    let pages = pages(&folder);
    let papers = papers(&folder);
    let mut browser = Browser::start();
    for (at, page) in pages.iter().chain(&papers).enumerate() {
        browser.screen(1280, 900);
        browser.open(page);
        loads_in_peace(&browser, page);
        can_be_read(&mut browser, page);
        for width in [320, 412, 800, 1280] {
            browser.screen(width, 800);
            stays_within_the_screen(&mut browser, page, width);
        }
        browser.screen(1280, 900);
        if at < pages.len() {
            every_choice_shows_its_own(&mut browser, page);
        }
        for (width, height) in [(8.5, 11.0), (8.27, 11.69)] {
            let pdf = page.with_extension("pdf");
            fs::write(&pdf, browser.print(width, height)).unwrap();
            prints_whole(&mut browser, &pdf);
        }
    }
    lights_what_is_live(&mut browser, &folder);
}

/// No message, no fault, and nothing asked for but the file.
fn loads_in_peace(browser: &Browser, page: &Path) {
    for event in &browser.events {
        let method = event["method"].as_str().unwrap_or_default();
        assert!(
            ![
                "Log.entryAdded",
                "Runtime.exceptionThrown",
                "Runtime.consoleAPICalled"
            ]
            .contains(&method),
            "{}: {event}",
            page.display()
        );
        if method == "Network.requestWillBeSent" {
            let url = event["params"]["request"]["url"].as_str().unwrap();
            assert!(
                url.ends_with(page.file_name().unwrap().to_str().unwrap()),
                "{url}"
            );
        }
    }
}

/// Contrast of all text of the page at least 4.5 to 1, headings in order, everything named.
fn can_be_read(browser: &mut Browser, page: &Path) {
    let faults = browser.value(
        r#"(() => {
        const faults = [];
        const part = c => { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
        const light = c => 0.2126 * part(c[0]) + 0.7152 * part(c[1]) + 0.0722 * part(c[2]);
        const colour = text => text.match(/[\d.]+/g).map(Number);
        const ground = element => {
            for (let at = element; at; at = at.parentElement) {
                const c = colour(getComputedStyle(at).backgroundColor);
                if (c.length < 4 || c[3] > 0.99) return c;
            }
            return [255, 255, 255];
        };
        let read = 0;
        for (const element of document.body.querySelectorAll(':not(svg, svg *)')) {
            const own = [...element.childNodes].some(node => node.nodeType === 3 && node.data.trim());
            if (!own) continue;
            const [a, b] = [light(colour(getComputedStyle(element).color)), light(ground(element))];
            const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
            read += 1;
            if (ratio < 4.5) faults.push(`contrast ${ratio.toFixed(2)}: ${element.textContent.slice(0, 60)}`);
        }
        if (read < 50) faults.push(`only ${read} texts were read`);
        let level = 0;
        for (const heading of document.querySelectorAll('h1, h2, h3, h4, h5, h6')) {
            const now = Number(heading.tagName[1]);
            if (now > level + 1) faults.push(`h${level} is followed by h${now}: ${heading.textContent}`);
            level = now;
        }
        for (const cell of document.querySelectorAll('th')) if (!cell.scope) faults.push(`no scope: ${cell.textContent}`);
        for (const table of document.querySelectorAll('table')) if (!table.caption) faults.push('a table without a caption');
        for (const svg of document.querySelectorAll('main svg'))
            if (svg.parentElement.closest('svg') === null && !(svg.getAttribute('role') === 'img' && svg.querySelector('title')))
                faults.push('a picture without a name');
        for (const input of document.querySelectorAll('input')) if (!input.labels.length) faults.push('an input without a label');
        for (const link of document.querySelectorAll('a')) if (!document.getElementById(link.hash.slice(1))) faults.push(`no ${link.hash}`);
        const ids = [...document.querySelectorAll('[id]')].map(one => one.id);
        if (new Set(ids).size !== ids.length) faults.push('an id comes twice');
        if (document.scripts.length) faults.push('a script');
        return faults;
    })()"#,
    );
    assert_eq!(faults, serde_json::json!([]), "{}", page.display());
}

fn stays_within_the_screen(browser: &mut Browser, page: &Path, width: u32) {
    let wide = browser.value(
        r"(() => {
        const out = [...document.body.querySelectorAll('main *:not(svg, svg *)')].filter(one => {
            const box = one.getBoundingClientRect();
            return box.width > 0 && box.right > innerWidth + 0.5 && !one.closest('[role=region], thead');
        });
        return [document.documentElement.scrollWidth, innerWidth, out.slice(0, 3).map(one => one.outerHTML.slice(0, 120))];
    })()",
    );
    assert_eq!(wide[1], width);
    assert!(
        wide[0].as_u64().unwrap() <= u64::from(width) && wide[2] == serde_json::json!([]),
        "{} at {width}: {wide}",
        page.display()
    );
}

/// One drawing at a time, the one that is chosen: by mouse, and by keys.
fn every_choice_shows_its_own(browser: &mut Browser, page: &Path) {
    const SHOWN: &str = "[...document.querySelectorAll('.drawing')].filter(one => one.offsetHeight > 0).map(one => one.id)";
    let count = browser.value("document.querySelectorAll('input[name=shown]').length");
    let count = count.as_u64().unwrap();
    assert!(count >= 3, "{}: {count} choices", page.display());
    for at in 0..count {
        browser.click(&format!("label[for=shown-{at}]"));
        assert_eq!(
            browser.value(SHOWN),
            serde_json::json!([format!("drawing-{at}")])
        );
    }
    browser.press("ArrowLeft", 37);
    assert_eq!(
        browser.value(SHOWN),
        serde_json::json!([format!("drawing-{}", count - 2)]),
        "by keys"
    );
    browser.click("label[for=shown-0]");
}

/// Every word of every table is on the paper, within the margins.
fn prints_whole(browser: &mut Browser, pdf: &Path) {
    let boxes = Command::new("pdftotext")
        .arg("-bbox")
        .arg(pdf)
        .arg("-")
        .output()
        .unwrap();
    assert!(boxes.status.success());
    let boxes = String::from_utf8(boxes.stdout).unwrap();
    let number = |line: &str, key: &str| -> f64 {
        let from = line.split(&format!("{key}=\"")).nth(1).unwrap();
        from.split('"').next().unwrap().parse().unwrap()
    };
    let (mut width, mut height, mut pages) = (0.0, 0.0, 0);
    let mut words = BTreeSet::new();
    for line in boxes.lines().map(str::trim) {
        if line.starts_with("<page ") {
            (width, height) = (number(line, "width"), number(line, "height"));
            pages += 1;
        } else if line.starts_with("<word ") {
            let (right, down) = (number(line, "xMax"), number(line, "yMax"));
            let (left, up) = (number(line, "xMin"), number(line, "yMin"));
            assert!(
                left >= 0.0 && up >= 0.0 && right <= width && down <= height,
                "{}: off page {pages} of {width} x {height}: {line}",
                pdf.display()
            );
            let word = line.split('>').nth(1).unwrap().split('<').next().unwrap();
            words.insert(unescaped(word));
        }
    }
    assert!(pages > 1);
    let cells =
        browser.value("[...document.querySelectorAll('td, th')].map(one => one.textContent)");
    let wanted: BTreeSet<&str> = cells
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|cell| cell.as_str().unwrap().split_whitespace())
        .collect();
    assert!(wanted.len() > 30);
    // Only a very long word may be broken over lines.
    let missing: Vec<&&str> = wanted
        .iter()
        .filter(|word| {
            let whole = words.contains(**word);
            // At the end of a line a browser breaks after a hyphen.
            let broken = || word.split_inclusive('-').all(|piece| words.contains(piece));
            !whole && !broken() && word.chars().count() < 18
        })
        .collect();
    assert!(
        missing.is_empty(),
        "{}: not on the paper: {missing:?}",
        pdf.display()
    );
}

fn unescaped(word: &str) -> String {
    let word = word.replace("&lt;", "<").replace("&gt;", ">");
    let word = word.replace("&quot;", "\"").replace("&#39;", "'");
    word.replace("&apos;", "'").replace("&amp;", "&")
}

/// Work lamps behind a relay: dead when parked, live and lit with everything on.
fn lights_what_is_live(browser: &mut Browser, folder: &Folder) {
    let page = folder.0.join("lit.html");
    let ran = run([
        "report",
        "examples/service-body.yaml",
        "-o",
        page.to_str().unwrap(),
    ]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    browser.open(&page);
    browser.screen(1280, 900);
    let choices = browser
        .value("[...document.querySelectorAll('.choose > label')].map(one => one.textContent)");
    let number = |name: &str| {
        let all = choices.as_array().unwrap();
        all.iter()
            .position(|one| one == name)
            .unwrap_or_else(|| panic!("{choices}"))
    };
    let mut widths = Vec::new();
    for name in ["parked", "all on"] {
        browser.click(&format!("label[for=shown-{}]", number(name)));
        let lit = browser.value(
            r#"(() => {
            const seen = [...document.querySelectorAll('[data-wire="lamps"]')].filter(one => one.getBoundingClientRect().width > 0);
            const strokes = seen.map(one => Number(one.getAttribute('stroke-width') || 0));
            const words = seen.map(one => one.textContent).join(' ');
            return [Math.max(...strokes), words];
        })()"#,
        );
        widths.push((
            lit[0].as_f64().unwrap(),
            lit[1].as_str().unwrap().to_owned(),
        ));
    }
    let [(dead, parked), (live, on)] = &widths[..] else {
        panic!("{widths:?}");
    };
    assert!(live > dead, "{widths:?}");
    assert!(parked.contains("0 A") && on.contains("14 A"), "{widths:?}");
}
