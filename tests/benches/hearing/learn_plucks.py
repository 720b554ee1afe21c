"""Learns the odds that a string was plucked from what `cargo bench --bench hearing -- learn-plucks=FILE` wrote.

python learn_plucks.py FILE OUT writes the numbers of crates/hearing/src/pluck_odds/weights.rs. Needs numpy, jax and optax.
"""

import sys

import jax
import jax.numpy as jnp
import numpy as np
import optax

from written import number_rows, write_weights

SIGNS, UNITS = 40, (48, 24)
ROUNDS, BATCH, RATE, DECAY = 40, 512, 2e-3, 1e-3

records = np.fromfile(sys.argv[1], dtype="<f4").reshape(-1, 2 + SIGNS)
seeds, truth, signs = records[:, 0].astype(int), records[:, 1], records[:, 2:]
held_out = seeds % 10 == 7
mean, deviation = signs[~held_out].mean(0), signs[~held_out].std(0) + 1e-6


def start(key):
    sizes = [SIGNS, *UNITS, 1]
    keys = jax.random.split(key, len(sizes) - 1)
    scaled = zip(keys, sizes[:-1], sizes[1:])
    return [(jax.random.normal(k, (o, i)) * (2 / i) ** 0.5, jnp.zeros(o)) for k, i, o in scaled]


def odds(layers, x):
    for weights, bias in layers[:-1]:
        x = jax.nn.relu(x @ weights.T + bias)
    weights, bias = layers[-1]
    return (x @ weights.T + bias)[:, 0]


def loss(layers, x, y):
    return optax.sigmoid_binary_cross_entropy(odds(layers, x), y).mean()


def main():
    x, y = (signs - mean) / deviation, truth
    train, test = np.flatnonzero(~held_out), np.flatnonzero(held_out)
    steps = ROUNDS * (len(train) // BATCH)
    descent = optax.adamw(optax.cosine_decay_schedule(RATE, steps), weight_decay=DECAY)
    layers = start(jax.random.PRNGKey(1))
    state = descent.init(layers)

    @jax.jit
    def step(layers, state, x, y):
        changes, state = descent.update(jax.grad(loss)(layers, x, y), state, layers)
        return optax.apply_updates(layers, changes), state

    chance = np.random.default_rng(1)
    for turn in range(ROUNDS):
        order = chance.permutation(train)
        for rows in order[: len(order) // BATCH * BATCH].reshape(-1, BATCH):
            layers, state = step(layers, state, x[rows], y[rows])
        if turn % 10 == 9:
            told = np.asarray(odds(layers, x[test]))
            right = ((told > 0) == (y[test] > 0.5)).mean()
            print(turn + 1, "loss", float(loss(layers, x[train], y[train])), float(loss(layers, x[test], y[test])), "right", right)
    print(len(train), len(test), "plucked", y.mean())
    write([(np.asarray(w), np.asarray(b)) for w, b in layers], sys.argv[2])


def write(layers, path):
    """The signs are used as they are, so their mean and deviation go into the first layer."""
    (first, bias), *rest = layers
    first = first / deviation
    layers = [(first, bias - first @ mean), *rest]
    (a, a_bias), (b, b_bias), (c, c_bias) = layers
    write_weights(
        path,
        "super::UNITS;\nuse crate::pluck_signs::SIGNS",
        [
            ("FIRST", "[[f32; SIGNS]; UNITS.0]", number_rows(a)),
            ("FIRST_BIAS", "[f32; UNITS.0]", number_rows(a_bias)),
            ("SECOND", "[[f32; UNITS.0]; UNITS.1]", number_rows(b)),
            ("SECOND_BIAS", "[f32; UNITS.1]", number_rows(b_bias)),
            ("LAST", "[f32; UNITS.1]", number_rows(c[0])),
            ("LAST_BIAS", "f32", number_rows(c_bias[0])),
        ],
    )


main()
