"""Bias, spread, hesitation and hits of passes, by NumPy, SciPy and mir_eval. JSON in, JSON out."""

import json
import sys

import mir_eval
import numpy as np
from scipy.stats import median_abs_deviation


def figures(one):
    timed = [(n["at"], n["played"] - n["at"]) for n in one["notes"] if n["strict"] and n["played"] is not None]
    at, error = np.array(timed).T
    flip, beat = one["flip"] - 1e-3, one["beat"]
    hesitation = None
    if (at >= flip).any() and (at < flip).any():
        first, last = at[at >= flip].min(), at[at < flip].max()
        before = error[(at >= min(flip - 2 * beat, last)) & (at < flip)]
        after = error[(at >= first) & (at < first + beat - 1e-3)]
        hesitation = float(np.median(after) - np.median(before))
    reference = sorted((n["at"], n["midi"]) for n in one["notes"])
    heard = sorted(one["heard"])
    interval = lambda notes: np.array([[max(t, 0.0), max(t, 0.0) + 0.1] for t, _ in notes])
    hertz = lambda notes: mir_eval.util.midi_to_hz(np.array([m for _, m in notes]))
    # A constant is added so that no onset lies before zero, which mir_eval does not take.
    late = lambda notes: [(t + 10.0, m) for t, m in notes]
    reference, heard = late(reference), late(heard)
    hits = mir_eval.transcription.match_notes(
        interval(reference), hertz(reference), interval(heard), hertz(heard),
        onset_tolerance=0.05, pitch_tolerance=50.0, offset_ratio=None,
    )
    return {
        "bias": float(np.median(error)),
        "spread": float(median_abs_deviation(error, scale="normal")),
        "hesitation": hesitation,
        "hits": len(hits),
    }


json.dump([figures(one) for one in json.load(sys.stdin)], sys.stdout)
