//! The whole audit of a vehicle, from the start of the process to its end, against one operating point of the same
//! network in a circuit simulator: by turns, so that whatever else the machine does meets both.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use keyoff::solve::Solver;

/// Turns of each size; the first is thrown away.
const TURNS: usize = 11;
/// The two may differ by so much, in volt: the simulator's own tolerance, a thousandth.
const AGREES: f64 = 1.4e-2;

/// One pair of times.
struct Turn {
    audit: Duration,
    point: Duration,
}

/// Measures all sizes and writes `docs/speed.md`.
pub fn measure(sizes: &[usize]) {
    let mut rows = String::new();
    for &circuits in sizes {
        let folder = std::env::temp_dir().join(format!("keyoff-speed-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        let turns = turns(circuits, &folder);
        fs::remove_dir_all(&folder).unwrap();
        let audit = middle(turns.iter().map(|turn| turn.audit.as_secs_f64()));
        let point = middle(turns.iter().map(|turn| turn.point.as_secs_f64()));
        let ratio = middle(
            turns
                .iter()
                .map(|turn| turn.audit.as_secs_f64() / turn.point.as_secs_f64()),
        );
        let row = format!(
            "| {circuits} | {:.1} ms | {:.1} ms | {ratio:.2} |\n",
            audit * 1e3,
            point * 1e3
        );
        print!("{row}");
        rows.push_str(&row);
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/speed.md");
    let mut page = page(&rows, &exploring());
    // What other measurements wrote stays.
    let old = fs::read_to_string(&path).unwrap_or_default();
    let others = [
        super::fleet::section(&old),
        super::picture::section(&old),
        super::hunt::section(&old),
    ];
    for section in others.into_iter().flatten() {
        page.push('\n');
        page.push_str(section);
    }
    fs::write(path, page).unwrap();
}

fn turns(circuits: usize, folder: &Path) -> Vec<Turn> {
    let record = folder.join("vehicle.yaml");
    fs::write(&record, super::vehicle::vehicle(circuits)).unwrap();
    let vehicle = super::built(circuits);
    let solution = Solver::new(&vehicle).situation(&vehicle.situations[1]);
    let deck = folder.join("vehicle.cir");
    fs::write(&deck, super::netlist::netlist(&vehicle, &solution)).unwrap();
    let audit = || {
        let start = Instant::now();
        let output = Command::new(env!("CARGO_BIN_EXE_keyoff"))
            .args(["audit", "--format", "json"])
            .arg(&record)
            .stderr(Stdio::inherit())
            .output()
            .unwrap();
        let took = start.elapsed();
        assert!(
            output.status.success(),
            "the audit ended with {:?}",
            output.status
        );
        took
    };
    let point = || {
        let start = Instant::now();
        let output = Command::new("ngspice")
            .arg("-b")
            .arg(&deck)
            .output()
            .unwrap();
        let took = start.elapsed();
        let text = String::from_utf8_lossy(&output.stdout);
        let found = text
            .lines()
            .find_map(|line| {
                let mut words = line.split_whitespace();
                words
                    .next()?
                    .eq_ignore_ascii_case("v(1)")
                    .then(|| words.next()?.parse::<f64>().ok())?
            })
            .unwrap_or_else(|| {
                panic!(
                    "no operating point:\n{text}{}",
                    String::from_utf8_lossy(&output.stderr)
                )
            });
        let ours = solution.volts[1].0;
        assert!(
            (found - ours).abs() < AGREES,
            "{found} V against {ours} V: not the same network"
        );
        took
    };
    (0..TURNS)
        .map(|_| Turn {
            audit: audit(),
            point: point(),
        })
        .skip(1)
        .collect()
}

/// The middle of some values.
pub fn middle_of(values: Vec<f64>) -> f64 {
    middle(values.into_iter())
}

fn middle(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// How long it takes to look at every setting of switches that bear on one another.
fn exploring() -> String {
    let vehicle = super::twelve_switches();
    let mut solver = Solver::new(&vehicle);
    let mut settings = 0;
    let mut times = Vec::new();
    for _ in 0..TURNS {
        let start = Instant::now();
        let explored = keyoff::solve::explore(&mut solver, keyoff::analyze::SETTINGS);
        times.push(start.elapsed().as_secs_f64());
        assert!(
            explored.complete,
            "{} of {}",
            explored.settings, explored.of
        );
        settings = explored.settings;
    }
    let took = middle(times.into_iter().skip(1));
    let text = format!(
        "A vehicle of {} parts, {} of whose switches bear on one another, has {settings} settings. To look at all of them, each solved
with its relays brought to rest, takes {:.0} ms on one core: {:.0} settings in a second.",
        vehicle.parts.len(),
        super::interacting::SWITCHES,
        took * 1e3,
        settings as f64 / took
    );
    println!("{text}");
    text
}

fn page(rows: &str, exploring: &str) -> String {
    let mut page = String::from("# Speed\n\n");
    let _ = write!(
        page,
        "Written by `PAIR=1 cargo bench` ([source](../tests/bench/pair.rs)); the numbers are those of the machine it last ran on.

The whole `keyoff audit --format json` of a generated vehicle, from the start of the process to its end (reading, every
setting of its switches, all checks, writing), against `ngspice -b` finding *one* operating point (everything on, engine at
idle) of the same network, with the sources already in the ways that the audit found. The two run by turns, {} pairs after
one to warm up; the middle of each is given, and the middle of the ratios of the pairs. The battery's voltage in the two agrees
within the simulator's own tolerance of a thousandth, or the measurement stops.

| circuits | audit | one operating point | ratio |
|---:|---:|---:|---:|
{rows}
A machine with two processor cores at about 3 GHz, shared with other work; optimised build. A circuit is a fuse, a switch,
a load, every second one a relay, and four to seven wires ([source](../tests/bench/vehicle.rs)).

{exploring} The vehicle: [source](../tests/bench/interacting.rs).

`cargo bench` times the steps one by one.
",
        TURNS - 1
    );
    page
}
