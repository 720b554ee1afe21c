"""The notes of the music21 corpus's ABC tunes as music21 reads them, one JSON object a line.

Usage: music21_tunes.py EVERY   every EVERYth tune of the collections

Each tune is read twice: "as_written", and "plain", without the marks that by ABC 2.1 change no pitch and no length but
that music21 stumbles over. "stumbled" names those kinds of marks that made the difference, if there was one. Every tune
is announced as ABC 2.1, since music21 else lets an accidental hold for one note only.
"""

import json
import pathlib
import re
import sys
import warnings
from fractions import Fraction

warnings.simplefilter("ignore")
import music21  # noqa: E402
from music21 import converter, harmony  # noqa: E402


def tunes(text):
    """The tunes of a file, each from its X: line to the next."""
    starts = [match.start() for match in re.finditer(r"^X:", text, re.MULTILINE)]
    return [text[start:end] for start, end in zip(starts, starts[1:] + [len(text)])]


def joined(found):
    """Notes without the cuts that music21 makes where a bar is longer than its meter: it ties the pieces."""
    whole = []
    for note in found:
        last = whole[-1] if whole else None
        if last and note[5] in ("stop", "continue") and last[0] == note[0] and last[2] == note[2]:
            last[3] = str(Fraction(last[3]) + Fraction(note[3]))
        else:
            whole.append(list(note))
    return whole


def notes(score):
    found = []
    parts = score.parts or [score]
    for number, part in enumerate(parts):
        for element in part.flatten().notes:
            if isinstance(element, harmony.Harmony):
                continue
            length = Fraction(element.duration.quarterLength).limit_denominator(1 << 20)
            onset = Fraction(element.offset).limit_denominator(1 << 20)
            for pitch in element.pitches:
                tie = element.tie.type if element.tie else ""
                found.append([number, str(onset), pitch.midi, str(length), bool(element.duration.isGrace), tie])
    return found


# Kinds of marks, each with the section of ABC 2.1 that gives them their meaning, and what takes them out of a line.
STEPS = {
    "quoted text (§4.18, §4.19)": lambda line: re.sub(r'"[^"]*"', "", line),
    "decorations (§4.14, §4.16)": lambda line: re.sub(
        r"(\[[A-Za-z]:[^\]]*\])|![^\s!|]+!|[~HLMOPSTkuv]|\.(?!\|)", lambda found: found[1] or "", line
    ),
    "slurs (§4.11)": lambda line: re.sub(r"\((?!\d)|\)", "", line),
    "spacing (§4.7)": lambda line: line.replace("`", ""),
    # Tied notes are written notes all the same; without its ties, music21's own can be told.
    "ties, or bars longer than their meter (§4.11)": lambda line: line.replace("-", ""),
    # Graces have no time and are none of a tuplet's notes: they are put before its bracket.
    "graces in tuplets (§4.12, §4.13)": lambda line: re.sub(r"(\(\d(?::\d*)*)\s*(\{[^}]*\})", r"\2\1", line),
    # "G::" in the middle of a line is a note before a bar sign, no field.
    "notes before :: (§3, §4.8)": lambda line: line.replace("::", " ::"),
}


def plain(tune, leaving=None):
    lines, in_body = [], False
    for line in tune.split("\n"):
        if re.match(r"[A-Za-z]:", line):
            in_body = in_body or line.startswith("K:")
        elif in_body and not line.startswith("%"):
            for name, step in STEPS.items():
                if name != leaving:
                    line = step(line)
        lines.append(line)
    return "\n".join(lines)


def reading(tune):
    return notes(converter.parse("%abc-2.1\n" + tune, format="abc"))


def plain_reading(tune, leaving=None):
    return joined(reading(plain(tune, leaving)))


def main():
    every = int(sys.argv[1])
    corpus = pathlib.Path(music21.__file__).parent / "corpus"
    counter = 0
    for folder in ["oneills1850", "ryansMammoth", "airdsAirs", "miscFolk"]:
        for path in sorted((corpus / folder).glob("*.abc")):
            data = path.read_bytes()
            try:
                text = data.decode("utf-8")
            except UnicodeDecodeError:
                text = data.decode("cp1252", errors="replace")
            text = text.replace("\r\n", "\n").replace("\r", "\n")
            for index, tune in enumerate(tunes(text)):
                if counter % every == 0:
                    read = {"path": str(path), "index": index}
                    try:
                        read["as_written"] = reading(tune)
                        read["plain"] = plain_reading(tune)
                        if read["plain"] != read["as_written"]:
                            different = lambda name: plain_reading(tune, name) != read["plain"]
                            read["stumbled"] = [name for name in STEPS if different(name)]
                    except Exception as error:  # music21 fails in many ways
                        read["error"] = f"{type(error).__name__}: {error}"[:200]
                    print(json.dumps(read))
                counter += 1
    print(json.dumps({"tunes": counter, "version": music21.__version__}))


main()
