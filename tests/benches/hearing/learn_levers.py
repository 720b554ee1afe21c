"""Learns what became of a lever from what `cargo bench --bench hearing -- learn-levers=FILE` wrote.

python learn_levers.py FILE OUT writes the numbers of crates/hearing/src/lever_odds/weights.rs. Needs numpy, jax and optax.
"""

import sys

import numpy as np
import optax

import signs

SIGNS, UNITS, DECAY, ROUNDS = 205, (192, 96), 0.2, 150
SPOILING = signs.Spoiling(noise=0.1, signs=0.1, units=0.4)
# How likely each is taken to be: as asked, otherwise, half-way, late, not plucked.
LIKELY = np.array([0.5, 0.15, 0.125, 0.1, 0.125])

seeds, truth, told = signs.records(sys.argv[1], SIGNS)
truth = truth.astype(int)
weight = (LIKELY / np.bincount(truth) * len(truth))[truth].astype("f4")
loss = optax.softmax_cross_entropy_with_integer_labels
layers, odds, outcome = signs.learn(seeds, truth, told, UNITS, len(LIKELY), loss, weight, DECAY, ROUNDS, SPOILING)
print(len(truth), "levers", np.bincount(truth))
for case in range(len(LIKELY)):
    print(case, np.bincount(odds.argmax(1)[outcome == case], minlength=len(LIKELY)))
signs.write(layers, "super::{OUTCOMES, UNITS};\nuse crate::lever_signs::SIGNS", "OUTCOMES")
