"""Learns in which frames something begins, from what `cargo bench --bench hearing -- learn-frames=FILE` wrote.

python learn_onsets.py FILE OUT writes the numbers of crates/hearing/src/onset_odds/weights.rs. Needs numpy, jax, optax.
"""

import sys

import jax
import jax.numpy as jnp
import numpy as np
import optax

from descent import descend
from written import number_rows, write_weights

BANDS, FRAMES, AFTER, WIDTH, KINDS, POOLED, UNITS = 57, 32, 14, 3, 28, 5, 96
POOLS = (BANDS - WIDTH + 1) // POOLED
ROUNDS, RATE, DECAY = 9, 2e-3, 1e-4
# Frames beside a beginning count as half of one; of those further away than the second only some are learnt from.
BESIDE, FAR, OF_FAR = 1, 20, 0.15


def recordings(path):
    data = np.fromfile(path, dtype="u1")
    at = 0
    while at < len(data):
        frames = int(data[at : at + 4].view("<u4")[0])
        at += 4
        rows = data[at : at + frames * (BANDS + 1)].reshape(frames, BANDS + 1)
        at += frames * (BANDS + 1)
        yield rows[:, :BANDS], rows[:, BANDS]


def windows():
    chance = np.random.default_rng(2)
    levels, truths, places, held = [], [], [], []
    offset = 0
    for index, (frames, begins) in enumerate(recordings(sys.argv[1])):
        truth = begins.astype("f4")
        onsets = np.flatnonzero(begins)
        near = np.zeros(len(begins), bool)
        for onset in onsets:
            near[max(0, onset - FAR) : onset + FAR + 1] = True
        for beside in (-BESIDE, BESIDE):
            there = np.clip(onsets + beside, 0, len(begins) - 1)
            truth[there] = np.maximum(truth[there], 0.5)
        wanted = near | (chance.random(len(begins)) < OF_FAR)
        wanted[: FRAMES + 8] = wanted[len(begins) - AFTER - 1 :] = False
        places.append(np.flatnonzero(wanted) + offset)
        held.append(np.full(wanted.sum(), index % 10 == 7))
        levels.append(frames)
        truths.append(truth)
        offset += len(begins)
    return np.concatenate(levels), np.concatenate(truths), np.concatenate(places), np.concatenate(held)


def start(key):
    a, b, c = jax.random.split(key, 3)
    filters = jax.random.normal(a, (KINDS, FRAMES, WIDTH)) * 0.2
    middle = jax.random.normal(b, (UNITS, POOLS * KINDS)) * (2 / (POOLS * KINDS)) ** 0.5
    last = jax.random.normal(c, (1, UNITS)) * 0.2
    return filters, jnp.zeros(KINDS), middle, jnp.zeros(UNITS), last, jnp.array([-2.0])


def odds(layers, x):
    filters, filters_bias, middle, middle_bias, last, last_bias = layers
    places = BANDS - WIDTH + 1
    # As one product of matrices, which is much faster here than a convolution.
    seen = jnp.stack([x[:, :, offset : offset + places] for offset in range(WIDTH)], -1)
    seen = seen.transpose(0, 2, 1, 3).reshape(len(x) * places, FRAMES * WIDTH)
    answers = jax.nn.relu(seen @ filters.reshape(KINDS, -1).T + filters_bias)
    pools = answers.reshape(len(x), POOLS, POOLED, KINDS).mean(2).reshape(len(x), POOLS * KINDS)
    return jax.nn.relu(pools @ middle.T + middle_bias) @ last[0] + last_bias[0]


def loss(layers, x, y):
    return optax.sigmoid_binary_cross_entropy(odds(layers, x), y).mean()


def main():
    levels, truth, places, held = windows()
    print(len(levels), "frames,", len(places), "learnt from", flush=True)
    around = np.arange(-(FRAMES - 1 - AFTER), AFTER + 1)
    see = lambda where: levels[where[:, None] + around].astype("f4") / 90
    train, test = places[~held], places[held]
    check = jax.jit(loss)

    def after_round(turn, layers):
        told = [float(check(layers, see(part), truth[part])) for part in np.array_split(test, len(test) // 2000)]
        print(turn, "loss on those held out", np.mean(told), flush=True)
        write(layers)

    batch = lambda rows: (see(rows), truth[rows])
    descend(start(jax.random.PRNGKey(1)), loss, train, batch, ROUNDS, RATE, DECAY, after_round)


def write(layers):
    filters, filters_bias, middle, middle_bias, last, last_bias = (np.asarray(layer) for layer in layers)
    write_weights(
        sys.argv[2],
        "super::{FRAMES, KINDS, POOLS, UNITS, WIDTH}",
        [
            ("FILTERS", "[[[f32; WIDTH]; FRAMES]; KINDS]", number_rows(filters)),
            ("FILTERS_BIAS", "[f32; KINDS]", number_rows(filters_bias)),
            ("MIDDLE", "[[f32; POOLS * KINDS]; UNITS]", number_rows(middle)),
            ("MIDDLE_BIAS", "[f32; UNITS]", number_rows(middle_bias)),
            ("LAST", "[[f32; UNITS]; 1]", number_rows(last)),
            ("LAST_BIAS", "[f32; 1]", number_rows(last_bias)),
        ],
    )


main()
