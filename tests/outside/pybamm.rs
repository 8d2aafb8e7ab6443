//! `PyBaMM`'s lead-acid model (LOQS, parameter set Sulzer2019) at low currents: how charge and rest voltage go. The numbers were
//! computed by `tests/data/pybamm/lead_acid.py`; with `LEAD_ACID_CSV` set to a fresh run's output, that is held against too.

#![allow(clippy::unwrap_used, reason = "a test fails by panic")]

use keyoff::analyze::endurance;
use keyoff::analyze::endurance::Battery;
use keyoff::analyze::sample::Uncertain;
use keyoff::quantity::Celsius;
use keyoff::quantity::Fraction;
use keyoff::table::battery;
use keyoff::table::battery::Chemistry;

struct Row {
    current: f64,
    hours: f64,
    charge: f64,
    rest: f64,
}

fn rows(text: &str) -> Vec<Row> {
    let rows = text
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()));
    rows.map(|line| {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let [current, hours, charge, rest] = cells[..] else {
            panic!("{line}");
        };
        Row {
            current,
            hours,
            charge,
            rest,
        }
    })
    .collect()
}

fn runs() -> Vec<Vec<Row>> {
    let mut runs = vec![rows(include_str!("../data/pybamm/lead_acid.csv"))];
    if let Some(path) = std::env::var_os("LEAD_ACID_CSV") {
        runs.push(rows(&std::fs::read_to_string(path).unwrap()));
    }
    for run in &runs {
        assert!(run.len() >= 20, "a run of {} rows", run.len());
    }
    runs
}

/// Below the 20-hour rate nothing is gained by drawing less: the model's hours to half a charge times the current are the same
/// charge at every current, as the standing-time sum takes it. Tolerance 0.5 %.
#[test]
fn below_the_20_hour_rate_charge_is_current_times_time() {
    for run in runs() {
        let to_half: Vec<f64> = run
            .iter()
            .filter(|row| row.charge == 0.5)
            .map(|row| row.current * row.hours)
            .collect();
        assert!(to_half.len() >= 4);
        for charge in &to_half {
            assert!((charge / to_half[0] - 1.0).abs() < 0.005, "{to_half:?}");
        }
    }
}

/// Days to half a charge: the sum for a battery of the same charge, against the model. The sum also lets the battery discharge
/// itself, which this model does not: it may be shorter by that share, never longer. Tolerance 0.5 % beside it.
#[test]
fn days_to_half_a_charge_agree() {
    for run in runs() {
        for row in run.iter().filter(|row| row.charge == 0.5) {
            let known = Battery {
                chemistry: Chemistry::Flooded,
                capacity: Uncertain::exact(2.0 * row.current * row.hours),
                health: Uncertain::exact(1.0),
                charge: Uncertain::exact(1.0),
                cold_cranking: Some(Uncertain::exact(1000.0)),
                cranking: Some(Uncertain::exact(1.0)),
                draw: Uncertain::exact(row.current),
                runs_on: Vec::new(),
                mix: Vec::new(),
            };
            let days = endurance::standing(&known, Celsius(25.0)).days.likely;
            let model = row.hours / 24.0;
            let month = battery::self_discharge(Chemistry::Flooded, Celsius(25.0))
                .value
                .0;
            let leaks = 2.0 * model * month / 30.0;
            assert!(
                days <= model * 1.005,
                "{} A: {days} of {model}",
                row.current
            );
            assert!(
                days * (1.0 + leaks) >= model * 0.995,
                "{} A: {days} of {model}",
                row.current
            );
        }
    }
}

/// Rest voltage against charge of six cells. The model's acid is stronger than that of the battery industry table (12.99 V
/// full against 12.65 V), so that the levels differ by up to 0.35 V; both fall all the way, the model faster.
#[test]
fn rest_voltage_falls_with_charge_as_in_the_table() {
    for run in runs() {
        for pair in run
            .windows(2)
            .filter(|pair| pair[1].charge < pair[0].charge)
        {
            assert!(pair[1].rest < pair[0].rest);
        }
        for row in &run {
            let table = battery::rest_voltage(Chemistry::Flooded, Fraction(row.charge))
                .value
                .0;
            assert!(
                (table - row.rest).abs() < 0.35,
                "{} %: {table} and {}",
                row.charge,
                row.rest
            );
        }
    }
}
