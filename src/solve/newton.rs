//! The nonlinear network with all positions given.
//!
//! Loads first hang on nothing: that is full voltage. Then they are put in by the tangents of their laws. A current that
//! rises as the voltage falls (constant power) is convex in the voltage, so that from above Newton's steps fall
//! monotonically on the highest solution, as long as each load stays on its own side of the voltage where it fades; if one
//! would cross it, the steps begun there are not counted, and chords are used instead: a chord to nothing is at least as
//! steep as any other, so that it never steps past the highest solution either, only slower. Sources and diodes are
//! straight pieces; for each set of straight loads the pieces are flipped until each agrees with its voltage, at last one
//! by one in a fixed order, which ends on any passive network.

use super::device::{Draw, Fit, Line, Piecewise};
use super::linear::Numbers;
use super::network::Network;
use super::solution::Way;

/// Voltages that change by less than this, in volt, have arrived; the last correction is quadratic beyond it.
const ARRIVED: f64 = 1e-8;
/// Share of a converter's current, and ampere, that make no difference.
const SAME_GIVEN: f64 = 1e-6;
/// Steps of one run of tangents.
const TANGENTS: usize = 40;
/// Rounds of flipping all pieces at once, then one by one.
const FLIPS: (usize, usize) = (12, 400);
/// Steps of one run of chords, and by how much each further run must come closer.
const CHORDS: usize = 400;

/// Working store of a solution, reused.
#[derive(Default)]
pub(super) struct Newton {
    /// Conductances of what is straight in this state, by slot.
    pub straight: Vec<f64>,
    pub draws: Vec<Draw>,
    pub pieces: Vec<Piecewise>,
    pub ways: Vec<Way>,
    /// Of each straight element in this state, in siemens; nothing for those that are open or not straight.
    pub conductances: Vec<f64>,
    /// Of each element, positive from its `from` to its `to`, in ampere.
    pub amps: Vec<f64>,
    /// Of each node, in volt, and what is too small to be added to it.
    pub volts: Vec<f64>,
    pub rest: Vec<f64>,
    numbers: Numbers,
    kept: Vec<f64>,
    kept_ways: Vec<Way>,
    /// What each converter is taken to give, in ampere.
    given: Vec<f64>,
    lines: Vec<Line>,
    piece_lines: Vec<Line>,
}

/// How one linear solution went.
struct Step {
    change: f64,
    crossed: bool,
    passive: bool,
    agreed: bool,
}

impl Newton {
    /// Solves for all voltages; gives whether it arrived. [`Newton::correct`] adds the currents.
    pub(super) fn solve(&mut self, network: &Network<'_>) -> bool {
        let nodes = network.vehicle.terminals.len().max(1);
        network.elimination.fit(&mut self.numbers);
        self.volts.clear();
        self.volts.resize(nodes, 0.0);
        self.rest.clear();
        self.rest.resize(nodes, 0.0);
        self.ways.clear();
        self.ways.extend(self.pieces.iter().map(Piecewise::first));
        self.given.clear();
        self.given.resize(network.converters.len(), 0.0);
        self.amps.clear();
        self.amps.resize(network.ends.len(), 0.0);
        self.lines.resize(self.draws.len(), Line::OPEN);
        self.piece_lines.resize(self.pieces.len(), Line::OPEN);
        self.step(network, Fit::Nothing);
        let mut near = 1e-2;
        // Each step against chords flips so many pieces at least. Where that does not end, the voltages are so large that
        // they have no digits left for the pieces, and going on would only take time.
        let mut patience = 2 + self.pieces.len() / FLIPS.1;
        for _ in 0..6 {
            if self.tangents(network) {
                self.complete(network);
                return true;
            }
            let arrived = self.chords(network, near, &mut patience);
            near *= 1e-2;
            if arrived && near < ARRIVED {
                // Chords alone came all the way: at the edge of what the supply can give.
                self.complete(network);
                return true;
            }
            if patience == 0 {
                break;
            }
        }
        self.complete(network);
        false
    }

    /// The voltages that the steps left out.
    fn complete(&mut self, network: &Network<'_>) {
        network.elimination.complete(&self.numbers, &mut self.volts);
    }

    /// Newton's steps; the start is kept where they do not serve.
    fn tangents(&mut self, network: &Network<'_>) -> bool {
        self.kept.clone_from(&self.volts);
        self.kept_ways.clone_from(&self.ways);
        for _ in 0..TANGENTS {
            let step = self.step(network, Fit::Tangent);
            if step.crossed || !step.passive || !step.agreed {
                break;
            }
            if step.change < ARRIVED {
                return true;
            }
        }
        self.volts.clone_from(&self.kept);
        self.ways.clone_from(&self.kept_ways);
        false
    }

    /// Chords until a step is smaller than `near`; steps in which the pieces do not agree use up `patience`.
    fn chords(&mut self, network: &Network<'_>, near: f64, patience: &mut usize) -> bool {
        for _ in 0..CHORDS {
            let step = self.step(network, Fit::Chord);
            if step.agreed && step.change < near {
                return true;
            }
            if !step.agreed {
                *patience = patience.saturating_sub(1);
            }
            if *patience == 0 {
                return false;
            }
        }
        false
    }

    /// One step: loads straight at the present voltages, pieces flipped until they agree.
    fn step(&mut self, network: &Network<'_>, fit: Fit) -> Step {
        self.convert(network);
        for (site, (line, draw)) in network
            .loads
            .iter()
            .zip(self.lines.iter_mut().zip(&self.draws))
        {
            *line = draw.line(across(&self.volts, network, site.element), fit);
        }
        let mut passive = true;
        let mut agreed = false;
        // Against tangents that fall, flips may run in a circle; against chords they end.
        let rounds = match fit {
            Fit::Tangent => FLIPS.0,
            Fit::Nothing | Fit::Chord => FLIPS.0 + FLIPS.1,
        };
        for round in 0..rounds {
            self.stamp(network);
            passive = network.elimination.solve(&mut self.numbers);
            let alone = round >= FLIPS.0;
            let mut flipped = false;
            for (at, site) in network.pieces.iter().enumerate() {
                let (from, to) = network.ends[site.element as usize];
                let volts = self.numbers.volts[from as usize] - self.numbers.volts[to as usize];
                let next = self.pieces[at].next(self.ways[at], volts);
                if next != self.ways[at] {
                    self.ways[at] = next;
                    flipped = true;
                    if alone {
                        break;
                    }
                }
            }
            if !flipped {
                agreed = true;
                break;
            }
        }
        // Between the nodes asked for, the others move by no more.
        let mut change: f64 = 0.0;
        for node in network.elimination.asked() {
            change = change.max((self.numbers.volts[node] - self.volts[node]).abs());
        }
        let crossed = fit == Fit::Tangent
            && network.loads.iter().zip(&self.draws).any(|(site, draw)| {
                draw.faded(across(&self.volts, network, site.element))
                    != draw.faded(across(&self.numbers.volts, network, site.element))
            });
        std::mem::swap(&mut self.volts, &mut self.numbers.volts);
        if !change.is_finite() {
            change = f64::INFINITY;
        }
        Step {
            change,
            crossed,
            passive,
            agreed,
        }
    }

    /// What converters take for what they give.
    fn convert(&mut self, network: &Network<'_>) {
        for (converter, kept) in network.converters.iter().zip(&mut self.given) {
            let source = converter.source as usize;
            let site = &network.pieces[source];
            let on = matches!(self.pieces[source], Piecewise::Source { on: true, .. });
            let given = if on {
                let volts = across(&self.volts, network, site.element);
                let line = self.pieces[source].line(self.ways[source], volts);
                line.at(volts).max(0.0)
            } else {
                0.0
            };
            // A held voltage has only so many digits: smaller changes of its current are none.
            if (given - *kept).abs() > SAME_GIVEN * (1.0 + *kept) {
                *kept = given;
            }
            let held = -across(&self.volts, network, site.element);
            let watts = *kept * held.max(0.0) / converter.efficiency;
            let standby = if on { converter.standby } else { 0.0 };
            self.draws[converter.input as usize] = Draw::steady(watts, standby, converter.least);
        }
    }

    fn stamp(&mut self, network: &Network<'_>) {
        let numbers = &mut self.numbers;
        numbers.conductance.clone_from(&self.straight);
        numbers.current.fill(0.0);
        for (site, line) in network.loads.iter().zip(&self.lines) {
            put(numbers, network, site.element, *line);
        }
        for (at, site) in network.pieces.iter().enumerate() {
            let volts = across(&self.volts, network, site.element);
            let line = self.pieces[at].line(self.ways[at], volts);
            self.piece_lines[at] = line;
            put(numbers, network, site.element, line);
        }
    }

    /// One more linear step, kept apart from the voltages: what of the currents at each node does not cancel, because a
    /// voltage has only so many digits, is driven through the tangents. Leaves the current of every element.
    pub(super) fn correct(&mut self, network: &Network<'_>) {
        self.convert(network);
        for (site, (line, draw)) in network
            .loads
            .iter()
            .zip(self.lines.iter_mut().zip(&self.draws))
        {
            *line = draw.line(across(&self.volts, network, site.element), Fit::Tangent);
        }
        self.stamp(network);
        self.numbers.current.fill(0.0);
        for element in 0..network.ends.len() {
            self.amps[element] =
                self.conductances[element] * across(&self.volts, network, element as u32);
        }
        for (site, line) in network.loads.iter().zip(&self.lines) {
            let volts = across(&self.volts, network, site.element);
            self.amps[site.element as usize] = line.at(volts);
        }
        for (site, line) in network.pieces.iter().zip(&self.piece_lines) {
            let volts = across(&self.volts, network, site.element);
            self.amps[site.element as usize] = line.at(volts);
        }
        for (&(from, to), amps) in network.ends.iter().zip(&self.amps) {
            self.numbers.current[from as usize] -= amps;
            self.numbers.current[to as usize] += amps;
        }
        network.elimination.solve_all(&mut self.numbers);
        std::mem::swap(&mut self.rest, &mut self.numbers.volts);
        for element in 0..network.ends.len() {
            self.amps[element] +=
                self.conductances[element] * across(&self.rest, network, element as u32);
        }
        for (site, line) in network.loads.iter().zip(&self.lines) {
            self.amps[site.element as usize] +=
                line.slope * across(&self.rest, network, site.element);
        }
        for (site, line) in network.pieces.iter().zip(&self.piece_lines) {
            self.amps[site.element as usize] +=
                line.slope * across(&self.rest, network, site.element);
        }
    }
}

/// Voltage of an element's `from` over its `to`.
fn across(volts: &[f64], network: &Network<'_>, element: u32) -> f64 {
    let (from, to) = network.ends[element as usize];
    volts[from as usize] - volts[to as usize]
}

fn put(numbers: &mut Numbers, network: &Network<'_>, element: u32, line: Line) {
    let (from, to) = network.ends[element as usize];
    numbers.conductance[network.slots[element as usize] as usize] += line.slope;
    numbers.current[from as usize] -= line.offset;
    numbers.current[to as usize] += line.offset;
}
