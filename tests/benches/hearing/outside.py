"""Onset detectors of others, and ours, by mir_eval's rules: F at 50 ms, and within 5 ms once the constant bias is off.

Takes a folder of WAV files, each with a text file of two lines: the true onsets, and the ones that we heard.
"""

import shutil
import subprocess
import sys
import time
from collections import defaultdict
from pathlib import Path

import mir_eval
import numpy as np

try:
    import librosa
except ImportError:
    librosa = None


def aubio(path):
    out = subprocess.run(["aubioonset", "-i", str(path), "-O", "specflux"], capture_output=True, text=True, check=True)
    return np.array([float(line) for line in out.stdout.split()])


def by_librosa(path):
    sound, rate = librosa.load(path, sr=None)
    return librosa.onset.onset_detect(y=sound, sr=rate, units="time")


detectors = {"ours": None}
if librosa is not None:
    detectors["librosa"] = by_librosa
if shutil.which("aubioonset"):
    detectors["aubio"] = aubio

results = defaultdict(list)
spent, length = defaultdict(float), 0.0
for path in sorted(Path(sys.argv[1]).glob("*.wav")):
    truth, ours = [np.array([float(t) for t in line.split()]) for line in path.with_suffix(".txt").read_text().split("\n")[:2]]
    kind = path.stem.rsplit("-", 1)[0]
    length += path.stat().st_size / 88200
    for name, detect in detectors.items():
        started = time.perf_counter()
        found = ours if detect is None else detect(path)
        spent[name] += time.perf_counter() - started
        results[name, kind].append((truth, np.sort(found)))

print("by mir_eval, held-out recordings   F at 50 ms   within 5 ms (bias off)")
for (name, kind), pairs in sorted(results.items(), key=lambda item: (item[0][1], item[0][0])):
    scores, errors, truths = [], [], 0
    for truth, found in pairs:
        scores.append(mir_eval.onset.f_measure(truth, found, window=0.05)[0])
        matching = mir_eval.util.match_events(truth, found, 0.05)
        errors += [found[b] - truth[a] for a, b in matching]
        truths += len(truth)
    errors = np.array(errors)
    near = np.mean(np.abs(errors - np.median(errors)) <= 0.005) if len(errors) else float("nan")
    print(f"{kind:<16} {name:<17} {np.mean(scores):>10.3f} {near:>12.3f}")
for name in detectors:
    if name != "ours":
        print(f"{name}: {length / spent[name]:.0f} times real time")
