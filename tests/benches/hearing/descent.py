"""Descends on a loss, by adamw over shuffled batches."""

import jax
import numpy as np
import optax

BATCH = 512


def descend(layers, loss, rows, batch, rounds, rate, decay, after_round):
    """Learns from `rows` in so many rounds: `batch(rows)` is what `loss` takes after the layers, `rate` how fast it begins,
    `decay` what keeps the weights small. Tells the layers of each round."""
    steps = rounds * (len(rows) // BATCH)
    descent = optax.adamw(optax.cosine_decay_schedule(rate, steps), weight_decay=decay)
    state = descent.init(layers)

    @jax.jit
    def step(layers, state, *seen):
        changes, state = descent.update(jax.grad(loss)(layers, *seen), state, layers)
        return optax.apply_updates(layers, changes), state

    chance = np.random.default_rng(1)
    for turn in range(rounds):
        order = chance.permutation(rows)
        for some in order[: len(order) // BATCH * BATCH].reshape(-1, BATCH):
            layers, state = step(layers, state, *batch(some))
        after_round(turn + 1, layers)
    return layers
