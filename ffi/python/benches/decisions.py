"""How many decisions a second, through Python, without confidence: `python decisions.py` prints a line a way.

The forecast is seven days of the demo (its weather is invented), the rules are the built-in ones of oil. Use a release build:
`pip install ./ffi/python`.
"""

from __future__ import annotations

import csv
import statistics
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

import fairspell

DEMO = Path(__file__).resolve().parents[3] / "data" / "demo"
ROUNDS, COUNT = 5, 1000


def columns(text: str) -> dict[str, Any]:
    """The forecast as arrays."""
    rows = list(csv.DictReader(text.splitlines()))
    found: dict[str, Any] = {}
    for name in rows[0]:
        if name == "time":
            found[name] = np.array([row[name][:19] for row in rows], dtype="datetime64[s]") + np.timedelta64(6, "h")
        elif name not in ("issued", "member"):
            found[name] = np.array([float(row[name] or "nan") for row in rows])
    return found


def median_rate(work: Callable[[], object], count: int) -> float:
    """Of some rounds, by the wall."""
    rates = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        work()
        rates.append(count / (time.perf_counter() - begun))
    return statistics.median(rates)


def main() -> None:
    """Prints the table."""
    site = (DEMO / "site.toml").read_bytes()
    text = (DEMO / "forecast.csv").read_bytes()
    arrays = columns(text.decode())
    ask: dict[str, Any] = {"site": site, "at": "2027-03-08T06:00", "confidence": False}
    ways: dict[str, Callable[[], object]] = {
        "decide, one by one, bytes": lambda: [fairspell.decide("oil", text, **ask).verdict for _ in range(COUNT)],
        "decide, one by one, arrays": lambda: [fairspell.decide("oil", arrays, **ask).verdict for _ in range(COUNT)],
        "decide_many, one thread, bytes": lambda: fairspell.decide_many("oil", [text] * COUNT, threads=1, **ask),
        "decide_many, one thread, arrays": lambda: fairspell.decide_many("oil", [arrays] * COUNT, threads=1, **ask),
        "decide_many, all cores, arrays": lambda: fairspell.decide_many("oil", [arrays] * COUNT, **ask),
    }
    for name, work in ways.items():
        print(f"{name:34} {median_rate(work, COUNT):8.0f} a second")


if __name__ == "__main__":
    main()
