"""Networks over signs: what records of 32-bit numbers (seed, truth, signs) say of the truth."""

import sys
from typing import NamedTuple

import jax
import jax.numpy as jnp
import numpy as np

from descent import descend
from written import number_rows, write_weights

RATE = 2e-3


class Spoiling(NamedTuple):
    """What makes it hard to learn records by heart: signs with noise (in deviations), a share of signs and of units left out, and
    rows of signs that are shifted together, each by how much in the usual case."""

    noise: float
    signs: float
    units: float
    shifts: np.ndarray


def records(path, count):
    """Seeds, truths, and signs, as many as `count`."""
    rows = np.fromfile(path, dtype="<f4").reshape(-1, 2 + count)
    return rows[:, 0].astype(int), rows[:, 1], rows[:, 2:]


def start(sizes, key):
    keys = jax.random.split(key, len(sizes) - 1)
    scaled = zip(keys, sizes[:-1], sizes[1:])
    return [(jax.random.normal(k, (o, i)) * (2 / i) ** 0.5, jnp.zeros(o)) for k, i, o in scaled]


def answers(layers, x, kept=None):
    """`kept` says of each unit of the layers between by how much it counts; without it all count once."""
    for place, (weights, bias) in enumerate(layers[:-1]):
        x = jax.nn.relu(x @ weights.T + bias)
        x = x if kept is None else x * kept[place]
    weights, bias = layers[-1]
    return x @ weights.T + bias


def learn(seeds, truth, signs, units, outcomes, loss, weight, decay, rounds, spoiling):
    """The layers learnt from nine of ten drills; `loss(answers, truth)` of each record counts by its weight."""
    held_out = seeds % 10 == 7
    mean, deviation = signs[~held_out].mean(0), signs[~held_out].std(0)
    # A sign that never changes says nothing.
    deviation[deviation < 1e-3] = 1
    x = (signs - mean) / deviation
    shifts = (spoiling.shifts / deviation).astype("f4")
    train, test = np.flatnonzero(~held_out), np.flatnonzero(held_out)
    chance = np.random.default_rng(1)

    def weighed(layers, x, y, w, kept=None):
        return (loss(answers(layers, x, kept), y) * w).sum() / w.sum()

    def left_out(rows, width, share):
        return ((chance.random((rows, width), "f4") >= share) / (1 - share)).astype("f4")

    def batch(rows):
        spoiled = x[rows] + spoiling.noise * chance.standard_normal((len(rows), x.shape[1]), "f4")
        spoiled += chance.standard_normal((len(rows), len(shifts)), "f4") @ shifts
        kept = [left_out(len(rows), width, spoiling.units) for width in units]
        return spoiled * left_out(len(rows), x.shape[1], spoiling.signs), truth[rows], weight[rows], kept

    def after_round(turn, layers):
        if turn % 10 == 0:
            losses = (float(weighed(layers, x[rows], truth[rows], weight[rows])) for rows in (train, test))
            print(turn, "loss", *losses, flush=True)

    layers = start([signs.shape[1], *units, outcomes], jax.random.PRNGKey(1))
    layers = descend(layers, weighed, train, batch, rounds, RATE, decay, after_round)
    layers = [(np.asarray(weights), np.asarray(bias)) for weights, bias in layers]
    # The signs are used as they are, so their mean and deviation go into the first layer.
    (first, bias), *rest = layers
    first = first / deviation
    return [(first, bias - first @ mean), *rest], np.asarray(answers(layers, x[test])), truth[test]


def write(layers, uses, outcomes):
    (a, a_bias), (b, b_bias), (c, c_bias) = layers
    write_weights(
        sys.argv[2],
        uses,
        [
            ("FIRST", "[[f32; SIGNS]; UNITS.0]", number_rows(a)),
            ("FIRST_BIAS", "[f32; UNITS.0]", number_rows(a_bias)),
            ("SECOND", "[[f32; UNITS.0]; UNITS.1]", number_rows(b)),
            ("SECOND_BIAS", "[f32; UNITS.1]", number_rows(b_bias)),
            ("LAST", f"[[f32; UNITS.1]; {outcomes}]", number_rows(c)),
            ("LAST_BIAS", f"[f32; {outcomes}]", number_rows(c_bias)),
        ],
    )
