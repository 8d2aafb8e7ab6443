"""Discharges PyBaMM's lead-acid model (LOQS, parameter set Sulzer2019) at low currents and prints how its state of charge and
rest voltage go. `tests/outside/pybamm.rs` holds the standing-time sum against the numbers kept beside this script:

    python -m venv v && v/bin/pip install pybamm
    v/bin/python tests/data/pybamm/lead_acid.py > tests/data/pybamm/lead_acid.csv
"""
import numpy as np
import pybamm

pybamm.set_logging_level("ERROR")
parameters = pybamm.ParameterValues("Sulzer2019")
model = pybamm.lead_acid.LOQS()
print(f"# pybamm {pybamm.__version__}, lead_acid.LOQS, Sulzer2019, discharge at constant current from 100 % charge")
print("current_a,hours,charge,battery_open_circuit_v")
for current in (0.05, 0.1, 0.2, 0.5):
    values = parameters.copy()
    values["Current function [A]"] = current
    values["Initial State of Charge"] = 1.0
    simulation = pybamm.Simulation(model, parameter_values=values)
    hours = np.linspace(0, 14 / current, 400)
    solution = simulation.solve(hours * 3600)
    charge = solution["State of Charge"].entries
    rest = solution["Battery open-circuit voltage [V]"].entries
    at = solution["Time [h]"].entries
    if charge.max() > 1.5:
        charge = charge / 100
    for level in (1.0, 0.9, 0.8, 0.7, 0.6, 0.5):
        if charge.min() <= level:
            when = np.interp(-level, -charge, at)
            print(f"{current},{when:.4f},{level},{np.interp(when, at, rest):.4f}")
