//! The live report: served to this machine alone, made anew when the record is saved, faults shown on the page.

use std::io::BufRead;
use std::io::BufReader;
use std::io::Read;
use std::io::Write;
use std::net::TcpStream;
use std::process::Child;
use std::process::Stdio;
use std::time::Duration;
use std::time::Instant;

use crate::chromium;
use crate::chromium::Browser;
use crate::run::Folder;
use crate::run::keyoff;
use crate::run::run;

const SOUND: &str = "tests/data/clean/work-lamps-on-a-relay.yaml";

struct Served {
    child: Child,
    port: u16,
}

impl Served {
    fn start(folder: &Folder, file: &str) -> Self {
        let mut child = keyoff()
            .current_dir(&folder.0)
            .args(["view", file])
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        out.read_line(&mut line).unwrap();
        let port = line
            .strip_prefix("http://127.0.0.1:")
            .and_then(|rest| rest.split('/').next()?.parse().ok())
            .unwrap_or_else(|| panic!("{line}"));
        Self { child, port }
    }

    /// Status and everything after it.
    fn send(&self, request: &str) -> (u16, String) {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(60)))
            .unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        let status = answer.split(' ').nth(1).and_then(|code| code.parse().ok());
        (status.unwrap_or_else(|| panic!("{answer}")), answer)
    }

    fn get(&self, path: &str) -> (u16, String) {
        let host = format!("127.0.0.1:{}", self.port);
        self.send(&format!(
            "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"
        ))
    }

    fn version(&self) -> String {
        let (status, answer) = self.get("/version");
        assert_eq!(status, 200);
        answer.rsplit("\r\n").next().unwrap().to_owned()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn sound() -> String {
    std::fs::read_to_string(crate::run::root().join(SOUND)).unwrap()
}

#[test]
fn the_page_follows_the_record_and_shows_its_faults() {
    let folder = Folder::new();
    folder.file("truck.yaml", &sound());
    let served = Served::start(&folder, "truck.yaml");
    let (status, first) = served.get("/");
    assert_eq!(status, 200);
    assert!(first.contains("WORK") && first.contains("/live.js"));
    let version = served.version();
    assert!(first.contains(&format!("data-version=\"{version}\"")));
    assert_eq!(served.version(), version, "nothing was saved");

    folder.file(
        "truck.yaml",
        &sound().replace("four LED work lamps", "six LED work lamps"),
    );
    assert_ne!(served.version(), version);
    let (_, second) = served.get("/");
    assert!(second.contains("six LED work lamps"));

    folder.file(
        "truck.yaml",
        "keyoff: 1\nparts: {F1: {kind: fuse, rating: 30}}\n",
    );
    let (status, broken) = served.get("/");
    assert_eq!(status, 200);
    assert!(
        broken.contains("rating: 30") && broken.contains("has no unit"),
        "{broken}"
    );
    assert!(
        broken.contains("/live.js"),
        "a broken record is followed too"
    );

    std::fs::remove_file(folder.0.join("truck.yaml")).unwrap();
    let (_, gone) = served.get("/");
    assert!(gone.contains("there is no file"), "{gone}");
    folder.file("truck.yaml", &sound());
    let (_, again) = served.get("/");
    assert!(
        again.contains(&format!("data-version=\"{version}\"")),
        "as it was"
    );
}

#[test]
fn a_library_that_is_saved_counts_too() {
    let folder = Folder::new();
    let shelf = |draw: &str| {
        format!(
            "keyoff: 1\nlibrary:\n  lamp: {{kind: load, type: led, what: work lamp, draw: {draw}, max-fuse: 30 A}}\n"
        )
    };
    folder.file("shelf.yaml", &shelf("14 A"));
    let record = "keyoff: 1\nlibrary: shelf.yaml\nparts:\n  B1: {kind: battery, capacity: 75 Ah}\n  L1: {use: lamp}\n";
    folder.file("truck.yaml", record);
    let served = Served::start(&folder, "truck.yaml");
    let (status, _) = served.get("/");
    assert_eq!(status, 200);
    let version = served.version();
    folder.file("shelf.yaml", &shelf("13 A"));
    assert_ne!(served.version(), version);
}

#[test]
fn nothing_is_served_but_the_page_and_only_to_this_machine() {
    let folder = Folder::new();
    folder.file("truck.yaml", &sound());
    folder.file("secret.yaml", "password: x\n");
    let served = Served::start(&folder, "truck.yaml");
    for path in [
        "/secret.yaml",
        "/truck.yaml",
        "/../secret.yaml",
        "/%2e%2e/secret.yaml",
        "//",
        "/?x",
        "/version/",
    ] {
        let (status, answer) = served.get(path);
        assert_eq!(status, 404, "{path}");
        assert!(!answer.contains("password"));
    }
    let port = served.port;
    let ask = |host: &str| {
        served.send(&format!(
            "GET / HTTP/1.1\r\n{host}Connection: close\r\n\r\n"
        ))
    };
    for refused in [
        "Host: elsewhere.example\r\n".to_owned(),
        format!("Host: elsewhere.example:{port}\r\n"),
        format!("Host: 127.0.0.1.elsewhere.example:{port}\r\n"),
        "Host: 127.0.0.1\r\n".to_owned(),
        format!("Host: 127.0.0.1:{}\r\n", port ^ 1),
        format!("Host: 127.0.0.1:{port}\r\nHost: elsewhere.example\r\n"),
        format!("Host: 127.0.0.1:{port}\r\nOrigin: http://elsewhere.example\r\n"),
        String::new(),
    ] {
        let (status, answer) = ask(&refused);
        assert_eq!(status, 403, "{refused:?}");
        assert!(!answer.contains("WORK"));
    }
    assert_eq!(ask(&format!("Host: localhost:{port}\r\n")).0, 200);
    let host = format!("Host: 127.0.0.1:{port}\r\nConnection: close\r\n");
    for method in ["POST", "PUT", "DELETE"] {
        let (status, _) = served.send(&format!(
            "{method} / HTTP/1.1\r\n{host}Content-Length: 0\r\n\r\n"
        ));
        assert_eq!(status, 405, "{method}");
    }
    let (_, answer) = served.get("/");
    for header in [
        "Cache-Control: no-store",
        "X-Content-Type-Options: nosniff",
        "X-Frame-Options: DENY",
    ] {
        assert!(answer.contains(header), "{header}");
    }
    // Loopback only: the address of this machine towards others is not listened on.
    #[cfg(target_os = "linux")]
    {
        let table = std::fs::read_to_string("/proc/net/tcp").unwrap();
        let ours = format!(":{port:04X} 00000000:0000 0A");
        let line = table.lines().find(|line| line.contains(&ours)).unwrap();
        assert!(line.contains(&format!("0100007F:{port:04X}")), "{line}");
    }
}

#[test]
fn it_says_what_it_cannot_do() {
    let missing = run(["view", "no-such.yaml"]);
    assert_eq!(missing.code, Some(2));
    assert!(missing.err.contains("there is no file"), "{missing:?}");
    assert_eq!(run(["view", "-"]).code, Some(2));
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let busy = run(["view", SOUND, "--port", &port]);
    assert_eq!(busy.code, Some(2));
    assert!(busy.err.contains("cannot be had"), "{busy:?}");
}

#[cfg(unix)]
#[test]
fn ctrl_c_ends_it() {
    let folder = Folder::new();
    folder.file("truck.yaml", &sound());
    let mut served = Served::start(&folder, "truck.yaml");
    // A shell starts what it puts into the background deaf to Ctrl-C, and so its children are.
    let signal = if deaf_to_ctrl_c() { "-TERM" } else { "-INT" };
    let killed = std::process::Command::new("kill")
        .args([signal, &served.child.id().to_string()])
        .status();
    assert!(killed.unwrap().success());
    let start = Instant::now();
    while served.child.try_wait().unwrap().is_none() {
        assert!(start.elapsed() < Duration::from_secs(20), "it goes on");
        std::thread::sleep(Duration::from_millis(20));
    }
}

/// Whether this process ignores an interrupt, as far as the system says.
#[cfg(unix)]
fn deaf_to_ctrl_c() -> bool {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let ignored = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    let mask = ignored.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok());
    mask.is_some_and(|mask| mask & 0b10 != 0)
}

/// In a browser: a save is shown without a hand on it, at the place and with the choice that the reader had; a fault is shown;
/// the end of the server is told.
#[test]
fn a_browser_follows_the_record() {
    if !chromium::found() {
        return;
    }
    let folder = Folder::new();
    folder.file("truck.yaml", &sound());
    let served = Served::start(&folder, "truck.yaml");
    let mut browser = Browser::start();
    browser.screen(1280, 900);
    browser.visit(&format!("http://127.0.0.1:{}/", served.port));
    assert_eq!(reads(&mut browser, "four LED work lamps"), Ok(()));
    browser.click("label[for=shown-2]");
    let place = browser.value("Math.round(scrollY)");
    assert!(place.as_u64() > Some(0), "{place}");

    folder.file(
        "truck.yaml",
        &sound().replace("four LED work lamps", "six LED work lamps"),
    );
    assert_eq!(reads(&mut browser, "six LED work lamps"), Ok(()));
    still_there(&mut browser, place.as_f64());

    folder.file(
        "truck.yaml",
        "keyoff: 1\nparts: {F1: {kind: fuse, rating: 30}}\n",
    );
    assert_eq!(reads(&mut browser, "has no unit"), Ok(()));
    folder.file("truck.yaml", &sound());
    assert_eq!(reads(&mut browser, "four LED work lamps"), Ok(()));
    still_there(&mut browser, place.as_f64());
    for event in &browser.events {
        let method = event["method"].as_str().unwrap_or_default();
        assert!(
            !["Log.entryAdded", "Runtime.exceptionThrown"].contains(&method),
            "{event}"
        );
    }
    drop(served);
    assert_eq!(reads(&mut browser, "keyoff view has ended"), Ok(()));
}

/// The third drawing is chosen still, and the page stands where it stood.
fn still_there(browser: &mut Browser, place: Option<f64>) {
    let ready = "document.readyState === 'complete'";
    while browser.value(ready) != true {
        std::thread::sleep(Duration::from_millis(20));
    }
    let chosen = "document.querySelector('input[name=shown]:checked').id";
    assert_eq!(browser.value(chosen), "shown-2", "the choice");
    let now = browser.value("Math.round(scrollY)").as_f64();
    assert_eq!(now, place, "the place");
}

/// Waits until the page reads so; else gives what it reads.
fn reads(browser: &mut Browser, wanted: &str) -> Result<(), String> {
    let start = Instant::now();
    loop {
        let text = browser.text().unwrap_or_default();
        if text.contains(wanted) {
            return Ok(());
        }
        if start.elapsed() > Duration::from_secs(60) {
            return Err(text);
        }
        std::thread::sleep(Duration::from_millis(100));
    }
}
