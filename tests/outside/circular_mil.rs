//! The circular-mil formula of marine and handbook practice: CM = K x I x L / E, L out and back in feet, E the drop in volt.
//! Formula read (marine catalogue wording, length out and back); K = 10.75 ohm cmil/ft from memory, copper at about 30 C;
//! K = 12.9 at 75 C follows from NEC chapter 9 table 8 (3.14 ohm/kft x 4110 cmil, read), K = 10.37 at 20 C from IEC 60028.

use keyoff::advise::size::Decider;
use keyoff::advise::size::Need;
use keyoff::advise::size::size;
use keyoff::quantity::Amps;
use keyoff::quantity::Celsius;
use keyoff::quantity::Fraction;
use keyoff::quantity::Meters;
use keyoff::quantity::Volts;
use keyoff::quantity::WireSize;
use keyoff::table::wire;

use crate::close;

/// Metres in a foot.
const FOOT: f64 = 0.3048;

/// NEC chapter 9 table 8, circular mils (read): AWG number and area.
const CIRCULAR_MILS: [(i8, f64); 14] = [
    (18, 1620.0),
    (16, 2580.0),
    (14, 4110.0),
    (12, 6530.0),
    (10, 10380.0),
    (8, 16510.0),
    (6, 26240.0),
    (4, 41740.0),
    (2, 66360.0),
    (1, 83690.0),
    (0, 105_600.0),
    (-1, 133_100.0),
    (-2, 167_800.0),
    (-3, 211_600.0),
];

/// Resistance of a foot times circular mils is K, whatever the size. 2 % of stranding stand between solid and stranded copper:
/// tolerance 2.5 % at 20 and 30 C, 1 % at 75 C, where the table's own K is that of stranded copper.
#[test]
fn a_foot_of_a_circular_mil_has_the_k_of_the_formula() {
    for (number, area) in CIRCULAR_MILS {
        let r20 = wire::r20(WireSize::Awg(number)).map(|cited| cited.value);
        let Some(r20) = r20 else {
            panic!("{number} AWG is not known")
        };
        for (celsius, k, share) in [
            (20.0, 10.37, 0.025),
            (30.0, 10.75, 0.025),
            (75.0, 12.9, 0.01),
        ] {
            let found = wire::at_temperature(r20, Celsius(celsius)) * FOOT * area;
            close(&format!("{number} AWG at {celsius} C"), found, k, share);
        }
    }
}

/// Worked by the formula with K = 10.75: what is asked for, the circular mils that come out, the size that has them, and the next
/// thinner, which has not. Sums made here from the formula.
#[test]
fn worked_examples_come_to_the_same_size() {
    // Ampere, feet one way, drop allowed as a share of 12 V, circular mils, AWG that has them, AWG that has not.
    let worked = [
        // 10.75 x 10 x 30 / 0.36 = 8958
        (10.0, 15.0, 0.03, 8958.0, 10, 12),
        // 10.75 x 14 x 40 / 0.36 = 16722: 8 AWG with 16510 falls short
        (14.0, 20.0, 0.03, 16_722.0, 6, 8),
        // 10.75 x 20 x 60 / 1.2 = 10750: 10 AWG with 10380 falls short
        (20.0, 30.0, 0.10, 10_750.0, 8, 10),
        // 10.75 x 30 x 40 / 0.36 = 35833
        (30.0, 20.0, 0.03, 35_833.0, 4, 6),
    ];
    for (amps, feet, share, mils, has, has_not) in worked {
        let sum = 10.75 * amps * 2.0 * feet / (share * 12.0);
        close("circular mils", sum, mils, 0.0005);
        let mut need = Need::of(Amps(amps), Meters(feet * FOOT), Volts(12.0));
        need.back = need.out;
        need.drop = Fraction(share);
        let sized = size(&need);
        let drops = |number: i8| {
            let row = sized
                .table
                .iter()
                .find(|row| row.size == WireSize::Awg(number));
            let Some(row) = row else {
                panic!("{number} AWG is not in the table")
            };
            (
                row.drop.0,
                row.against.iter().any(|(by, _)| *by == Decider::Drop),
            )
        };
        let (drop, too_much) = drops(has);
        assert!(
            !too_much,
            "{amps} A over {feet} ft: {has} AWG drops {drop} V"
        );
        assert!(
            drops(has_not).1,
            "{amps} A over {feet} ft: {has_not} AWG has to drop too much"
        );
        // The wire is reckoned as warm as its current makes it, above the 30 C of K.
        let area = CIRCULAR_MILS
            .iter()
            .find(|(number, _)| *number == has)
            .map_or(0.0, |one| one.1);
        let by_formula = 10.75 * amps * 2.0 * feet / area;
        assert!(
            (0.97..1.2).contains(&(drop / by_formula)),
            "{drop} V and {by_formula} V"
        );
    }
}
