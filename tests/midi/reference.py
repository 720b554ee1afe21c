"""Writes pieces of music21's corpus to MIDI and says what stands in them, as music21 and mido see it.

usage: reference.py OUT_FOLDER PIECE...

For each piece N (from 0) the folder gets N.mid (written by music21), N.played.mid (the same, played unevenly) and
N.json: the notes as music21 wrote them down (names included), the notes and the grid as mido reads N.mid, and the notes
as music21 reads it back. Positions are file ticks; N.json says how many go to the quarter.
A piece that music21 itself can't write to MIDI has only its name and the reason.
"""

import json
import random
import sys
import warnings
from fractions import Fraction
from pathlib import Path

import mido
import music21

warnings.simplefilter("ignore")


def written_notes(score, division):
    """[tick, ticks long, MIDI number, name, is grace] of every sounding note, ties joined."""
    found = []
    for part in score.parts if score.parts else [score]:
        if any(isinstance(i, music21.instrument.UnpitchedPercussion) for i in part.recurse().getElementsByClass("Instrument")):
            continue
        for element in part.stripTies().flatten().notes:
            if isinstance(element, (music21.harmony.ChordSymbol, music21.note.Unpitched)):
                continue
            start = round(Fraction(element.offset) * division)
            length = round(Fraction(element.duration.quarterLength) * division)
            for pitch in element.pitches:
                found.append([start, length, pitch.midi, pitch.name.replace("-", "b"), element.duration.isGrace])
    return sorted(found)


def paired(track):
    """The track's notes as [beginning, end, first message], first on, first off, and its other messages with their
    ticks. An end that comes before its beginning at the same tick makes a note of no length (a grace note)."""
    now, notes, others, sounding, early = 0, [], [], {}, {}
    for message in track:
        now += message.time
        if message.type not in ("note_on", "note_off"):
            others.append((now, message))
            continue
        key = (message.channel, message.note)
        if message.type == "note_on" and message.velocity > 0:
            if early.get((key, now), 0) > 0:
                early[key, now] -= 1
                notes.append([now, now, message])
            else:
                sounding.setdefault(key, []).append((now, message))
        elif sounding.get(key):
            began, beginning = sounding[key].pop(0)
            notes.append([began, now, beginning])
        else:
            early[key, now] = early.get((key, now), 0) + 1
    return notes, others


def mido_reading(path):
    """Notes [tick, ticks long, number] by mido's messages, and meters, tempos, keys."""
    file = mido.MidiFile(path)
    notes, grid = [], set()
    for track in file.tracks:
        of_track, others = paired(track)
        notes += [[began, ended - began, message.note] for began, ended, message in of_track]
        for at, message in others:
            if message.type == "time_signature":
                grid.add((at, "meter", f"{message.numerator}/{message.denominator}"))
            elif message.type == "set_tempo":
                grid.add((at, "tempo", str(message.tempo)))
            elif message.type == "key_signature":
                grid.add((at, "key", message.key))
    return file.ticks_per_beat, sorted(notes), sorted(grid)


def music21_reading(path, division):
    """[tick, MIDI number] of music21's own reading, its quantising switched off as far as it goes."""
    score = music21.converter.parse(path, forceSource=True, quantizePost=False)
    found = []
    for element in score.flatten().notes:
        if element.tie is None or element.tie.type == "start":
            for pitch in element.pitches:
                found.append([round(Fraction(element.offset) * division), pitch.midi])
    return sorted(found)


def play_unevenly(path, out, seed):
    """Moves every onset and end by up to 25 ms, each note by itself; rolls half of the chords of three notes or more,
    upward, 30 to 60 ms from note to note."""
    chance = random.Random(seed)
    file = mido.MidiFile(path)
    played = mido.MidiFile(ticks_per_beat=file.ticks_per_beat, type=1)
    tempos = sorted((at, int(value)) for at, kind, value in mido_reading(path)[2] if kind == "tempo")

    def ticks(at, seconds):
        tempo = next((tempo for start, tempo in reversed(tempos) if start <= at), 500000)
        return round(seconds * 1e6 / tempo * file.ticks_per_beat)

    for track in file.tracks:
        notes, others = paired(track)
        events = [(at, 0, message) for at, message in others if message.type != "end_of_track"]
        chords = {}
        for note in notes:
            if note[1] == note[0]:
                continue  # no one plays a note of no length
            chords.setdefault(note[0], []).append(note)
        for began, chord in sorted(chords.items()):
            chord.sort(key=lambda note: note[2].note)
            rolled = len(chord) >= 3 and chance.random() < 0.5
            moved = began + ticks(began, chance.uniform(-0.025, 0.025))
            for _, end, message in chord:
                if rolled:
                    on, moved = moved, moved + ticks(began, chance.uniform(0.030, 0.060))
                else:
                    on = began + ticks(began, chance.uniform(-0.025, 0.025))
                on = max(0, on)
                off = max(on + ticks(began, 0.010), end + ticks(began, chance.uniform(-0.025, 0.025)))
                events.append((on, 2, message.copy(time=0)))
                events.append((off, 1, mido.Message("note_off", channel=message.channel, note=message.note)))
        line, last = mido.MidiTrack(), 0
        for at, _, message in sorted(events, key=lambda event: event[:2]):
            line.append(message.copy(time=at - last))
            last = at
        played.tracks.append(line)
    played.save(out)


def facts_of(piece, index, folder):
    score = music21.corpus.parse(piece)
    if isinstance(score, music21.stream.Opus):
        score = score.scores[0]
    path = folder / f"{index}.mid"
    score.write("midi", path)
    division, notes, grid = mido_reading(path)
    play_unevenly(path, folder / f"{index}.played.mid", 20240 + index)
    # music21 writes repeats out itself.
    written = written_notes(score.expandRepeats(), division)
    return {
        "piece": piece,
        "division": division,
        "written": written,
        "notes": notes,
        "grid": grid,
        "music21": music21_reading(path, division),
    }


def main():
    folder = Path(sys.argv[1])
    for index, piece in enumerate(sys.argv[2:]):
        try:
            facts = facts_of(piece, index, folder)
        except (music21.exceptions21.Music21Exception, ValueError) as error:
            # Its repeats can't be written out, for instance.
            facts = {"piece": piece, "refused": str(error)}
        (folder / f"{index}.json").write_text(json.dumps(facts))


if __name__ == "__main__":
    main()
