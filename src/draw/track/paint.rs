//! Symbols, wires and texts of tracks.

use crate::draw::compose::Block;
use crate::draw::drawing::{About, Anchor, BODY, Colour, Frame, Ink, Item, RunMark, TagMark};
use crate::draw::flow::THROUGH_LOAD;
use crate::draw::gather::Gatherer;
use crate::draw::measure;
use crate::draw::symbol::pen::Pen;
use crate::draw::symbol::{PIN, TEXT, WORDS, lead};
use crate::model::{PartId, TerminalId};
use crate::read::document::Kind;

use super::forest::{Forest, Path, Piece, Tail};
use super::lay::{
    BESIDE, Band, FOOT, FORK, HEAD, LEFT, LINE, Numbers, Words, height, lower_end, part_of,
    path_height, tail_height, tail_name, widths, words_of,
};

pub(super) struct Painter<'p> {
    pub(super) gatherer: &'p Gatherer<'p>,
    pub(super) numbers: &'p Numbers,
    pub(super) block: Block,
    /// Where the paths end.
    pub(super) bottom: i32,
    /// Number of the net that is being drawn.
    pub(super) net: usize,
    /// Tracks and where they stand.
    pub(super) tracks: Vec<(usize, i32)>,
    /// Tracks that end at the chassis.
    pub(super) grounded: Vec<i32>,
}

/// Paints a band.
#[must_use]
pub fn paint(gatherer: &Gatherer<'_>, forest: &Forest, band: &Band, numbers: &Numbers) -> Block {
    let mut painter = Painter {
        gatherer,
        numbers,
        block: Block {
            width: band.width,
            height: HEAD + band.deep + FOOT,
            ..Block::default()
        },
        bottom: HEAD + band.deep,
        net: 0,
        tracks: Vec::new(),
        grounded: Vec::new(),
    };
    let mut from = 0;
    while from < band.trees.len() {
        let rail = band.trees[from].rail;
        let to = band.trees[from..]
            .iter()
            .position(|tree| tree.rail != rail)
            .map_or(band.trees.len(), |count| from + count);
        let trees = &band.trees[from..to];
        let mut xs: Vec<i32> = Vec::new();
        for tree in trees {
            let path = &forest.rails[rail].paths[tree.path];
            let columns = columns(gatherer, path, numbers, tree.track, tree.x);
            xs.extend(columns.first());
            painter.path(path, &columns, tree.track, HEAD);
        }
        let continued = trees.first().is_some_and(|tree| tree.path > 0);
        painter.rail(&forest.rails[rail], &xs, continued);
        painter.net += 1;
        from = to;
    }
    painter.chassis();
    painter.block
}

/// Where the tracks of a path stand.
fn columns(
    gatherer: &Gatherer<'_>,
    path: &Path,
    numbers: &Numbers,
    track: usize,
    left: i32,
) -> Vec<i32> {
    let mut x = left + LEFT;
    widths(gatherer, path, Some(numbers), track)
        .into_iter()
        .map(|width| {
            let at = x;
            x += width;
            at
        })
        .collect()
}

pub(super) fn real(x: i32, y: i32) -> (f64, f64) {
    (f64::from(x), f64::from(y))
}

impl Painter<'_> {
    pub(super) fn put(&mut self, pen: Pen, about: &About) {
        self.block
            .items
            .extend(pen.shapes.into_iter().map(|shape| Item {
                about: about.clone(),
                shape,
            }));
    }

    pub(super) fn label(&self, end: TerminalId) -> String {
        self.gatherer.vehicle.terminal(end).label.clone()
    }

    pub(super) fn supplied(&self, end: TerminalId) -> bool {
        self.gatherer.flow.depth(end) < THROUGH_LOAD
    }

    pub(super) fn part_name(&self, part: PartId) -> String {
        self.gatherer.vehicle.part(part).name.value.clone()
    }

    /// A path from `top` down, its tracks at `xs`.
    fn path(&mut self, path: &Path, xs: &[i32], track: usize, top: i32) {
        let Some(&x) = xs.first() else { return };
        let forks = matches!(path.tail, Tail::Fork(..));
        let own = path_height(self.gatherer, path, Some(self.numbers), track);
        // What uses the current stands at the bottom, where its way home is.
        let sink = path
            .pieces
            .iter()
            .position(|piece| Path::uses(self.gatherer, piece))
            .filter(|_| !forks);
        let slack = sink.map_or(0, |_| (self.bottom - top - own).max(0));
        let mut y = top;
        for (index, piece) in path.pieces.iter().enumerate() {
            let (words, also) = words_of(self.gatherer, piece, Some(self.numbers), track);
            let mut tall = height(self.gatherer, piece, &words, also);
            if sink == Some(index + 1) {
                tall += slack;
            } else if sink == Some(index) && index == 0 {
                let mut pen = Pen::default();
                pen.lead(real(x, y), real(x, y + slack));
                self.put(pen, &About::Shared);
                y += slack;
            }
            match piece {
                Piece::Wire(..) => self.wire(piece, &words, x, y, tall),
                _ => self.part(piece, &words, track, x, y, tall),
            }
            y += tall;
        }
        match &path.tail {
            Tail::Fork(at, paths) => self.fork(*at, paths, xs, track, y),
            tail => self.tail(tail, x, y, track),
        }
    }

    fn fork(&mut self, at: TerminalId, paths: &[Path], xs: &[i32], track: usize, y: i32) {
        let level = y + FORK;
        let label = self.label(at);
        let mut from = 0;
        let mut starts = Vec::new();
        for path in paths {
            starts.push((from, path));
            from += path.leaves();
        }
        let last = starts.last().map_or(0, |one| xs[one.0]);
        let mut pen = Pen::default();
        pen.lead(real(xs[0], y), real(xs[0], level));
        pen.lead(real(xs[0], level), real(last, level));
        for &(from, _) in &starts {
            let x = xs[from];
            pen.lead(real(x, level), real(x, level + FORK));
            if x < last {
                pen.dot(real(x, level), 2.6);
                self.block.plan.dots.push(real(x, level));
            }
            let point = real(x, level + FORK);
            self.block.plan.terminals.push((label.clone(), point));
        }
        self.put(pen, &About::Shared);
        for (from, path) in starts {
            let more = from + path.leaves();
            self.path(path, &xs[from..more], track + from, level + FORK);
        }
    }

    fn tail(&mut self, tail: &Tail, x: i32, y: i32, track: usize) {
        self.tracks.push((track, x));
        let name = tail_name(self.gatherer, tail);
        let mut pen = Pen::default();
        match tail {
            Tail::Chassis(part) => {
                pen.lead(real(x, y), real(x, self.bottom));
                self.grounded.push(x);
                pen.text(
                    real(x + 6, self.bottom - 4),
                    &name,
                    WORDS,
                    true,
                    Anchor::Start,
                );
                if let Some(part) = *part {
                    self.name_once(part, x, self.bottom - 14);
                }
            }
            Tail::Elsewhere(end) => {
                let own = self.gatherer.vehicle.terminal(*end).part;
                let drawn = self.numbers.of_rail(*end);
                let drawn = drawn.or_else(|| self.numbers.other(own?, track));
                let stands = match drawn {
                    Some(track) => format!("{name} / {track}"),
                    None => name,
                };
                let width = measure::width(&stands, WORDS, true) + 8;
                pen.lead(real(x, y), real(x, y + 6));
                let left = real(x - 10, y + 6);
                pen.frame(left, f64::from(width), 14.0, BODY, Some(Colour::WHITE));
                pen.text(real(x - 6, y + 16), &stands, WORDS, true, Anchor::Start);
                self.block.plan.tags.push(TagMark {
                    wire: String::new(),
                    text: stands.clone(),
                    heat: None,
                    frame: Frame {
                        x: left.0,
                        y: left.1,
                        width: f64::from(width),
                        height: 14.0,
                    },
                });
                let part = self.gatherer.vehicle.terminal(*end).part;
                let kind = part.map(|part| self.gatherer.vehicle.part(part).kind);
                if let (Some(part), Some(Kind::Ground)) = (part, kind) {
                    self.name_once(part, x, y);
                }
            }
            Tail::Open => {
                pen.lead(real(x, y), real(x, y + tail_height(tail) - 4));
            }
            Tail::Fork(..) => {}
        }
        self.put(pen, &About::Shared);
    }

    /// A part that is drawn as a name only.
    pub(super) fn name_once(&mut self, part: PartId, x: i32, y: i32) {
        let name = self.part_name(part);
        if !self.block.plan.parts.iter().any(|one| one.0 == name) {
            self.block.plan.parts.push((
                name,
                Frame {
                    x: f64::from(x),
                    y: f64::from(y),
                    width: 0.0,
                    height: 0.0,
                },
            ));
        }
    }

    fn wire(&mut self, piece: &Piece, text: &Words, x: i32, y: i32, tall: i32) {
        let Piece::Wire(id, from) = piece else { return };
        let paint = self.gatherer.paint(*id);
        let name = self.gatherer.vehicle.wire(*id).id.clone();
        let about = About::Wire(name.clone());
        let mut pen = Pen::default();
        let points = [real(x, y), real(x, y + tall)];
        if paint.marked {
            let ink = Ink {
                width: paint.width + 6.0,
                ..Ink::solid(1.0).coloured(Colour(255, 196, 196))
            };
            pen.line(&points, ink);
        }
        lead::paint(&mut pen, &points, &paint);
        self.put(pen, &about);
        let ends = [
            self.label(*from),
            self.label(lower_end(self.gatherer, piece)),
        ];
        for (end, at) in ends.iter().zip(points) {
            self.block.plan.terminals.push((end.clone(), at));
        }
        self.block.plan.runs.push(RunMark {
            wire: name.clone(),
            net: self.net,
            points: points.to_vec(),
            ends,
        });
        let colour = if paint.marked {
            Colour::MARK
        } else {
            Colour::BLACK
        };
        // Beside the upper end of the wire: the lower is drawn out to where its load stands.
        let first = y + 6;
        self.texts(text, "", x + 8, first, &about, colour);
        if !text.lines.is_empty() {
            let widest = text
                .lines
                .iter()
                .map(|line| measure::width(line, TEXT, false));
            self.block.plan.labels.push((
                name,
                Frame {
                    x: f64::from(x + 8),
                    y: f64::from(first),
                    width: f64::from(widest.max().unwrap_or(0)),
                    height: f64::from(LINE * text.lines.len() as i32),
                },
            ));
        }
    }

    fn texts(&mut self, text: &Words, also: &str, x: i32, top: i32, about: &About, colour: Colour) {
        let mut pen = Pen::default();
        for (index, line) in text.lines.iter().enumerate() {
            let (size, bold) = text.style(index);
            let at = real(x, top + 9 + LINE * index as i32);
            pen.write(at, line, size, bold, Anchor::Start, colour);
            if index == 0 && !text.marks.is_empty() {
                let after = x + measure::width(line, size, bold) + 6;
                pen.write(
                    (f64::from(after), at.1),
                    &text.marks,
                    TEXT,
                    true,
                    Anchor::Start,
                    Colour::MARK,
                );
            }
        }
        let at = real(x, top + 9 + LINE * text.lines.len() as i32);
        pen.write(at, also, WORDS, false, Anchor::Start, Colour::GREY);
        self.put(pen, about);
    }

    fn part(&mut self, piece: &Piece, text: &Words, track: usize, x: i32, y: i32, tall: i32) {
        let Some(part) = part_of(self.gatherer, piece) else {
            return;
        };
        let name = self.part_name(part);
        let about = About::Part(name.clone());
        let middle = y + tall / 2;
        let mut pen = Pen::default();
        let mut names = [String::new(), String::new()];
        match piece {
            Piece::Point(..) => {
                pen.lead(real(x, y), real(x, y + tall));
                match self.gatherer.vehicle.part(part).kind {
                    Kind::Stub => {
                        pen.frame(real(x - 5, middle), 10.0, 8.0, BODY, Some(Colour::WHITE))
                    }
                    _ => pen.dot(real(x, middle), 3.4),
                }
            }
            Piece::Part(branch, from) => {
                let vehicle = self.gatherer.vehicle;
                let half = self.symbol(&mut pen, *branch, part, real(x, middle));
                pen.lead(real(x, y), (f64::from(x), f64::from(middle) - half));
                pen.lead((f64::from(x), f64::from(middle) + half), real(x, y + tall));
                let ends = [*from, lower_end(self.gatherer, piece)];
                for (index, (end, at)) in ends.iter().zip([y, y + tall]).enumerate() {
                    let terminal = vehicle.terminal(*end);
                    self.block
                        .plan
                        .terminals
                        .push((terminal.label.clone(), real(x, at)));
                    let plain = matches!(terminal.name.as_str(), "in" | "out" | "+" | "-" | "");
                    if !plain && *end != TerminalId::CHASSIS {
                        names[index].clone_from(&terminal.name);
                    }
                }
            }
            Piece::Wire(..) => {}
        }
        for (name, y) in names.iter().zip([y + 8, y + tall - 3]) {
            pen.text(real(x - 4, y), name, PIN, false, Anchor::End);
        }
        self.put(pen, &about);
        let also = self.numbers.others(part, track);
        let lines = LINE * (text.lines.len() as i32 + i32::from(!also.is_empty()));
        let top = middle - lines / 2;
        self.texts(text, &also, x + BESIDE, top, &about, Colour::BLACK);
        let widest = text.lines.iter().enumerate().map(|(index, line)| {
            let (size, bold) = text.style(index);
            measure::width(line, size, bold)
        });
        let left = f64::from(x - LEFT + 4);
        self.block.plan.parts.push((
            name,
            Frame {
                x: left,
                y: f64::from(y),
                width: f64::from(x + BESIDE + widest.max().unwrap_or(0)) - left,
                height: f64::from(tall),
            },
        ));
    }
}
