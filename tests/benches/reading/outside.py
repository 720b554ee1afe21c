"""How long music21 and mido take to read scores.

usage: outside.py FOLDER STEP

Reads every STEP-th MusicXML file of music21's corpus, writes each that is read to MIDI into FOLDER, and reads that too.
Prints a line of JSON for each file: its path, and the seconds that each program took.
"""

import json
import sys
import time
import warnings
from pathlib import Path

import mido
import music21


def seconds(work):
    start = time.perf_counter()
    result = work()
    return time.perf_counter() - start, result


def told(kind, path, **took):
    print(json.dumps({"kind": kind, "path": str(path), "seconds": took}), flush=True)


def main():
    warnings.simplefilter("ignore")
    folder, step = Path(sys.argv[1]), int(sys.argv[2])
    corpus = Path(music21.__file__).parent / "corpus"
    files = sorted(path for path in corpus.rglob("*") if path.suffix in (".xml", ".mxl", ".musicxml"))
    # music21 loads much of itself with the first file.
    music21.converter.parse(files[0], forceSource=True)
    for index, path in enumerate(files[::step]):
        try:
            took, score = seconds(lambda: music21.converter.parse(path, format="musicxml", forceSource=True))
        except Exception as error:  # what it can't read, it can't be timed by
            print(f"{path.name}: music21 refuses it: {error}", file=sys.stderr)
            continue
        told("MusicXML", path, music21=took)
        midi = folder / f"{index}.mid"
        try:
            score.write("midi", midi)
        except Exception as error:
            print(f"{path.name}: music21 can't write it to MIDI: {error}", file=sys.stderr)
            continue
        # As our own time: the quickest of three.
        by_mido = min(seconds(lambda: mido.MidiFile(midi))[0] for _ in range(3))
        by_music21, _ = seconds(lambda: music21.converter.parse(midi, forceSource=True))
        told("MIDI", midi, mido=by_mido, music21=by_music21)


if __name__ == "__main__":
    main()
