"""Learns what became of a lever from what `cargo bench --bench hearing -- learn-levers=FILE` wrote.

python learn_levers.py FILE OUT writes the numbers of crates/hearing/src/lever_odds/weights.rs. Needs numpy, jax and optax.
"""

import sys

import numpy as np
import optax

import signs

SIGNS, UNITS, DECAY, ROUNDS = 347, (192, 96), 0.2, 60
# Where the signs of single partials stand: in the stretches, at the pluck, and along its course. How many there are of each.
STRETCHES, PLUCK, COURSE = 62, 168, 208
PARTIALS, STATES = 8, 2


def timbres(decibels):
    """Each partial's level wherever it is told: other harps have other timbres."""
    shifts = np.zeros((PARTIALS, SIGNS))
    for partial, levels in enumerate(shifts):
        # A level and what is the string's own, asked and otherwise, of each partial.
        for stretch in range(3):
            first = STRETCHES + (stretch * PARTIALS + partial) * 2 * STATES
            levels[[first, first + 2]] = 1 / 1.5
        if partial < 6:
            levels[PLUCK + 5 * partial + 3] = 1
        # After the fourth of seven frames' levels of each state there is what is its own.
        for row in (0, 1, 2, 3, 4, 5, 6, 8, 10, 11, 12, 13, 14, 15):
            levels[COURSE + row * PARTIALS + partial] = 1 / 1.5
    return decibels / 20 * shifts


SPOILING = signs.Spoiling(noise=0.1, signs=0.1, units=0.4, shifts=timbres(12))
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
