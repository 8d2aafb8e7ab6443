//! Linear networks against a dense decomposition, and where digits or passivity are at stake.

use nalgebra::{DMatrix, DVector};

use super::*;

fn all(nodes: usize) -> Vec<u32> {
    (0..nodes as u32).collect()
}

/// Random networks against a dense decomposition; plain pseudo-random numbers, so that a failure repeats.
#[test]
fn agrees_with_a_dense_decomposition() {
    let mut seed = 7_u64;
    let mut random = move || {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        (seed >> 11) as f64 / (1_u64 << 53) as f64
    };
    for round in 0..60 {
        let nodes = 2 + (random() * 40.0) as usize;
        let mut edges = Vec::new();
        for node in 1..nodes {
            edges.push((node as u32, (random() * node as f64) as u32));
        }
        for _ in 0..round / 4 {
            edges.push((
                (random() * nodes as f64) as u32,
                (random() * nodes as f64) as u32,
            ));
        }
        let (elimination, slots) = Elimination::new(nodes, &edges, &all(nodes));
        let mut numbers = Numbers::default();
        elimination.fit(&mut numbers);
        let mut dense = DMatrix::<f64>::zeros(nodes, nodes);
        let mut right = DVector::<f64>::zeros(nodes);
        for (&(a, b), &slot) in edges.iter().zip(&slots) {
            if a == b {
                continue;
            }
            let siemens = 10_f64.powf(random() * 4.0 - 2.0);
            numbers.conductance[slot as usize] += siemens;
            let (a, b) = (a as usize, b as usize);
            dense[(a, a)] += siemens;
            dense[(b, b)] += siemens;
            dense[(a, b)] -= siemens;
            dense[(b, a)] -= siemens;
        }
        for node in 1..nodes {
            let amps = random() * 20.0 - 10.0;
            numbers.current[node] = amps;
            right[node] = amps;
        }
        assert!(elimination.solve(&mut numbers));
        let inner = dense.view((1, 1), (nodes - 1, nodes - 1)).into_owned();
        let wanted = inner
            .lu()
            .solve(&right.rows(1, nodes - 1).into_owned())
            .unwrap();
        let size = wanted.amax().max(1.0);
        for node in 1..nodes {
            assert!((numbers.volts[node] - wanted[node - 1]).abs() < 1e-9 * size);
        }
    }
}

#[test]
fn tiny_beside_huge_costs_no_digits() {
    // 10 V behind 1 ohm, a micro-ohm joint, a mega-ohm leak: exact answer 10 · 1e6 / (1e6 + 1 + 1e-6).
    let edges = [(1, 0), (1, 2), (2, 0)];
    let (elimination, slots) = Elimination::new(3, &edges, &all(3));
    let mut numbers = Numbers::default();
    elimination.fit(&mut numbers);
    for (slot, siemens) in slots.iter().zip([1.0, 1e6, 1e-6]) {
        numbers.conductance[*slot as usize] += siemens;
    }
    numbers.current[1] = 10.0;
    assert!(elimination.solve(&mut numbers));
    let exact = 10.0 * 1e6 / (1e6 + 1.0 + 1e-6);
    assert!((numbers.volts[2] - exact).abs() < 4e-15 * exact);
}

#[test]
fn a_network_that_gives_power_is_not_passive() {
    let (elimination, slots) = Elimination::new(2, &[(1, 0)], &all(2));
    let mut numbers = Numbers::default();
    elimination.fit(&mut numbers);
    numbers.conductance[slots[0] as usize] = -1.0;
    assert!(!elimination.solve(&mut numbers));
}

#[test]
fn an_island_is_at_nothing() {
    let (elimination, slots) = Elimination::new(4, &[(1, 0), (2, 3)], &all(4));
    let mut numbers = Numbers::default();
    elimination.fit(&mut numbers);
    numbers.conductance[slots[0] as usize] = 1.0;
    numbers.conductance[slots[1] as usize] = 2.0;
    numbers.current[1] = 3.0;
    assert!(elimination.solve(&mut numbers));
    assert_eq!(numbers.volts, [0.0, 3.0, 0.0, 0.0]);
}

/// One store of numbers through many changes of a few conductances gives to the last digit what a fresh one gives, and where only
/// some nodes are asked for, completing gives the rest.
#[test]
fn what_is_kept_is_what_a_fresh_removal_gives() {
    let mut seed = 29_u64;
    let mut random = move || {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        (seed >> 11) as f64 / (1_u64 << 53) as f64
    };
    for nodes in [2, 3, 9, 40, 90] {
        let mut edges: Vec<(u32, u32)> = (1..nodes as u32)
            .map(|node| (node, (random() * f64::from(node)) as u32))
            .collect();
        for _ in 0..nodes / 3 {
            let end = |of: f64| (of * nodes as f64) as u32;
            edges.push((end(random()), end(random())));
        }
        let asked: Vec<u32> = (1..nodes as u32).filter(|node| node % 4 == 1).collect();
        let (elimination, slots) = Elimination::new(nodes, &edges, &asked);
        let mut kept = Numbers::default();
        elimination.fit(&mut kept);
        for round in 0..60 {
            for _ in 0..=round % 4 {
                let slot = slots[(random() * slots.len() as f64) as usize] as usize;
                // Opened, as a switch does it, else anything.
                kept.conductance[slot] = if random() < 0.4 { 0.0 } else { random() * 9.0 };
            }
            let mut fresh = Numbers::default();
            elimination.fit(&mut fresh);
            fresh.conductance.clone_from(&kept.conductance);
            kept.current.fill(0.0);
            for &node in &asked {
                kept.current[node as usize] = random() * 20.0 - 10.0;
            }
            fresh.current.clone_from(&kept.current);
            let mut whole = Numbers::default();
            elimination.fit(&mut whole);
            whole.conductance.clone_from(&kept.conductance);
            whole.current.clone_from(&kept.current);
            elimination.solve_all(&mut whole);
            assert_eq!(elimination.solve(&mut kept), elimination.solve(&mut fresh));
            let mut volts = kept.volts.clone();
            elimination.complete(&kept, &mut volts);
            for node in elimination.asked() {
                assert_eq!(kept.volts[node].to_bits(), fresh.volts[node].to_bits());
            }
            for (node, volts) in volts.iter().enumerate() {
                assert_eq!(volts.to_bits(), whole.volts[node].to_bits(), "{node}");
            }
        }
    }
}
