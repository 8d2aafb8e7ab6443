//! A column for each path, a height for each piece.

use std::collections::BTreeMap;

use crate::draw::gather::Gatherer;
use crate::draw::measure;
use crate::draw::symbol::{TEXT, WORDS, marks};
use crate::draw::words;
use crate::model::{Element, PartId, TerminalId};
use crate::read::document::Kind;

use super::forest::{Forest, Path, Piece, Rail, Tail};

/// Left of a track: names of terminals.
pub const LEFT: i32 = 24;
/// From a track to its texts.
pub const BESIDE: i32 = 20;
/// Between a track's texts and the next track.
const APART: i32 = 12;
/// Widest line of words.
const LIMIT: i32 = 84;
/// Room above the paths: the rail and its name.
pub const HEAD: i32 = 64;
/// Room below: the chassis and the numbers of the tracks.
pub const FOOT: i32 = 40;
/// Between lines of text.
pub const LINE: i32 = 11;
/// A fork: down to it, and on from it.
pub const FORK: i32 = 10;
/// Between the trees of two rails.
const BETWEEN: i32 = 16;

/// Texts beside a piece: the first bold where it is a part.
pub struct Words {
    /// Lines.
    pub lines: Vec<String>,
    /// How many of the first lines are a designation.
    pub bold: usize,
    /// Numbers of marks.
    pub marks: String,
}

impl Words {
    /// Of a piece. `refers` is the room for a line that names other tracks.
    pub fn of(gatherer: &Gatherer<'_>, piece: &Piece, first: bool) -> Self {
        let vehicle = gatherer.vehicle;
        let part = match piece {
            Piece::Wire(id, _) => {
                let lines = gatherer.text(*id);
                let lines = lines.into_iter().filter(|line| !line.is_empty()).collect();
                return Self {
                    lines,
                    bold: 0,
                    marks: String::new(),
                };
            }
            Piece::Part(branch, _) => vehicle.branch(*branch).part,
            Piece::Point(part, _) => *part,
        };
        let one = vehicle.part(part);
        let name = one.name.value.clone();
        let title = words::title(one, gatherer.units);
        let coil = is_coil(gatherer, piece);
        // The rating of a relay is that of its contact; what else there is to say stands at its coil.
        let (first, title) = match one.kind {
            Kind::Relay if coil => (true, name),
            Kind::Relay => (false, title),
            _ if first => (true, title),
            _ => (false, name),
        };
        let mut lines = vec![title];
        if first {
            for note in words::notes(vehicle, part, gatherer.units) {
                lines.extend(measure::even(&note, WORDS, LIMIT, 2));
            }
            lines.truncate(4);
        } else if one.kind != Kind::Relay
            && let Piece::Part(branch, _) = piece
        {
            let name = &vehicle.branch(*branch).name;
            if !name.is_empty() {
                lines.push(name.clone());
            }
        }
        Self {
            lines,
            bold: 1,
            marks: marks(&gatherer.numbers(part)),
        }
    }

    /// Size and boldness of a line.
    pub fn style(&self, line: usize) -> (f64, bool) {
        match (self.bold, line) {
            (0, _) => (TEXT, false),
            (bold, line) if line < bold => (TEXT, true),
            _ => (WORDS, false),
        }
    }

    fn width(&self) -> i32 {
        let of = |(index, line): (usize, &String)| {
            let (size, bold) = self.style(index);
            let more = if index == 0 && !self.marks.is_empty() {
                6 + measure::width(&self.marks, TEXT, true)
            } else {
                0
            };
            more + measure::width(line, size, bold)
        };
        self.lines.iter().enumerate().map(of).max().unwrap_or(0)
    }
}

/// Whether a piece is the coil of a relay.
fn is_coil(gatherer: &Gatherer<'_>, piece: &Piece) -> bool {
    let Piece::Part(branch, _) = piece else {
        return false;
    };
    let element = &gatherer.vehicle.branch(*branch).element;
    matches!(element, Element::Coil { .. })
}

/// Which tracks a part stands on.
pub struct Numbers {
    tracks: BTreeMap<PartId, Vec<usize>>,
    coils: BTreeMap<PartId, Vec<usize>>,
    /// The first track that hangs from each rail.
    rails: BTreeMap<TerminalId, usize>,
}

impl Numbers {
    /// Tracks are numbered from the left, sheet by sheet.
    #[must_use]
    pub fn of(gatherer: &Gatherer<'_>, forest: &Forest) -> Self {
        let mut numbers = Self {
            tracks: BTreeMap::new(),
            coils: BTreeMap::new(),
            rails: BTreeMap::new(),
        };
        let mut next = 1;
        for rail in &forest.rails {
            if let Some(at) = rail.at {
                numbers.rails.entry(at).or_insert(next);
            }
            for path in &rail.paths {
                numbers.count(gatherer, path, &mut next);
            }
        }
        numbers
    }

    fn count(&mut self, gatherer: &Gatherer<'_>, path: &Path, next: &mut usize) {
        for piece in &path.pieces {
            if let Some(part) = part_of(gatherer, piece) {
                self.tracks.entry(part).or_default().push(*next);
                if is_coil(gatherer, piece) {
                    self.coils.entry(part).or_default().push(*next);
                }
            }
        }
        match &path.tail {
            Tail::Fork(_, paths) => paths
                .iter()
                .for_each(|path| self.count(gatherer, path, next)),
            _ => *next += 1,
        }
    }

    /// Whether a part stands on this track first.
    #[must_use]
    pub fn first(&self, part: PartId, track: usize) -> bool {
        self.tracks.get(&part).and_then(|all| all.first()) == Some(&track)
    }

    /// A track of a part other than this one.
    #[must_use]
    pub fn other(&self, part: PartId, track: usize) -> Option<usize> {
        let all = self.tracks.get(&part)?;
        all.iter().copied().find(|&other| other != track)
    }

    /// Other tracks of a part, in words; empty where there is none.
    #[must_use]
    pub fn others(&self, part: PartId, track: usize) -> String {
        let all = self.tracks.get(&part);
        let mut list: Vec<usize> = all.into_iter().flatten().copied().collect();
        let coils: &[usize] = self.coils.get(&part).map_or(&[], Vec::as_slice);
        let word = match coils {
            [] => "also",
            coils if coils.contains(&track) => "contact",
            coils => {
                list.retain(|other| coils.contains(other));
                "coil"
            }
        };
        list.retain(|&other| other != track);
        list.dedup();
        let more = list.len() > 4;
        list.truncate(4);
        let mut list: Vec<String> = list.iter().map(ToString::to_string).collect();
        if more {
            list.push("…".to_owned());
        }
        if list.is_empty() {
            String::new()
        } else {
            format!("{word}: {}", list.join(", "))
        }
    }

    /// The first track of a rail.
    #[must_use]
    pub fn of_rail(&self, end: TerminalId) -> Option<usize> {
        self.rails.get(&end).copied()
    }
}

/// The part that a piece belongs to.
#[must_use]
pub fn part_of(gatherer: &Gatherer<'_>, piece: &Piece) -> Option<PartId> {
    match piece {
        Piece::Wire(..) => None,
        Piece::Part(branch, _) => Some(gatherer.vehicle.branch(*branch).part),
        Piece::Point(part, _) => Some(*part),
    }
}

/// The terminal at the lower end of a piece.
#[must_use]
pub fn lower_end(gatherer: &Gatherer<'_>, piece: &Piece) -> TerminalId {
    match piece {
        Piece::Wire(id, from) => gatherer.other(*id, *from),
        Piece::Part(branch, from) => {
            let branch = gatherer.vehicle.branch(*branch);
            if branch.from == *from {
                branch.to
            } else {
                branch.from
            }
        }
        Piece::Point(_, end) => *end,
    }
}

/// Height of a piece.
#[must_use]
pub fn height(gatherer: &Gatherer<'_>, piece: &Piece, words: &Words, also: bool) -> i32 {
    let lines = LINE * (words.lines.len() as i32 + i32::from(also));
    match piece {
        Piece::Wire(..) => (lines + 12).max(20),
        Piece::Part(branch, _) => {
            let kind = gatherer
                .vehicle
                .part(gatherer.vehicle.branch(*branch).part)
                .kind;
            let symbol = match kind {
                // A higher box, with the names of its terminals clear of it.
                Kind::Isolator => 60,
                Kind::Battery | Kind::Alternator | Kind::Load => 40,
                _ => 44,
            };
            (lines + 6).max(symbol)
        }
        Piece::Point(..) => (lines + 6).max(20),
    }
}

/// Height of what stands at the end of a path.
#[must_use]
pub const fn tail_height(tail: &Tail) -> i32 {
    match tail {
        Tail::Elsewhere(_) => 30,
        Tail::Chassis(_) => 16,
        Tail::Fork(..) | Tail::Open => 8,
    }
}

/// Name of the end of a path.
#[must_use]
pub fn tail_name(gatherer: &Gatherer<'_>, tail: &Tail) -> String {
    match tail {
        Tail::Elsewhere(end) => gatherer.vehicle.terminal(*end).label.clone(),
        Tail::Chassis(Some(part)) => gatherer.vehicle.part(*part).name.value.clone(),
        _ => String::new(),
    }
}

/// Height of a path; `first` says whether a part is described in full.
#[must_use]
pub fn path_height(
    gatherer: &Gatherer<'_>,
    path: &Path,
    numbers: Option<&Numbers>,
    track: usize,
) -> i32 {
    let mut sum = 0;
    for piece in &path.pieces {
        let (words, also) = words_of(gatherer, piece, numbers, track);
        sum += height(gatherer, piece, &words, also);
    }
    match &path.tail {
        Tail::Fork(_, paths) => {
            let mut track = track;
            let mut deepest = 0;
            for path in paths {
                deepest = deepest.max(path_height(gatherer, path, numbers, track));
                track += path.leaves();
            }
            sum + 2 * FORK + deepest
        }
        tail => sum + tail_height(tail),
    }
}

/// Words of a piece, and whether a line names other tracks.
#[must_use]
pub fn words_of(
    gatherer: &Gatherer<'_>,
    piece: &Piece,
    numbers: Option<&Numbers>,
    track: usize,
) -> (Words, bool) {
    let part = part_of(gatherer, piece);
    let (first, also) = match (part, numbers) {
        (Some(part), Some(numbers)) => (
            numbers.first(part, track),
            !numbers.others(part, track).is_empty(),
        ),
        // Before tracks have numbers, as much as it could be.
        (part, _) => (true, part.is_some()),
    };
    (Words::of(gatherer, piece, first), also)
}

/// Widths of the columns of a path.
#[must_use]
pub fn widths(
    gatherer: &Gatherer<'_>,
    path: &Path,
    numbers: Option<&Numbers>,
    track: usize,
) -> Vec<i32> {
    let mut own = LEFT + BESIDE + 30;
    for piece in &path.pieces {
        let (words, _) = words_of(gatherer, piece, numbers, track);
        own = own.max(LEFT + BESIDE + words.width());
    }
    let name = tail_name(gatherer, &path.tail);
    let room = measure::width(&name, WORDS, true) + 30;
    own = own.max(LEFT + room) + APART;
    match &path.tail {
        Tail::Fork(_, paths) => {
            let mut columns = Vec::new();
            let mut track = track;
            for path in paths {
                columns.extend(widths(gatherer, path, numbers, track));
                track += path.leaves();
            }
            if let Some(first) = columns.first_mut() {
                *first = own.max(*first);
            }
            columns
        }
        _ => vec![own],
    }
}

/// A terminal of a tree that is too large for a sheet, which is to be a rail of its own.
#[must_use]
pub fn too_large(gatherer: &Gatherer<'_>, path: &Path, room: (f64, f64)) -> Option<TerminalId> {
    let wide: i32 = widths(gatherer, path, None, 0).iter().sum();
    if f64::from(wide) > room.0
        && let Some(at) = first_fork(path)
    {
        return Some(at);
    }
    let tall = path_height(gatherer, path, None, 0);
    let most = room.1 as i32 - HEAD - FOOT;
    if tall <= most {
        return None;
    }
    let mut best: Option<(i32, TerminalId)> = None;
    middle(gatherer, path, 0, tall / 2, &mut best);
    best.map(|(_, end)| end)
}

fn first_fork(path: &Path) -> Option<TerminalId> {
    match &path.tail {
        Tail::Fork(at, _) => Some(*at),
        _ => None,
    }
}

/// The terminal under a part that is nearest to a height, ahead of what uses the current.
fn middle(
    gatherer: &Gatherer<'_>,
    path: &Path,
    top: i32,
    wanted: i32,
    best: &mut Option<(i32, TerminalId)>,
) {
    let mut y = top;
    for piece in &path.pieces {
        if Path::uses(gatherer, piece) {
            return;
        }
        let (words, also) = words_of(gatherer, piece, None, 0);
        y += height(gatherer, piece, &words, also);
        if let Piece::Part(..) = piece {
            let off = (y - wanted).abs();
            if best.is_none_or(|other| off < other.0) {
                *best = Some((off, lower_end(gatherer, piece)));
            }
        }
    }
    if let Tail::Fork(_, paths) = &path.tail {
        for path in paths {
            middle(gatherer, path, y + 2 * FORK, wanted, best);
        }
    }
}

/// What a rail is called.
#[must_use]
pub fn rail_name(gatherer: &Gatherer<'_>, rail: &Rail) -> String {
    let vehicle = gatherer.vehicle;
    let Some(end) = rail.at else {
        return "no wire".to_owned();
    };
    let part = vehicle.terminal(end).part.map(|part| vehicle.part(part));
    match part {
        // A feed has one terminal only.
        Some(part) if part.kind == Kind::Feed => part.name.value.clone(),
        _ => vehicle.terminal(end).label.clone(),
    }
}

/// A tree in a band.
#[derive(Clone, Copy, Debug)]
pub struct Hung {
    /// The rail.
    pub rail: usize,
    /// The path.
    pub path: usize,
    /// Its first track.
    pub track: usize,
    /// Its left edge.
    pub x: i32,
}

/// What stands side by side.
#[derive(Clone, Debug, Default)]
pub struct Band {
    /// The trees.
    pub trees: Vec<Hung>,
    /// Width.
    pub width: i32,
    /// Height of the paths.
    pub deep: i32,
}

impl Band {
    /// Fills bands from the left; `whole` keeps what hangs from one rail together where a band can hold it.
    #[must_use]
    pub fn fill(
        gatherer: &Gatherer<'_>,
        forest: &Forest,
        numbers: &Numbers,
        room: f64,
        whole: bool,
    ) -> Vec<Self> {
        let mut bands: Vec<Self> = Vec::new();
        let mut track = 1;
        for (rail, one) in forest.rails.iter().enumerate() {
            let mut all = 0;
            let mut at = track;
            for path in &one.paths {
                all += widths(gatherer, path, Some(numbers), at)
                    .iter()
                    .sum::<i32>();
                at += path.leaves();
            }
            for (index, path) in one.paths.iter().enumerate() {
                let wide: i32 = widths(gatherer, path, Some(numbers), track).iter().sum();
                let deep = path_height(gatherer, path, Some(numbers), track);
                // The name of a rail needs room too.
                let name = measure::width(&rail_name(gatherer, one), TEXT, true);
                let first = index == 0 || bands.is_empty();
                let wide = if first {
                    wide.max(name.max(100) + 24)
                } else {
                    wide
                };
                let next = bands.last().map(|band| {
                    let other = band.trees.last().is_some_and(|tree| tree.rail != rail);
                    band.width + if other { BETWEEN } else { 0 }
                });
                let together = whole && index == 0 && f64::from(all) <= room;
                let needed = if together { wide.max(all) } else { wide };
                let x = next.filter(|x| f64::from(x + needed) <= room);
                if x.is_none() {
                    bands.push(Self::default());
                }
                if let Some(band) = bands.last_mut() {
                    let x = x.unwrap_or(0);
                    band.trees.push(Hung {
                        rail,
                        path: index,
                        track,
                        x,
                    });
                    band.width = x + wide;
                    band.deep = band.deep.max(deep);
                }
                track += path.leaves();
            }
        }
        bands
    }
}
