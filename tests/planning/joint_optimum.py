"""The best plan of short pieces by constraint programming, strings and places decided together.

Each line of standard input is one piece as JSON (see `cuts.rs`); each line of standard output answers it. The model is
written from the planner's documented rules and shares no code with it; times and costs are worked out here from the
numbers of the hand model.

Strings: every pluck takes one of its strings or none. On each string the plucks it takes form a path; a step of that path
between two lever states is a flip. Places: a flip that is on the path takes one place of its window and one hand. Flips of
neighbouring strings the same way at one place in one hand are one gesture; gestures of one hand with none of its plucks
between follow each other and may hurry each other. Grace notes come before the beat and rolled strings after it, in no more than
a third of the time to the next note on that side: flips keep clear of their sounds, and hands are busy with them.

First the fewest unplayable notes, then rushed gestures, then 10 * flips + 4 * respelled notes; with these fixed, the least
comfort cost. The solver is asked whether anything is better than the plan it is told of, and then for the most comfortable plan
with the same three counts, which must exist. Where the strings by themselves allow no fewer unplayable notes and no less work than a
plan without rushed gestures has, its first three counts are proved without placing anything.
"""

import json
import math
import sys
import time
from collections import defaultdict

from ortools.sat.python import cp_model

LONGEST_GESTURE = 6
SLACK_STEPS = [(2.0, 0), (1.5, 1), (1.25, 2), (1.0, 4), (0.75, 8), (0.5, 12)]


def slack_cost(slack):
    if slack is None:
        return 0
    for least, cost in SLACK_STEPS:
        if slack >= least:
            return cost
    return 16 if slack > 0 else 24


class Narrow(Exception):
    """A flip for which the grid has no place between two sounds: the planner then takes one of its own."""


class Piece:
    def __init__(self, data):
        self.data = data
        self.plucks = data["plucks"]
        self.strings = data["strings"]
        self.places = data["places"]
        self.pace = data["pace"]
        for pluck in self.plucks:
            self.set_sound(pluck)
        self.stops = [self.stops_of(hand) for hand in ("left", "right")]

    def seconds(self, ticks):
        return ticks / self.data["quarter"] * 60.0 / self.data["bpm"]

    def set_sound(self, pluck):
        """When it begins and is over, in seconds; and between which ticks no lever of its string moves."""
        at, pace = pluck["at"], self.pace
        now = self.seconds(at)
        begins = ends = now
        mates = [other for other in self.plucks if other["at"] == at]
        if pluck["grace"] is not None:
            orders = sorted({other["grace"] for other in mates
                             if other["grace"] is not None and other["hand"] == pluck["hand"]})
            step = pace["grace_step"]
            earlier = [other["at"] for other in self.plucks if other["at"] < at]
            if earlier:
                step = min(step, (now - self.seconds(max(earlier))) / 3 / len(orders))
            begins = ends = now - step * (len(orders) - orders.index(pluck["grace"]))
        elif pluck["roll"] is not None:
            chord = [other["midi"] for other in mates if other["grace"] is None and other["roll"] == pluck["roll"]]
            sign = 1 if pluck["roll"] == "up" else -1
            rank = lambda midi: sum(1 for other in chord if sign * other < sign * midi)
            longest = max(rank(midi) for midi in chord)
            later = [other["at"] for other in self.plucks if other["at"] > at] + [self.data["end"]]
            later = [other for other in later if other > at]
            step = pace["roll_step"]
            if later and longest:
                step = min(step, (self.seconds(min(later)) - now) / 3 / longest)
            ends = now + step * rank(pluck["midi"])
        ticks = lambda seconds: round(seconds * self.data["bpm"] / 60.0 * self.data["quarter"])
        pluck["begins"], pluck["ends"] = begins, ends
        pluck["first"] = at if begins == now else ticks(begins)
        pluck["last"] = at if ends <= now else ticks(ends)

    def stops_of(self, hand):
        """Moments at which a hand plucks: (at, begins, free, across)."""
        stops = []
        for pluck in self.plucks:
            if pluck["hand"] != hand:
                continue
            across = [s["across"] for s in self.strings if s["steps"] == pluck["steps"]]
            if stops and stops[-1]["at"] == pluck["at"]:
                stop = stops[-1]
                stop["begins"] = min(stop["begins"], pluck["begins"])
                stop["free"] = max(stop["free"], pluck["ends"])
            else:
                stop = {"at": pluck["at"], "begins": pluck["begins"], "free": pluck["ends"], "across": []}
                stops.append(stop)
            stop["across"] += across
        return stops

    def around(self, hand, at):
        """The stops of a hand at or before a moment, and after it; and how many have gone by."""
        stops = self.stops[hand]
        gone = sum(1 for stop in stops if stop["at"] <= at)
        return (stops[gone - 1] if gone else None, stops[gone] if gone < len(stops) else None, gone)

    @staticmethod
    def mean(stop):
        if stop is None or not stop["across"]:
            return None
        return sum(stop["across"]) / len(stop["across"])

    def reach_share(self, mm):
        pace = self.pace
        difficulty = lambda d: max(0.0, math.log2(2.0 * d / pace["lever_width"])) if d > 0 else 0.0
        return pace["floor"] + (1 - pace["floor"]) * difficulty(mm) / difficulty(pace["nominal_reach"])

    def farthest(self, stop, strings):
        across = self.mean(stop)
        reach = 0.0
        for s in strings:
            sideways = 0.0 if across is None else across - self.strings[s]["across"]
            reach = max(reach, math.hypot(sideways, self.strings[s]["lever_above"]))
        return reach

    def slack(self, hand, at, strings):
        """Time over need of a gesture that follows no other."""
        before, after, _ = self.around(hand, at)
        pace, now, sides = self.pace, self.seconds(at), []
        further = pace["factor"] * pace["further"] * (len(strings) - 1)
        if before is not None:
            need = pace["factor"] * (pace["flip"] + pace["out"] * self.reach_share(self.farthest(before, strings)))
            sides.append(max(0.0, now - before["free"]) / (need + further))
        if after is not None:
            need = pace["factor"] * (pace["place"] + pace["back"] * self.reach_share(self.farthest(after, strings)))
            sides.append(max(0.0, after["begins"] - now) / need)
        return min(sides) if sides else None

    def leap(self, hand, at):
        before, after, _ = self.around(hand, at)
        a, b = self.mean(before), self.mean(after)
        if a is None or b is None or after["begins"] - self.seconds(at) >= 1.0:
            return 0
        strings = abs(a - b) / 15.9
        return 4 if strings > 8.5 else 2 if strings > 5.5 else 0

    def ring(self, midi):
        points = [(48, 9.0), (60, 4.0), (72, 2.0), (84, 1.0), (96, 0.5)]
        if midi <= 48:
            return 9.0
        for (low, long), (high, short) in zip(points, points[1:]):
            if midi <= high:
                return long + (short - long) * (midi - low) / (high - low)
        return 0.5

    def base_comfort(self, hand, place, last, need):
        """Everything but how tight the time is. `last` is the string's last pluck, `need` the one that needs the flip."""
        at = place["at"]
        cost = place["cost"]
        end = max(p["end"] for p in self.plucks if p["at"] == last["at"] and p["midi"] == last["midi"])
        if at < end:
            cost += 6
        elif self.seconds(at) - self.seconds(last["at"]) < self.ring(last["midi"]):
            cost += 3
        cost += 5 if hand == 1 else 0
        cost += self.leap(1 - hand, at)
        return cost + (need["at"] - at) // (2 * self.data["quarter"])


def strings_model(piece):
    """Strings and flips: the model, the counts of unplayable and respelled notes, and the flips that may be."""
    m = cp_model.CpModel()
    plucks = piece.plucks
    taken = {}
    unplayable, respelled = [], []
    for p, pluck in enumerate(plucks):
        ways = []
        for s, string in enumerate(piece.strings):
            up = pluck["midi"] - string["midi"]
            if up == 0 or up == 1 and string["fitted"]:
                y = m.new_bool_var("")
                taken[p, s] = (y, up)
                ways.append(y)
                if string["steps"] != pluck["steps"]:
                    respelled.append(y)
        out = m.new_bool_var("")
        unplayable.append(out)
        m.add_exactly_one(ways + [out])
        if pluck["only"] is not None:
            m.add(out == 0)

    # Paths along the strings; a step between two states is a flip.
    flips = []
    for s in range(len(piece.strings)):
        mine = [p for p in range(len(plucks)) if (p, s) in taken]
        into, outof = defaultdict(list), defaultdict(list)
        first = []
        for i, p in enumerate(mine):
            begin = m.new_bool_var("")
            into[p].append(begin)
            first.append(begin)
            outof[p].append(m.new_bool_var(""))
            for q in mine[i + 1:]:
                same = taken[p, s][1] == taken[q, s][1]
                if same or plucks[p]["at"] != plucks[q]["at"]:
                    step = m.new_bool_var("")
                    outof[p].append(step)
                    into[q].append(step)
                    if not same:
                        certain = plucks[p]["only"] == s and plucks[q]["only"] == s and q == mine[i + 1]
                        flips.append((step, s, taken[q, s][1], p, q, certain))
                if plucks[q]["only"] == s:
                    break
        for p in mine:
            m.add(sum(into[p]) == taken[p, s][0])
            m.add(sum(outof[p]) == taken[p, s][0])
        if first:
            m.add_at_most_one(first)
    work = 10 * sum(step for step, *_ in flips) + 4 * sum(respelled)
    return m, sum(unplayable), work, flips


def options_of(piece, flip):
    """Every place and hand of a flip with its comfort but for tight time, and the least it comes to by itself."""
    _, s, _, p, q, _ = flip
    options = []
    for t, place in enumerate(piece.places):
        if piece.plucks[p]["last"] < place["at"] < piece.plucks[q]["first"]:
            for hand in (0, 1):
                base = piece.base_comfort(hand, place, piece.plucks[p], piece.plucks[q])
                options.append((t, hand, base, base + slack_cost(piece.slack(hand, place["at"], [s]))))
    if not options:
        raise Narrow
    return options


def build(piece, most_comfort):
    """The model: its three counts and its comfort as expressions. Where `most_comfort` is given, options that must lead to
    more are left out: company never makes a flip cheaper, so flips that are certain cost their least at least."""
    m, unplayable, work, flips = strings_model(piece)
    options = [options_of(piece, flip) for flip in flips]
    least = [min((alone for *_, alone in found), default=0) for found in options]
    surely = sum(cost for cost, flip in zip(least, flips) if flip[5])

    # A place and a hand for every flip.
    at_place = defaultdict(list)
    for (step, s, to, _, _, certain), found, own in zip(flips, options, least):
        mine = []
        for t, hand, base, alone in found:
            if most_comfort is not None and alone > most_comfort - surely + (own if certain else 0):
                continue
            z = m.new_bool_var("")
            mine.append(z)
            at_place[t, hand, to].append((s, z, base))
        m.add(sum(mine) == step)

    comfort, rushed = [], []
    present = defaultdict(list)
    gestures = []
    for (t, hand, to), options in at_place.items():
        by_string = defaultdict(list)
        for s, z, base in options:
            by_string[s].append(z)
            comfort.append(base * z)
        used = {s: (zs[0] if len(zs) == 1 else None) for s, zs in by_string.items()}
        for s, zs in by_string.items():
            if used[s] is None:
                used[s] = m.new_bool_var("")
                m.add(sum(zs) == used[s])
            present[t, hand].append(used[s])
        covers = defaultdict(list)
        for low in sorted(used):
            strings = []
            for s in range(low, low + LONGEST_GESTURE):
                if s not in used:
                    break
                strings.append(s)
                slack = piece.slack(hand, piece.places[t]["at"], strings)
                if len(strings) == 1 and low - 1 not in used and low + 1 not in used:
                    g = used[s]
                else:
                    g = m.new_bool_var("")
                    for end in (low - 1, s + 1):
                        if end in used:
                            m.add_implication(g, used[end].negated())
                for covered in strings:
                    covers[covered].append(g)
                late = slack is not None and slack < 1.0
                comfort.append(slack_cost(slack) * len(strings) * g)
                if late:
                    rushed.append(g)
                gestures.append((t, hand, to, low, len(strings), slack, g))
        for s in used:
            if not (len(covers[s]) == 1 and covers[s][0] is used[s]):
                m.add(sum(covers[s]) == used[s])

    # Gestures that follow others of the same hand.
    anyone = {}
    for key, used in present.items():
        anyone[key] = m.new_bool_var("")
        m.add_max_equality(anyone[key], used)
    of_place = defaultdict(list)
    for gesture in gestures:
        of_place[gesture[0], gesture[1]].append(gesture)
    for t, hand, to, low, size, slack, g in gestures:
        at = piece.places[t]["at"]
        need = piece.pace["factor"] * (piece.pace["lever_to_lever"] + piece.pace["further"] * (size - 1))
        gone = piece.around(hand, at)[2]
        own = slack_cost(slack)
        late = slack is not None and slack < 1.0
        worse, later = [], []
        for t2 in range(t - 1, -1, -1):
            place = piece.places[t2]
            follows = (piece.seconds(at) - piece.seconds(place["at"])) / need
            if piece.around(hand, place["at"])[2] != gone or follows >= 2.0:
                break
            if (t2, hand) in anyone and slack_cost(follows) > own:
                worse.append((slack_cost(follows), follows < 1.0, anyone[t2, hand]))
        for other in of_place[t, hand]:
            if (other[2], other[3]) < (to, low):
                worse.append((24, True, other[6]))
        if not worse:
            continue
        extra = m.new_int_var(0, 24 * size, "")
        hurried = m.new_bool_var("")
        for cost, is_late, other in worse:
            if cost > own:
                m.add(extra >= (cost - own) * size).only_enforce_if([g, other])
            if is_late and not late:
                m.add_bool_or([g.negated(), other.negated(), hurried])
                later.append(other)
        comfort.append(extra)
        if later:
            rushed.append(hurried)
    return m, unplayable, sum(rushed), work, sum(comfort)


def solver(limit):
    s = cp_model.CpSolver()
    s.parameters.random_seed = 1
    s.parameters.num_workers = 2
    s.parameters.max_time_in_seconds = limit
    return s


def answer(data, limit):
    """What the solver says: the best first three counts, the least comfort with them, and how long it took. Each is None where
    that was not proved in time."""
    piece = Piece(data)
    ours = data["ours"]
    found = {"name": data["name"], "first": None, "comfort": None}
    started = time.monotonic()
    m, unplayable, work, _ = strings_model(piece)
    m.minimize(100_000 * unplayable + work)
    s = solver(limit)
    if s.solve(m) != cp_model.OPTIMAL:
        return found | {"seconds": time.monotonic() - started}
    best = int(round(s.objective_value))
    # No plan has fewer unplayable notes, nor less work with as few.
    fewest, least_work = best // 100_000, best % 100_000
    is_best = ours[:3] == [fewest, 0, least_work]
    if not is_best:
        m, unplayable, rushed, work, _ = build(piece, None)
        m.add(unplayable == fewest)
        m.add(work >= least_work)
        if ours[0] == fewest:
            m.add(20_000 * rushed + work <= 20_000 * ours[1] + ours[2] - 1)
        m.minimize(20_000 * rushed + work)
        s = solver(limit)
        status = s.solve(m)
        if status == cp_model.OPTIMAL:
            better = int(round(s.objective_value))
            first = [fewest, better // 20_000, better % 20_000]
            return found | {"first": first, "seconds": time.monotonic() - started}
        if status != cp_model.INFEASIBLE:
            return found | {"seconds": time.monotonic() - started}
    # Nothing is better than our counts; whether anything is as good is the next question's to say.
    m, unplayable, rushed, work, cost = build(piece, ours[3])
    m.add(unplayable == ours[0])
    m.add(rushed == ours[1])
    m.add(work == ours[2])
    m.add(cost <= ours[3])
    m.minimize(cost)
    s = solver(limit)
    status = s.solve(m)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) or is_best:
        found["first"] = ours[:3]
    if status == cp_model.OPTIMAL:
        found["comfort"] = int(round(s.objective_value))
    elif status == cp_model.INFEASIBLE:
        found |= {"first": ours[:3], "comfort": "none as good"}
    return found | {"seconds": time.monotonic() - started}


def main():
    limit = float(sys.argv[1])
    for line in sys.stdin:
        data = json.loads(line)
        try:
            found = answer(data, limit)
        except Narrow:
            found = {"name": data["name"], "first": None, "comfort": None, "seconds": 0.0}
        print(json.dumps(found), flush=True)


if __name__ == "__main__":
    main()
