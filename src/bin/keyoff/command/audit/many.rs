//! A fleet: files are audited beside one another and told in their order. No more than a handful of them is held at a time,
//! so that ten thousand take no more memory than a hundred.

use std::path::PathBuf;
use std::time::Duration;

use indicatif::ProgressBar;
use indicatif::ProgressDrawTarget;
use indicatif::ProgressStyle;
use keyoff::read::Nature;
use keyoff::render::fleet;
use keyoff::render::json::v1::FleetRow;
use rayon::prelude::*;

use super::Audit;
use super::find;
use super::find::Item;
use super::form::Joined;
use super::form::Piece;
use super::summary::Summaries;
use crate::command::End;
use crate::fault::Fault;
use crate::record;
use crate::record::Unusable;
use crate::terminal::Terminal;

/// Files in work at a time, for each thread.
const HANDFUL: usize = 64;
/// As much as the main thread has: the deepest record needs no more.
const STACK: usize = 8 << 20;
/// So many of the files that were passed over are named.
const NAMED: usize = 10;

/// What became of one file.
enum Done {
    /// It was audited, or told why not.
    Told {
        row: Box<FleetRow>,
        piece: Piece,
        end: End,
    },
    /// It is no record of a vehicle, and nobody said it was.
    PassedOver(PathBuf),
}

/// Audits all that was named.
pub fn run(args: &Audit, terminal: Terminal) -> Result<End, Fault> {
    let mut summaries = Summaries::create(args)?;
    let threads = args.jobs.map_or(0, std::num::NonZeroUsize::get);
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .stack_size(STACK)
        .build()
        .map_err(|error| Fault::new(format!("no threads can be had: {error}")))?;
    let bar = bar(args, terminal);
    let mut joined = Joined::new(args, terminal);
    let mut end = End::Clean;
    let mut passed_over = (0, Vec::new());
    bar.suspend(|| terminal.print(&joined.head()?))?;
    let mut items = find::find(&args.files);
    loop {
        let handful: Vec<Item> = items
            .by_ref()
            .take(HANDFUL * pool.current_num_threads())
            .collect();
        if handful.is_empty() {
            break;
        }
        let done: Vec<Result<Done, Fault>> = pool.install(|| {
            handful
                .into_par_iter()
                // One at a time: a few large records among many small ones would leave a thread without work.
                .with_max_len(1)
                .map(|item| {
                    let done = one(args, &joined, item);
                    bar.inc(1);
                    done
                })
                .collect()
        });
        let mut text = String::new();
        let mut aside = String::new();
        for done in done {
            match done? {
                Done::Told {
                    row,
                    piece,
                    end: one,
                } => {
                    end = end.max(one);
                    aside += &piece.aside;
                    summaries.add(&row)?;
                    text += &joined.add(piece, &row);
                }
                Done::PassedOver(path) => {
                    passed_over.0 += 1;
                    if passed_over.1.len() < NAMED {
                        passed_over.1.push(path.display().to_string());
                    }
                }
            }
        }
        bar.suspend(|| {
            terminal.say(&aside);
            terminal.print(&text)
        })?;
        if terminal.is_closed() {
            break;
        }
    }
    bar.finish_and_clear();
    terminal.print(&joined.foot()?)?;
    if passed_over.0 > 0 {
        let (count, names) = passed_over;
        let more = if count > names.len() { ", …" } else { "" };
        let what = if count == 1 {
            "file that is"
        } else {
            "files that are"
        };
        terminal.say(&format!(
            "passed over {count} {what} no record of a vehicle: {}{more}\n",
            names.join(", ")
        ));
    }
    for path in summaries.finish()? {
        terminal.say(&format!("wrote {}\n", path.display()));
    }
    Ok(end)
}

fn one(args: &Audit, joined: &Joined<'_>, item: Item) -> Result<Done, Fault> {
    let (path, audit) = match item {
        Ok(found) => {
            let bytes = crate::file::read(&found.path, args.input.max_size);
            if let (Ok(bytes), false) = (&bytes, found.named)
                && keyoff::read::nature(bytes) != Nature::Record
            {
                return Ok(Done::PassedOver(found.path));
            }
            let audit = bytes
                .map_err(Unusable::Unavailable)
                .and_then(|bytes| record::of_bytes(&found.path, &bytes, args.input.max_size))
                .map(|document| keyoff::audit_up_to(document, args.settings));
            (found.path, audit)
        }
        Err((path, fault)) => (path, Err(Unusable::Unavailable(fault))),
    };
    let row = row(&path, &audit);
    let piece = joined.piece(&path, &audit, &row)?;
    Ok(Done::Told {
        end: super::ended(&audit, args.fail_on),
        row: Box::new(row),
        piece,
    })
}

fn row(path: &std::path::Path, audit: &Result<keyoff::Audit, Unusable>) -> FleetRow {
    let name = path.display().to_string();
    match audit {
        Ok(audit) => fleet::audited(audit),
        Err(Unusable::Unreadable(unreadable)) => {
            fleet::unreadable(&name, &unreadable.sources, &unreadable.problems)
        }
        Err(Unusable::Unavailable(fault)) => fleet::unavailable(&name, &fault.message),
    }
}

/// Only a person who looks on sees it, and only where there is something to wait for.
fn bar(args: &Audit, terminal: Terminal) -> ProgressBar {
    if !terminal.err_is_terminal {
        return ProgressBar::hidden();
    }
    let count = find::find(&args.files).count();
    let bar = ProgressBar::with_draw_target(Some(count as u64), ProgressDrawTarget::stderr());
    let template = "{bar:30} {pos}/{len} records, {eta} left";
    bar.set_style(
        ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar()),
    );
    bar.enable_steady_tick(Duration::from_millis(200));
    bar
}
