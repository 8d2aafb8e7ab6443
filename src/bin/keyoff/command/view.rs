//! `keyoff view`: the report in a browser on this machine, loaded anew whenever the record is saved.
//!
//! Only this machine is served, and only pages that this program made: no path leads to a file. A request has to name this
//! machine as its host, so that a page from elsewhere, whose name was turned to point here, gets nothing. The page asks
//! twice a second whether the record has changed. What is compared is the content of the record and of its libraries:
//! that holds on every disk and with editors that put a new file in the old one's place, where watching a file would not.

use std::hash::DefaultHasher;
use std::hash::Hash;
use std::hash::Hasher;
use std::net::Ipv4Addr;
use std::path::PathBuf;

use clap::Args;
use keyoff::render::html;
use keyoff::render::snippet::Look;
use tiny_http::Header;
use tiny_http::Method;
use tiny_http::Request;
use tiny_http::Response;
use tiny_http::Server;

use super::End;
use crate::args::Input;
use crate::args::Paper;
use crate::args::Units;
use crate::fault::Fault;
use crate::file;
use crate::record;
use crate::record::Unusable;
use crate::terminal::Terminal;

/// `keyoff view`
#[derive(Args, Debug)]
pub struct Live {
    /// The record
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// The port on the loopback address; any that is free where left out
    #[arg(
        long,
        value_name = "PORT",
        default_value_t = 0,
        hide_default_value = true
    )]
    pub port: u16,

    /// The paper that diagrams are laid out for
    #[arg(long, value_enum, default_value_t, value_name = "SHEET")]
    pub sheet: Paper,

    /// Units in which lengths and temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// Sent with every answer: it is for this page alone, is not kept, and is what it says it is.
const HEADERS: &[(&str, &str)] = &[
    ("Cache-Control", "no-store"),
    ("X-Content-Type-Options", "nosniff"),
    ("X-Frame-Options", "DENY"),
    ("Referrer-Policy", "no-referrer"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
];

/// Serves until it is ended from outside.
pub fn run(args: &Live, terminal: Terminal) -> Result<End, Fault> {
    if file::is_standard(&args.file) {
        return Err(Fault::new("standard input cannot be watched").help("name a file"));
    }
    // A wrong name is told at once; a file that goes away later is told on the page.
    file::read(&args.file, args.input.max_size)?;
    let server = Server::http((Ipv4Addr::LOCALHOST, args.port)).map_err(|error| {
        Fault::new(format!("port {} cannot be had: {error}", args.port))
            .help("leave --port out to take any that is free")
    })?;
    let port = server
        .server_addr()
        .to_ip()
        .map_or(args.port, |address| address.port());
    terminal.print(&format!(
        "http://127.0.0.1:{port}/ shows {} and follows it; Ctrl-C ends this\n",
        args.file.display()
    ))?;
    let mut shown = Shown::new(args);
    for request in server.incoming_requests() {
        answer(request, port, &mut shown);
    }
    Ok(End::Clean)
}

fn answer(request: Request, port: u16, shown: &mut Shown<'_>) {
    let (status, kind, text) = if !names_this_machine(&request, port) {
        (
            403,
            "text/plain",
            "this address serves only this machine\n".to_owned(),
        )
    } else if !matches!(request.method(), Method::Get | Method::Head) {
        (
            405,
            "text/plain",
            "there is only something to look at\n".to_owned(),
        )
    } else {
        match request.url() {
            "/" => (200, "text/html", shown.page().to_owned()),
            "/version" => (200, "text/plain", shown.version_now()),
            "/live.js" => (200, "text/javascript", html::LIVE_SCRIPT.to_owned()),
            _ => (
                404,
                "text/plain",
                "there is nothing here; the report is at /\n".to_owned(),
            ),
        }
    };
    let mut response = Response::from_string(text).with_status_code(status);
    let kind = format!("{kind}; charset=utf-8");
    for (name, value) in HEADERS
        .iter()
        .copied()
        .chain([("Content-Type", kind.as_str())])
    {
        if let Ok(header) = Header::from_bytes(name, value) {
            response.add_header(header);
        }
    }
    // A browser that has gone away needs no answer.
    let _ = request.respond(response);
}

/// Whether the request asks for this machine by one of its own names, and did not come from a page of another.
fn names_this_machine(request: &Request, port: u16) -> bool {
    let value = |name: &'static str| {
        let mut all = request
            .headers()
            .iter()
            .filter(|header| header.field.equiv(name));
        let first = all.next().map(|header| header.value.as_str());
        (first, all.next().is_some())
    };
    let own = |host: &str| {
        ["127.0.0.1", "localhost"]
            .iter()
            .any(|name| host.eq_ignore_ascii_case(&format!("{name}:{port}")))
    };
    let (host, twice) = value("Host");
    let (origin, _) = value("Origin");
    let from_here = origin.is_none_or(|origin| origin.strip_prefix("http://").is_some_and(own));
    host.is_some_and(own) && !twice && from_here
}

/// The page as it was last made.
struct Shown<'a> {
    args: &'a Live,
    /// Libraries that the record named when it was last read.
    libraries: Vec<String>,
    version: String,
    page: String,
}

impl<'a> Shown<'a> {
    const fn new(args: &'a Live) -> Self {
        Self {
            args,
            libraries: Vec::new(),
            version: String::new(),
            page: String::new(),
        }
    }

    /// The present page, made anew only where something changed.
    fn page(&mut self) -> &str {
        if self.version_now() != self.version {
            self.make();
        }
        &self.page
    }

    /// Stands for the content of all files that the page is made of, as they are now.
    fn version_now(&self) -> String {
        let mut version = Version::default();
        version.add(&self.record());
        for name in &self.libraries {
            version.add(&self.library(name));
        }
        version.text()
    }

    /// Makes the page, and its version of the very bytes that it was made from: what is saved meanwhile is another.
    fn make(&mut self) {
        let mut version = Version::default();
        let mut libraries = Vec::new();
        let record = self.record();
        version.add(&record);
        let document = record.map_err(Unusable::Unavailable).and_then(|bytes| {
            let mut library = |name: &str| {
                let content = self.library(name);
                version.add(&content);
                libraries.push(name.to_owned());
                content.map_err(|fault| fault.message)
            };
            record::of_bytes_with(
                &self.args.file,
                &bytes,
                self.args.input.max_size,
                &mut library,
            )
        });
        let page = match document.map(keyoff::audit) {
            Ok(audit) => {
                let options = html::Options {
                    units: self.args.units.into(),
                    paper: self.args.sheet.into(),
                };
                html::report(&audit.vehicle, &audit.solved, &audit.report, options)
            }
            Err(why) => html::trouble(
                &self.args.file.display().to_string(),
                &super::unusable(&why, Look::default()),
            ),
        };
        self.version = version.text();
        self.page = html::live(&page, &self.version);
        self.libraries = libraries;
    }

    fn record(&self) -> Result<Vec<u8>, Fault> {
        file::read(&self.args.file, self.args.input.max_size)
    }

    fn library(&self, name: &str) -> Result<Vec<u8>, Fault> {
        file::library(&self.args.file, name, self.args.input.max_size).map_err(Fault::new)
    }
}

/// A number for the content of some files.
#[derive(Default)]
struct Version(DefaultHasher);

impl Version {
    fn add(&mut self, content: &Result<Vec<u8>, Fault>) {
        match content {
            Ok(bytes) => bytes.hash(&mut self.0),
            Err(fault) => fault.message.hash(&mut self.0),
        }
    }

    fn text(&self) -> String {
        format!("{:016x}", self.0.finish())
    }
}
