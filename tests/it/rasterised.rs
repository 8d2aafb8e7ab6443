//! Drawings as a browser sets and paints them: its own fonts keep to the room that the layout left, and there is ink on every sheet
//! and none off it.

use std::fs;
use std::path::Path;

use crate::chromium;
use crate::chromium::Browser;
use crate::run::Folder;
use crate::run::run;

const VIEWS: [&str; 3] = ["overview", "strips", "tracks"];

#[test]
fn every_drawing_in_a_browser() {
    if !chromium::found() {
        return;
    }
    let folder = Folder::new();
    let mut browser = Browser::start();
    browser.screen(1280, 900);
    let mut seen = 0;
    for record in crate::run::records("examples") {
        for (at, view) in VIEWS.iter().enumerate() {
            let picture = folder.0.join(format!("{seen}.svg"));
            let path = picture.to_str().unwrap();
            let mut command = vec!["diagram", record.as_str(), "-o", path, "--view", *view];
            // Each view once level and once upright, with and without a situation and marks, over the examples.
            if (seen + at) % 2 == 0 {
                command.extend(["--portrait", "--paper", "a4"]);
            }
            if seen % 3 == 0 {
                command.extend(["--situation", "parked", "--findings"]);
            }
            let ran = run(command);
            assert_eq!(ran.code, Some(0), "{record} {view}: {ran:?}");
            browser.open(&picture);
            texts_keep_to_their_room(&mut browser, &format!("{record} {view}"));
            ink_is_on_the_sheets(&mut browser, &picture, &format!("{record} {view}"));
            seen += 1;
        }
    }
    assert!(seen >= 15, "{seen}");
}

/// The extents of texts as the browser measures them: inside the boxes that the layout kept free for them, inside the sheet, clear of
/// each other.
fn texts_keep_to_their_room(browser: &mut Browser, told: &str) {
    let found = browser.value(
        r"(() => {
        const faults = [];
        let texts = 0, boxed = 0;
        for (const sheet of document.querySelectorAll('svg svg')) {
            const [, , wide, high] = sheet.getAttribute('viewBox').split(' ').map(Number);
            const boxes = [...sheet.querySelectorAll('rect[data-label]')].map(one => ({
                wire: one.dataset.label,
                x: Number(one.getAttribute('x')), y: Number(one.getAttribute('y')),
                width: Number(one.getAttribute('width')), height: Number(one.getAttribute('height')),
            }));
            const set = [...sheet.querySelectorAll('text')].filter(one => one.textContent.trim()).map(one => {
                const box = one.getBBox(), size = Number(one.getAttribute('font-size')), base = Number(one.getAttribute('y'));
                return {text: one.textContent, wire: one.dataset.wire, left: box.x, right: box.x + box.width, top: base - 0.7 * size, base};
            });
            for (const one of set) {
                texts += 1;
                if (one.left < 0 || one.right > wide || one.top < 0 || one.base > high) faults.push(`off the sheet: ${one.text}`);
                const middle = [(one.left + one.right) / 2, (one.top + one.base) / 2];
                const room = boxes.find(box => box.wire === one.wire && box.x <= middle[0] && middle[0] <= box.x + box.width
                    && box.y <= middle[1] && middle[1] <= box.y + box.height);
                if (!room) continue;
                boxed += 1;
                if (one.left < room.x - 1.5 || one.right > room.x + room.width + 1.5)
                    faults.push(`wider than its room: ${one.text.trim()}, ${one.left} to ${one.right} in ${room.x} to ${room.x + room.width}`);
            }
            for (const [at, one] of set.entries()) for (const other of set.slice(at + 1)) {
                const across = Math.min(one.right, other.right) - Math.max(one.left, other.left);
                const down = Math.min(one.base, other.base) - Math.max(one.top, other.top);
                if (across > 1 && down > 1) faults.push(`on each other: ${one.text.trim()} and ${other.text.trim()}`);
            }
        }
        return [texts, boxed, faults.slice(0, 8)];
    })()",
    );
    assert!(found[0].as_u64().unwrap() > 30, "{told}: {found}");
    assert!(found[1].as_u64().unwrap() >= 4, "{told}: {found}");
    assert_eq!(found[2], serde_json::json!([]), "{told}");
}

/// Painted at three dots a millimetre: every sheet has ink, not too much of it, none within 5 mm of its edges.
fn ink_is_on_the_sheets(browser: &mut Browser, picture: &Path, told: &str) {
    let text = fs::read_to_string(picture).unwrap();
    let script = r"(async () => {
        const text = TEXT, dots = 3, edge = 5;
        const root = new DOMParser().parseFromString(text, 'image/svg+xml').documentElement;
        const [, , wide, high] = root.getAttribute('viewBox').split(' ').map(Number);
        const picture = new Image();
        picture.src = 'data:image/svg+xml;charset=utf-8,' + encodeURIComponent(text);
        await picture.decode();
        const canvas = document.createElement('canvas');
        [canvas.width, canvas.height] = [Math.round(wide * dots), Math.round(high * dots)];
        const paint = canvas.getContext('2d');
        paint.fillStyle = '#fff';
        paint.fillRect(0, 0, canvas.width, canvas.height);
        paint.drawImage(picture, 0, 0, canvas.width, canvas.height);
        const part = (x, y, width, height) => {
            const [left, top] = [Math.round(x * dots), Math.round(y * dots)];
            const [across, down] = [Math.min(Math.round(width * dots), canvas.width - left), Math.min(Math.round(height * dots), canvas.height - top)];
            const data = paint.getImageData(left, top, across, down).data;
            let ink = 0;
            for (let at = 0; at < data.length; at += 4) if (data[at] + data[at + 1] + data[at + 2] < 600) ink += 1;
            return [ink, data.length / 4];
        };
        const sheets = [];
        for (const sheet of root.querySelectorAll(':scope > svg')) {
            const [x, y, width, height] = ['x', 'y', 'width', 'height'].map(name => Number(sheet.getAttribute(name)));
            const [ink, all] = part(x, y, width, height);
            const margins = [part(x, y, width, edge), part(x, y + height - edge, width, edge), part(x, y, edge, height),
                part(x + width - edge, y, edge, height)];
            sheets.push([ink / all, margins.map(one => one[0])]);
        }
        return sheets;
    })()";
    let blank = picture.with_file_name("blank.html");
    fs::write(&blank, "<!doctype html><title>canvas</title>").unwrap();
    browser.open(&blank);
    let script = script.replace("TEXT", &serde_json::to_string(&text).unwrap());
    let sheets = browser.value(&script);
    let sheets = sheets.as_array().unwrap();
    assert!(!sheets.is_empty(), "{told}");
    for (at, sheet) in sheets.iter().enumerate() {
        let share = sheet[0].as_f64().unwrap();
        let sheet_told = format!("{told}, sheet {}: {sheet}", at + 1);
        assert!((0.005..0.25).contains(&share), "{sheet_told}");
        assert_eq!(sheet[1], serde_json::json!([0, 0, 0, 0]), "{sheet_told}");
    }
}
