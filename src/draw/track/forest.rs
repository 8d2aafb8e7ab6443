//! Paths of current as trees that hang from rails.

use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use crate::draw::flow::THROUGH_LOAD;
use crate::draw::gather::Gatherer;
use crate::draw::net::Heat;
use crate::model::vehicle::Link;
use crate::model::{BranchId, Element, PartId, TerminalId, WireId};
use crate::read::document::Kind;

/// One thing on a track, from top to bottom.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Piece {
    /// A wire, and the terminal at its upper end.
    Wire(WireId, TerminalId),
    /// A way through a part, and the terminal at its upper end.
    Part(BranchId, TerminalId),
    /// A part with one terminal only.
    Point(PartId, TerminalId),
}

/// Where a path ends.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Tail {
    /// It goes on in several, from this terminal.
    Fork(TerminalId, Vec<Path>),
    /// At the chassis, or at the ground point of this part.
    Chassis(Option<PartId>),
    /// At a terminal that is drawn elsewhere.
    Elsewhere(TerminalId),
    /// Here.
    Open,
}

/// A path.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Path {
    /// What it runs through.
    pub pieces: Vec<Piece>,
    /// Where it ends.
    pub tail: Tail,
}

impl Path {
    /// How many columns it takes.
    #[must_use]
    pub fn leaves(&self) -> usize {
        match &self.tail {
            Tail::Fork(_, paths) => paths.iter().map(Self::leaves).sum(),
            _ => 1,
        }
    }

    /// Whether a piece is what current is used in: below it stands the way home.
    #[must_use]
    pub fn uses(gatherer: &Gatherer<'_>, piece: &Piece) -> bool {
        let Piece::Part(branch, _) = piece else {
            return false;
        };
        is_sink(&gatherer.vehicle.branch(*branch).element)
    }
}

/// A rail, and what hangs from it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Rail {
    /// The terminal that it stands for; nothing for parts without a wire.
    pub at: Option<TerminalId>,
    /// When it is live by itself.
    pub heat: Heat,
    /// The paths.
    pub paths: Vec<Path>,
}

/// All rails.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Forest {
    /// In the order in which they are drawn.
    pub rails: Vec<Rail>,
}

/// From so many branches on, a terminal is a rail of its own.
const MANY: usize = 4;

type Step = Option<(TerminalId, Link)>;

struct Grower<'g> {
    gatherer: &'g Gatherer<'g>,
    /// The next terminal towards a source.
    up: Vec<Step>,
    /// The next terminal towards the chassis.
    home: Vec<Step>,
    rails: BTreeSet<TerminalId>,
    wires: Vec<bool>,
    branches: Vec<bool>,
}

impl Forest {
    /// Grows it; where a tree is too large, a terminal of it, as `too_large` gives it, becomes a rail too.
    #[must_use]
    pub fn grow(gatherer: &Gatherer<'_>, too_large: impl Fn(&Path) -> Option<TerminalId>) -> Self {
        let mut cut: BTreeSet<TerminalId> = BTreeSet::new();
        // Every round cuts each tree that is too large once; trees that cannot be cut stay as they are.
        for _ in 0..32 {
            let forest = Self::with_rails(gatherer, &cut);
            let before = cut.len();
            let paths = forest.rails.iter().flat_map(|rail| &rail.paths);
            cut.extend(paths.filter_map(&too_large));
            if cut.len() == before {
                return forest;
            }
        }
        Self::with_rails(gatherer, &cut)
    }

    fn with_rails(gatherer: &Gatherer<'_>, cut: &BTreeSet<TerminalId>) -> Self {
        let vehicle = gatherer.vehicle;
        let mut grower = Grower::new(gatherer);
        grower.rails.extend(cut);
        let mut forest = Self::default();
        let all = || (0..vehicle.terminals.len()).map(|index| TerminalId(index as u32));
        let tops: Vec<TerminalId> = all().filter(|end| grower.rails.contains(end)).collect();
        // What a rail feeds comes after it: by distance from the source, then as declared.
        let mut ordered = tops;
        ordered.sort_by_key(|end| (gatherer.flow.depth(*end), *end));
        for end in ordered {
            let paths = grower.paths_from(end);
            forest.add(gatherer, Some(end), paths);
        }
        // Wires that close a ring, or that nothing feeds.
        for id in vehicle.wire_ids() {
            if !grower.wires[id.index()] {
                let (start, path) = grower.rest(id);
                forest.add(gatherer, Some(start), vec![path]);
            }
        }
        // Parts without a wire.
        let bare: Vec<Path> = vehicle
            .part_ids()
            .filter_map(|id| grower.bare(id))
            .collect();
        forest.add(gatherer, None, bare);
        let drawn = forest.parts(gatherer);
        let left: Vec<Path> = vehicle
            .part_ids()
            .filter(|id| !drawn.contains(id))
            .filter_map(|id| {
                let end = *vehicle.part(id).terminals.first()?;
                Some(Path {
                    pieces: vec![Piece::Point(id, end)],
                    tail: Tail::Open,
                })
            })
            .collect();
        forest.add(gatherer, None, left);
        forest
    }

    /// Parts that are drawn somewhere.
    fn parts(&self, gatherer: &Gatherer<'_>) -> BTreeSet<PartId> {
        let vehicle = gatherer.vehicle;
        let single = |end: TerminalId| {
            let part = vehicle.terminal(end).part?;
            (vehicle.part(part).terminals.len() == 1).then_some(part)
        };
        let mut parts: BTreeSet<PartId> = BTreeSet::new();
        parts.extend(self.rails.iter().filter_map(|rail| single(rail.at?)));
        let mut waiting: Vec<&Path> = self.rails.iter().flat_map(|rail| &rail.paths).collect();
        while let Some(path) = waiting.pop() {
            for piece in &path.pieces {
                match piece {
                    Piece::Wire(..) => {}
                    Piece::Part(branch, _) => {
                        parts.insert(vehicle.branch(*branch).part);
                    }
                    Piece::Point(part, _) => {
                        parts.insert(*part);
                    }
                }
            }
            match &path.tail {
                Tail::Fork(_, paths) => waiting.extend(paths),
                Tail::Chassis(part) => parts.extend(part),
                Tail::Elsewhere(end) => {
                    let ground = |part: &PartId| vehicle.part(*part).kind == Kind::Ground;
                    parts.extend(single(*end).filter(ground));
                }
                Tail::Open => {}
            }
        }
        parts
    }

    fn add(&mut self, gatherer: &Gatherer<'_>, at: Option<TerminalId>, paths: Vec<Path>) {
        if paths.is_empty() {
            return;
        }
        match self.rails.iter_mut().find(|rail| rail.at == at) {
            Some(rail) => rail.paths.extend(paths),
            None => self.rails.push(Rail {
                at,
                heat: at.map_or(Heat::Unknown, |end| gatherer.heat[end.index()]),
                paths,
            }),
        }
    }
}

const fn is_sink(element: &Element) -> bool {
    matches!(
        element,
        Element::Load(_)
            | Element::Coil { .. }
            | Element::Cell { .. }
            | Element::Alternator { .. }
            | Element::Charger { .. }
    )
}

impl<'g> Grower<'g> {
    fn new(gatherer: &'g Gatherer<'g>) -> Self {
        let vehicle = gatherer.vehicle;
        let mut grower = Self {
            gatherer,
            up: vec![None; vehicle.terminals.len()],
            home: vec![None; vehicle.terminals.len()],
            rails: BTreeSet::new(),
            wires: vec![false; vehicle.wires.len()],
            branches: vec![false; vehicle.branches.len()],
        };
        grower.find_up();
        grower.find_home();
        let mut fed = vec![0; vehicle.terminals.len()];
        for (index, step) in grower.up.iter().enumerate() {
            match step {
                Some((from, _)) => fed[from.index()] += 1,
                None if grower.supplied(TerminalId(index as u32)) => {
                    grower.rails.insert(TerminalId(index as u32));
                }
                None => {}
            }
        }
        for (index, count) in fed.into_iter().enumerate() {
            if count >= MANY {
                grower.rails.insert(TerminalId(index as u32));
            }
        }
        grower
    }

    fn supplied(&self, end: TerminalId) -> bool {
        end != TerminalId::CHASSIS && self.gatherer.flow.depth(end) < THROUGH_LOAD
    }

    /// Links of a terminal in the order of the record, with their other ends.
    fn links(&self, end: TerminalId) -> Vec<(Link, TerminalId)> {
        let node = end.node();
        let mut links: Vec<(Link, TerminalId)> = self
            .gatherer
            .vehicle
            .graph
            .edges(node)
            .map(|edge| {
                let other = edge.target();
                (*edge.weight(), TerminalId(other.index() as u32))
            })
            .collect();
        links.sort_unstable();
        links
    }

    /// Whether current passes a link without being used.
    fn passes(&self, link: Link) -> bool {
        match link {
            Link::Wire(_) => true,
            Link::Branch(id) => !is_sink(&self.gatherer.vehicle.branch(id).element),
        }
    }

    fn find_up(&mut self) {
        let vehicle = self.gatherer.vehicle;
        for (index, terminal) in vehicle.terminals.iter().enumerate() {
            let end = TerminalId(index as u32);
            if !self.supplied(end) {
                continue;
            }
            let depth = self.gatherer.flow.depth(end);
            let kind = terminal.part.map(|part| vehicle.part(part).kind);
            // An alternator or charger hangs from the battery that it is wired to.
            let charges = matches!(kind, Some(Kind::Alternator | Kind::Charger));
            let found = self.links(end).into_iter().find(|&(link, other)| {
                let from = self.gatherer.flow.depth(other);
                let of = vehicle
                    .terminal(other)
                    .part
                    .map(|part| vehicle.part(part).kind);
                self.supplied(other)
                    && self.passes(link)
                    && (from + 1 == depth
                        || charges
                            && matches!(link, Link::Wire(_))
                            && !matches!(of, Some(Kind::Alternator | Kind::Charger))
                            && self.up[other.index()].is_none_or(|(next, _)| next != end))
            });
            self.up[index] = found.map(|(link, other)| (other, link));
        }
        self.open_rings();
    }

    /// A terminal whose way up comes back to itself is a root.
    fn open_rings(&mut self) {
        for index in 0..self.up.len() {
            let mut at = index;
            for _ in 0..self.up.len() {
                match self.up[at] {
                    Some((next, _)) if next.index() == index => {
                        self.up[index] = None;
                        break;
                    }
                    Some((next, _)) => at = next.index(),
                    None => break,
                }
            }
        }
    }

    fn find_home(&mut self) {
        let mut seen = vec![false; self.home.len()];
        seen[TerminalId::CHASSIS.index()] = true;
        let mut waiting = std::collections::VecDeque::from([TerminalId::CHASSIS]);
        while let Some(at) = waiting.pop_front() {
            for (link, other) in self.links(at) {
                if !seen[other.index()] && !self.supplied(other) && self.passes(link) {
                    seen[other.index()] = true;
                    self.home[other.index()] = Some((at, link));
                    waiting.push_back(other);
                }
            }
        }
    }

    /// What hangs from a terminal.
    fn paths_from(&mut self, end: TerminalId) -> Vec<Path> {
        let mut paths = Vec::new();
        for (link, other) in self.links(end) {
            if self.up[other.index()] == Some((end, link)) {
                if self.unused(other) {
                    continue;
                }
                if let Some(piece) = self.take(link, end) {
                    paths.push(self.go_down(piece, other));
                }
            } else if let Link::Branch(id) = link
                && self.has_terminals(id)
                && is_sink(&self.gatherer.vehicle.branch(id).element)
                && let Some(piece) = self.take(link, end)
            {
                paths.push(self.go_home(vec![piece], other));
            }
        }
        paths
    }

    /// Whether something that uses or gives current has its return here.
    fn uses(&self, end: TerminalId) -> bool {
        self.links(end).iter().any(|(link, _)| match link {
            Link::Branch(id) => self.has_terminals(*id) && !self.passes(*link),
            Link::Wire(_) => false,
        })
    }

    /// What stands for the vehicle's own equipment has no terminal to draw.
    fn has_terminals(&self, id: BranchId) -> bool {
        let vehicle = self.gatherer.vehicle;
        !vehicle.part(vehicle.branch(id).part).terminals.is_empty()
    }

    /// A break contact that nothing lands on is left out, as most relays are drawn.
    fn unused(&self, end: TerminalId) -> bool {
        let terminal = self.gatherer.vehicle.terminal(end);
        terminal.name == "87a" && self.gatherer.landed[end.index()].is_empty()
    }

    /// Takes a link, where it has not been drawn.
    fn take(&mut self, link: Link, from: TerminalId) -> Option<Piece> {
        match link {
            Link::Wire(id) => (!std::mem::replace(&mut self.wires[id.index()], true))
                .then_some(Piece::Wire(id, from)),
            Link::Branch(id) => (!std::mem::replace(&mut self.branches[id.index()], true))
                .then_some(Piece::Part(id, from)),
        }
    }

    /// A part with one terminal, on the way.
    fn point(&self, end: TerminalId) -> Option<Piece> {
        let part = self.gatherer.vehicle.terminal(end).part?;
        let kind = self.gatherer.vehicle.part(part).kind;
        matches!(kind, Kind::Splice | Kind::Stud | Kind::Busbar | Kind::Stub)
            .then_some(Piece::Point(part, end))
    }

    /// Down from a piece that ends at `end`.
    fn go_down(&mut self, first: Piece, end: TerminalId) -> Path {
        let mut pieces = vec![first];
        if self.rails.contains(&end) {
            let tail = Tail::Elsewhere(end);
            return Path { pieces, tail };
        }
        pieces.extend(self.point(end));
        let mut paths = self.paths_from(end);
        if paths.len() > 1 {
            let tail = Tail::Fork(end, paths);
            return Path { pieces, tail };
        }
        match paths.pop() {
            Some(path) => {
                pieces.extend(path.pieces);
                let tail = path.tail;
                Path { pieces, tail }
            }
            // The return of a battery that hangs on another is drawn with that battery.
            None if self.uses(end) => Path {
                pieces,
                tail: Tail::Elsewhere(end),
            },
            None => Path {
                pieces,
                tail: Tail::Open,
            },
        }
    }

    /// The rail that feeds a terminal; the terminal itself where none does.
    fn rail_above(&self, end: TerminalId) -> TerminalId {
        let mut at = end;
        for _ in 0..self.up.len() {
            if self.rails.contains(&at) {
                return at;
            }
            match self.up[at.index()] {
                Some((next, _)) => at = next,
                None => break,
            }
        }
        end
    }

    /// The way home from the lower end of what uses current.
    fn go_home(&mut self, mut pieces: Vec<Piece>, end: TerminalId) -> Path {
        let mut at = end;
        loop {
            if at == TerminalId::CHASSIS {
                let tail = Tail::Chassis(None);
                return Path { pieces, tail };
            }
            let vehicle = self.gatherer.vehicle;
            let part = vehicle.terminal(at).part;
            let kind = part.map(|part| vehicle.part(part).kind);
            if kind == Some(Kind::Ground) {
                let tail = Tail::Chassis(part);
                return Path { pieces, tail };
            }
            // Where several returns meet, each names the point, which has a track of its own.
            let shared = matches!(kind, Some(Kind::Splice | Kind::Stud | Kind::Busbar))
                || self.gatherer.landed[at.index()].len() > 2
                || self.uses(at);
            if shared && at != end || self.supplied(at) {
                let tail = Tail::Elsewhere(self.rail_above(at));
                return Path { pieces, tail };
            }
            let Some((next, link)) = self.home[at.index()] else {
                let tail = Tail::Open;
                return Path { pieces, tail };
            };
            let Some(piece) = self.take(link, at) else {
                let tail = Tail::Elsewhere(at);
                return Path { pieces, tail };
            };
            pieces.push(piece);
            at = next;
        }
    }

    /// A wire that belongs to no tree, from the rail that it starts at.
    fn rest(&mut self, id: WireId) -> (TerminalId, Path) {
        let wire = self.gatherer.vehicle.wire(id);
        let (from, to) = (wire.from, wire.to);
        let link = Link::Wire(id);
        let goes_home = |a: TerminalId, b: TerminalId| self.home[a.index()] == Some((b, link));
        let (start, end) = if goes_home(from, to) {
            (from, to)
        } else if goes_home(to, from)
            || from == TerminalId::CHASSIS
            || self.gatherer.flow.depth(to) < self.gatherer.flow.depth(from)
        {
            (to, from)
        } else {
            (from, to)
        };
        self.wires[id.index()] = true;
        let piece = Piece::Wire(id, start);
        let path = if goes_home(start, end) || end == TerminalId::CHASSIS {
            self.go_home(vec![piece], end)
        } else {
            let tail = Tail::Elsewhere(end);
            let pieces = vec![piece];
            Path { pieces, tail }
        };
        (start, path)
    }

    /// A part of which nothing was drawn.
    fn bare(&mut self, id: PartId) -> Option<Path> {
        let part = self.gatherer.vehicle.part(id);
        let drawn = part.branches.iter().any(|one| self.branches[one.index()]);
        let wired = part
            .terminals
            .iter()
            .any(|end| !self.gatherer.landed[end.index()].is_empty());
        let first = *part.terminals.first()?;
        // A feed is drawn as its rail.
        if part.kind == Kind::Feed && wired {
            return None;
        }
        let piece = match part.branches.first() {
            Some(_) if drawn => return None,
            Some(&branch) => Piece::Part(branch, first),
            None if wired => return None,
            None => Piece::Point(id, first),
        };
        let ground = part.kind == Kind::Ground;
        (!(wired && ground)).then(|| Path {
            pieces: vec![piece],
            tail: Tail::Open,
        })
    }
}
