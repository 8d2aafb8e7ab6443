//! A headless browser, spoken to in its own protocol over two pipes: JSON texts that end with a zero byte.

use std::fs::File;
use std::fs::OpenOptions;
use std::io::BufRead;
use std::io::BufReader;
use std::io::Write;
use std::path::Path;
use std::process::Child;
use std::process::Command;
use std::process::Stdio;

use serde_json::Value;
use serde_json::json;

use crate::run::Folder;

/// A browser with one page.
pub struct Browser {
    child: Child,
    to: File,
    from: BufReader<File>,
    session: String,
    count: u64,
    /// What the page said to nobody in particular: console messages, requests, faults.
    pub events: Vec<Value>,
    _pipes: Folder,
}

/// Where there is no browser the reason is printed; where CI is set that is a failure.
pub fn found() -> bool {
    let there = |program: &str| {
        let mut command = Command::new(program);
        let quiet = command.arg("--version").stdout(Stdio::null());
        quiet.stderr(Stdio::null()).status().is_ok()
    };
    let missing: Vec<&str> = [("chromium", "chromium"), ("pdftotext", "poppler-utils")]
        .into_iter()
        .filter(|(program, _)| !there(program))
        .map(|(_, package)| package)
        .collect();
    if missing.is_empty() {
        return true;
    }
    let wanted = missing.join(" ");
    assert!(
        std::env::var("CI").is_err(),
        "{wanted} must be installed where CI is set"
    );
    eprintln!("NOT LOOKED AT IN A BROWSER: not installed (Debian packages `{wanted}`)");
    false
}

impl Browser {
    pub fn start() -> Self {
        let pipes = Folder::new();
        let [requests, answers] = ["requests", "answers"].map(|name| pipes.0.join(name));
        let made = Command::new("mkfifo").args([&requests, &answers]).status();
        assert!(made.unwrap().success());
        // The browser reads from its third file and writes to its fourth.
        let script = r#"exec chromium --headless --no-sandbox --disable-gpu --disable-dev-shm-usage --no-first-run \
            --disable-extensions --disable-background-networking --disable-component-update --disable-default-apps --disable-sync \
            --user-data-dir="$1/profile" --remote-debugging-pipe about:blank 3<"$2" 4>"$3""#;
        let child = Command::new("sh")
            .args(["-c", script, "sh"])
            .args([&pipes.0, &requests, &answers])
            .env("HOME", &pipes.0)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let to = OpenOptions::new().write(true).open(&requests).unwrap();
        let from = BufReader::new(File::open(&answers).unwrap());
        let mut browser = Self {
            child,
            to,
            from,
            session: String::new(),
            count: 0,
            events: Vec::new(),
            _pipes: pipes,
        };
        let target = browser.ask("Target.createTarget", json!({"url": "about:blank"}));
        let target = target["targetId"].as_str().unwrap().to_owned();
        let attached = browser.ask(
            "Target.attachToTarget",
            json!({"targetId": target, "flatten": true}),
        );
        browser.session = attached["sessionId"].as_str().unwrap().to_owned();
        for domain in ["Page", "Runtime", "Log", "Network"] {
            browser.ask(&format!("{domain}.enable"), json!({}));
        }
        browser
    }

    /// Asks, and waits for the answer; what comes between is kept.
    pub fn ask(&mut self, method: &str, params: Value) -> Value {
        self.attempt(method, params)
            .unwrap_or_else(|fault| panic!("{method}: {fault}"))
    }

    /// The same, where a refusal is no surprise.
    fn attempt(&mut self, method: &str, params: Value) -> Result<Value, Value> {
        self.count += 1;
        let mut request = json!({"id": self.count, "method": method, "params": params});
        if !self.session.is_empty() {
            request["sessionId"] = json!(self.session);
        }
        let mut bytes = serde_json::to_vec(&request).unwrap();
        bytes.push(0);
        self.to.write_all(&bytes).unwrap();
        loop {
            let message = self.next();
            if message["id"] == json!(self.count) {
                if message["error"].is_null() {
                    return Ok(message["result"].clone());
                }
                return Err(message);
            }
            self.events.push(message);
        }
    }

    fn next(&mut self) -> Value {
        let mut bytes = Vec::new();
        self.from.read_until(0, &mut bytes).unwrap();
        assert_eq!(bytes.pop(), Some(0), "the browser ended");
        serde_json::from_slice(&bytes).unwrap()
    }

    /// Opens a file and waits until it is there.
    pub fn open(&mut self, file: &Path) {
        self.visit(&format!("file://{}", file.display()));
    }

    /// Opens an address and waits until it is there.
    pub fn visit(&mut self, url: &str) {
        self.events.clear();
        self.ask("Page.navigate", json!({"url": url}));
        while !self
            .events
            .iter()
            .any(|event| event["method"] == "Page.loadEventFired")
        {
            let message = self.next();
            self.events.push(message);
        }
    }

    /// Width and height of the screen.
    pub fn screen(&mut self, width: u32, height: u32) {
        self.ask(
            "Emulation.setDeviceMetricsOverride",
            json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500}),
        );
    }

    /// The value of an expression in the page; a promise is waited for.
    pub fn value(&mut self, expression: &str) -> Value {
        let answer = self.ask(
            "Runtime.evaluate",
            json!({"expression": expression, "returnByValue": true, "awaitPromise": true}),
        );
        assert!(
            answer["exceptionDetails"].is_null(),
            "{expression}: {answer}"
        );
        answer["result"]["value"].clone()
    }

    /// The text of the page; none while it is on its way to another.
    pub fn text(&mut self) -> Option<String> {
        let expression = "document.body ? document.body.textContent : ''";
        let params = json!({"expression": expression, "returnByValue": true});
        let answer = self.attempt("Runtime.evaluate", params).ok()?;
        answer["result"]["value"].as_str().map(str::to_owned)
    }

    /// Presses a key.
    pub fn press(&mut self, key: &str, code: u32) {
        for kind in ["rawKeyDown", "keyUp"] {
            self.ask(
                "Input.dispatchKeyEvent",
                json!({"type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code}),
            );
        }
    }

    /// Clicks with the mouse in the middle of what a selector finds first.
    pub fn click(&mut self, selector: &str) {
        let at = self.value(&format!(
            "(() => {{ const one = document.querySelector({selector:?}); one.scrollIntoView({{block: 'center'}}); \
             const box = one.getBoundingClientRect(); return [box.x + box.width / 2, box.y + box.height / 2]; }})()"
        ));
        for kind in ["mousePressed", "mouseReleased"] {
            self.ask(
                "Input.dispatchMouseEvent",
                json!({"type": kind, "x": at[0], "y": at[1], "button": "left", "clickCount": 1}),
            );
        }
    }

    /// The page as it is printed on paper of this size in inches.
    pub fn print(&mut self, width: f64, height: f64) -> Vec<u8> {
        let answer = self.ask(
            "Page.printToPDF",
            json!({"paperWidth": width, "paperHeight": height, "printBackground": false, "preferCSSPageSize": false}),
        );
        base64(answer["data"].as_str().unwrap())
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// RFC 4648, without a crate for one call.
fn base64(text: &str) -> Vec<u8> {
    const LETTERS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let (mut bytes, mut held, mut bits) = (Vec::new(), 0_u32, 0);
    for letter in text.bytes().filter(|letter| *letter != b'=') {
        let value = LETTERS.iter().position(|known| *known == letter).unwrap() as u32;
        held = (held << 6) | value;
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits) as u8);
            held &= (1 << bits) - 1;
        }
    }
    bytes
}
