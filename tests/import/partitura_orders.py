"""The order in which partitura plays the bars of scores: one JSON object a line, with the order or why there is none.

Usage: partitura_orders.py FOLDER < NAMES     the files of those names in FOLDER, one a line

The order is a list of bar indices of the first part, by its longest unfolding.
"""

import json
import pathlib
import sys
import warnings

import partitura
from partitura.score import Measure, unfold_part_maximal


def order_of(path):
    part = partitura.load_musicxml(str(path)).parts[0]
    numbers = [measure.number for measure in part.iter_all(Measure)]
    if numbers != list(range(1, len(numbers) + 1)):
        raise ValueError("bars that are not counted in order")
    return [measure.number - 1 for measure in unfold_part_maximal(part).iter_all(Measure)]


def main():
    warnings.simplefilter("ignore")
    folder = pathlib.Path(sys.argv[1])
    for line in sys.stdin:
        name = line.rstrip("\n")
        answer = {"file": name, "order": None}
        try:
            answer["order"] = order_of(folder / name)
        except Exception as error:
            answer["order_error"] = f"{type(error).__name__}: {error}"
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
