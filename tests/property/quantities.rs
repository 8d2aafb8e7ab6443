//! Quantities as text and back.

use keyoff::quantity::Dimension;
use keyoff::quantity::Units;
use keyoff::quantity::parse::parse;
use keyoff::quantity::parse::parse_size;
use keyoff::quantity::show::measure;
use proptest::prelude::*;

/// Every dimension with the symbols that [`measure`] takes and how close a shown figure is to its value.
const SHOWN: &[(Dimension, &str, f64)] = &[
    (Dimension::Current, "A", 0.005),
    (Dimension::Voltage, "V", 0.005),
    (Dimension::Resistance, "ohm", 0.05),
    (Dimension::Power, "W", 0.005),
    (Dimension::Charge, "Ah", 0.005),
    (Dimension::Time, "s", 0.005),
    (Dimension::Length, "m", 0.05),
    (Dimension::Speed, "rpm", 0.005),
    (Dimension::Fraction, "1", 0.005),
];

fn bits(text: &str, dimension: Dimension) -> (u64, u64) {
    let parsed = parse(text, &[dimension]).unwrap_or_else(|refusal| panic!("{text}: {refusal:?}"));
    (parsed.low.to_bits(), parsed.high.to_bits())
}

proptest! {
    #[test]
    fn what_is_shown_can_be_read_again(row in 0..SHOWN.len(), power in -5.0..5.0f64, us in any::<bool>()) {
        let (dimension, symbol, share) = SHOWN[row];
        let value = 10f64.powf(power);
        let units = if us { Units::Us } else { Units::Metric };
        let text = measure(value, symbol, units);
        let read = parse(&text, &[dimension]).unwrap_or_else(|refusal| panic!("{text}: {refusal:?}"));
        // What is below a microampere or a microvolt is shown as nothing.
        prop_assert!((read.low - value).abs() <= share * value + 1e-6, "{value} {symbol}: {text}: {}", read.low);
    }

    #[test]
    fn prefixes_lose_no_digit(number in 1u32..2_000_000) {
        let thousandth = format!("{}.{:03}", number / 1000, number % 1000);
        for (small, unit, dimension) in [
            ("mA", "A", Dimension::Current),
            ("mV", "V", Dimension::Voltage),
            ("mohm", "ohm", Dimension::Resistance),
            ("mW", "W", Dimension::Power),
            ("ms", "s", Dimension::Time),
            ("mm", "m", Dimension::Length),
        ] {
            prop_assert_eq!(
                bits(&format!("{number} {small}"), dimension),
                bits(&format!("{thousandth} {unit}"), dimension)
            );
        }
        let meters = u64::from(number) * 3048;
        let meters = format!("{}.{:04} m", meters / 10_000, meters % 10_000);
        prop_assert_eq!(bits(&format!("{number} ft"), Dimension::Length), bits(&meters, Dimension::Length));
        let seconds = format!("{} s", u64::from(number) * 60);
        prop_assert_eq!(bits(&format!("{number} min"), Dimension::Time), bits(&seconds, Dimension::Time));
    }

    #[test]
    fn a_range_keeps_its_ends(low in 0u32..1000, more in 0u32..1000) {
        let high = low + more;
        let one = |number: u32| bits(&format!("{number} mA"), Dimension::Current).0;
        for text in [format!("{low}..{high} mA"), format!("{low} mA .. {high} mA"), format!("{low}..{high} mA (guess)")] {
            prop_assert_eq!(bits(&text, Dimension::Current), (one(low), one(high)));
        }
        if more > 0 {
            let backwards = format!("{high}..{low} mA");
            prop_assert!(parse(&backwards, &[Dimension::Current]).is_err());
        }
    }

    #[test]
    fn sizes_are_shown_as_they_are_read(number in -3i8..=40, area in 1u32..100_000) {
        let awg = keyoff::quantity::WireSize::Awg(number);
        prop_assert_eq!(parse_size(&awg.to_string()).map(|parsed| parsed.size), Ok(awg));
        let sae = keyoff::quantity::WireSize::Sae(number);
        prop_assert_eq!(parse_size(&sae.to_string()).map(|parsed| parsed.size), Ok(sae));
        let iso = keyoff::quantity::WireSize::Iso(f64::from(area) / 100.0);
        prop_assert_eq!(parse_size(&iso.to_string()).map(|parsed| parsed.size), Ok(iso));
    }

    #[test]
    fn no_text_makes_it_fail_or_gives_a_number_that_is_none(text in "\\PC{0,24}") {
        let all = [
            Dimension::Current, Dimension::Voltage, Dimension::Time, Dimension::Length,
            Dimension::Temperature, Dimension::Multiple, Dimension::Count,
        ];
        if let Ok(parsed) = parse(&text, &all) {
            prop_assert!(parsed.low.is_finite() && parsed.high.is_finite() && parsed.low <= parsed.high);
        }
        let _ = parse_size(&text);
    }

    #[test]
    fn near_quantities_do_not_make_it_fail(text in "[-+~<]?[0-9]{0,3}[.,/]{0,3}[0-9]{0,3}(e[0-9]{1,3})?[ ]?(m|k|u|M)?(A|V|ohm|h|ft|in|'|\"|C|F|x|%)?( for [0-9]{0,2} ?s?)?( ?\\((guess|x)?\\))?") {
        if let Ok(parsed) = parse(&text, &[Dimension::Current, Dimension::Length, Dimension::Temperature, Dimension::Multiple]) {
            prop_assert!(parsed.low.is_finite() && parsed.high.is_finite() && parsed.low <= parsed.high);
        }
    }
}
