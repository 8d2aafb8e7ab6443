//! The record of a vehicle with sixty fuses: four main fuses, each of which feeds fourteen.

use std::fmt::Write as _;

/// Main fuses.
pub const MAINS: usize = 4;
/// Fuses behind each of them.
pub const LEAVES: usize = 14;

/// The record without a reading. The fuses behind the main ones are of these ratings, one after another.
#[must_use]
pub fn record(ratings: &[&str]) -> String {
    let (mut parts, mut wires) = (String::new(), String::new());
    for main in 1..=MAINS {
        let _ = write!(
            parts,
            "  M{main}: {{kind: fuse, rating: 80 A, form: bolt-down}}
  R{main}: {{kind: busbar}}
"
        );
        let _ = writeln!(
            wires,
            "  - {{run: [B1, M{main}, R{main}], size: 4 AWG, lengths: [20 cm, 1 m]}}"
        );
        for leaf in 1..=LEAVES {
            let rating = ratings[(main + leaf) % ratings.len()];
            let _ = writeln!(
                parts,
                "  L{main}-{leaf}: {{kind: fuse, rating: {rating}, form: blade}}"
            );
            let _ = writeln!(
                wires,
                "  - {{from: R{main}, to: L{main}-{leaf}, size: 14 AWG, length: 10 cm}}"
            );
        }
    }
    format!(
        "keyoff: 1
vehicle: {{name: sixty fuses, system: 12 V, climate: {{parked: 5 C}}}}
parts:
  B1: {{kind: battery, capacity: 90 Ah}}
{parts}wires:
{wires}"
    )
}
