"""Learns the odds that a string was plucked from what `cargo bench --bench hearing -- learn-plucks=FILE` wrote.

python learn_plucks.py FILE OUT writes the numbers of crates/hearing/src/pluck_odds/weights.rs. Needs numpy, jax and optax.
"""

import sys

import numpy as np
import optax

import signs

SIGNS, UNITS, DECAY, ROUNDS = 40, (96, 48), 0.3, 50
SPOILING = signs.Spoiling(noise=0.0, signs=0.0, units=0.0, shifts=np.zeros((0, SIGNS)))

seeds, truth, told = signs.records(sys.argv[1], SIGNS)
loss = lambda odds, plucked: optax.sigmoid_binary_cross_entropy(odds[:, 0], plucked)
every = np.ones_like(truth)
layers, odds, plucked = signs.learn(seeds, truth, told, UNITS, 1, loss, every, DECAY, ROUNDS, SPOILING)
print(len(truth), "moments, plucked", truth.mean(), "right", ((odds[:, 0] > 0) == (plucked > 0.5)).mean())
signs.write(layers, "super::UNITS;\nuse crate::pluck_signs::SIGNS", 1)
