"""Reads scores with music21 and prints one JSON object a line: its notes and playing order, or why it has none.

Usage: music21_notes.py --where     the folder of music21, then every MusicXML file in it, by its name there
       music21_notes.py < NAMES     reads the files of those names, one a line

Each note is [part, bar, onset, midi, quarters, grace, staff]: parts and bars counted from 0, onset and quarters as
"n/d" within the bar, pitch as it sounds. The parts of one instrument that music21 has taken apart by staves share
their number. The order is a list of bar indices, or null with the reason in "order_error".
"""

import json
import pathlib
import sys
import warnings
from fractions import Fraction

import music21
from music21 import common, converter, note, repeat, stream


FOLDER = pathlib.Path(music21.__file__).parent


def fraction(number):
    exact = Fraction(common.opFrac(number))
    return f"{exact.numerator}/{exact.denominator}"


def pitched(element):
    """The single notes of a note or chord; nothing for rests, chord symbols and percussion."""
    if isinstance(element, music21.harmony.Harmony):
        return []
    if isinstance(element, note.Note):
        return [element]
    if isinstance(element, music21.chord.Chord):
        return list(element.notes)
    return []


def notes_of(score):
    rows = []
    number = -1
    for index, part in enumerate(score.parts):
        first_staff = not isinstance(part, stream.PartStaff) or staff_of(score, part) == 1
        if first_staff or number < 0:
            number += 1
        staff = staff_of(score, part)
        for bar, measure in enumerate(part.getElementsByClass(stream.Measure)):
            # Not `recurse` with class filters alone: it would find chord members twice.
            for element in measure.recurse().notes:
                onset = element.getOffsetInHierarchy(measure)
                for single in pitched(element):
                    grace = element.duration.isGrace
                    quarters = 0 if grace else element.duration.quarterLength
                    rows.append(
                        [number, bar, fraction(onset), int(single.pitch.midi), fraction(quarters), grace, staff]
                    )
    return rows


def staff_of(score, part):
    for group in score.getElementsByClass(music21.layout.StaffGroup):
        members = list(group.getSpannedElements())
        if any(member is part for member in members) and all(isinstance(m, stream.PartStaff) for m in members):
            return 1 + next(i for i, member in enumerate(members) if member is part)
    return 1


def order_of(score):
    part = score.parts[0]
    bars = list(part.getElementsByClass(stream.Measure))
    for index, measure in enumerate(bars):
        measure.editorial.leverlane = index
    expanded = repeat.Expander(part).process()
    return [measure.editorial.leverlane for measure in expanded.getElementsByClass(stream.Measure)]


def read(name):
    answer = {"file": name}
    try:
        score = converter.parse(FOLDER / name, format="musicxml", forceSource=True)
        if isinstance(score, stream.Opus):
            score = score.scores[0]
        if not isinstance(score, stream.Score):
            raise ValueError("no score")
        score = score.toSoundingPitch()
        answer["notes"] = notes_of(score)
    except Exception as error:
        answer["error"] = f"{type(error).__name__}: {error}"
        return answer
    try:
        answer["order"] = order_of(score)
    except Exception as error:
        answer["order"] = None
        answer["order_error"] = f"{type(error).__name__}: {error}"
    return answer


def where():
    print(FOLDER)
    for folder in ("corpus", "musicxml/lilypondTestSuite"):
        for path in sorted((FOLDER / folder).rglob("*")):
            if path.suffix in (".xml", ".mxl", ".musicxml"):
                print(path.relative_to(FOLDER).as_posix())


def main():
    warnings.simplefilter("ignore")
    if sys.argv[1:] == ["--where"]:
        where()
        return
    for line in sys.stdin:
        print(json.dumps(read(line.rstrip("\n"))), flush=True)


if __name__ == "__main__":
    main()
