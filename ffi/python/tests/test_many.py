"""Many at once: the bits of one by one, whatever the threads; the lock is released; imports in parallel.

Source: the contract, promise 4 (one engine): the number of threads changes no answer.
"""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import DEMO

import fairspell

DAYS = np.arange("1960-01-01", "2020-01-01", dtype="datetime64[D]")


def station(seed: int) -> dict[str, Any]:
    """An invented record of sixty years."""
    random = np.random.default_rng(seed)
    turn = 2 * np.pi * np.arange(len(DAYS)) / 365.25
    return {"station": [f"S{seed}"] * len(DAYS), "date": DAYS, "tmin_c": 4.0 - 12.0 * np.cos(turn) + random.normal(0, 4, len(DAYS))}


@pytest.mark.parametrize("threads", [1, 2, 7, None])
def test_freezes_are_those_of_one_by_one(threads: int | None) -> None:
    records = [station(seed) for seed in range(3)]
    many = fairspell.freeze_many(records, replicates=30, threads=threads)
    assert [answer.station for answer in many] == ["S0", "S1", "S2"]
    assert many == [fairspell.freeze(record, replicates=30) for record in records]
    assert len({answer.to_json() for answer in many}) == 3


@pytest.mark.parametrize("threads", [1, 3, None])
def test_decisions_are_those_of_one_by_one(threads: int | None) -> None:
    site, forecast = (DEMO / "site.toml").read_bytes(), (DEMO / "forecast.csv").read_bytes()
    hill = site.replace(b"Quince Hollow", b"Quince Hill").replace(b"zone =", b"# the hill\nzone =")
    many = fairspell.decide_many("oil", [forecast] * 4, sites=[site, hill, site, hill], at="2027-03-08T06:00", threads=threads)
    ones = [fairspell.decide("oil", forecast, site=one, at="2027-03-08T06:00") for one in (site, hill)]
    assert many == ones * 2
    assert ones[0] != ones[1]


def test_an_error_among_many_is_that_of_the_first() -> None:
    wrong = b"time,temperature_f\n2027-03-10T09:00Z,x\n"
    good = b"time,temperature_f\n2027-03-10T09:00Z,50\n"
    with pytest.raises(fairspell.ReadError, match=":2:19: "):
        fairspell.decide_many("oil", [good, wrong, good, wrong], zone="UTC", at="2027-03-10T09:00Z")


def test_hindcasts_are_those_of_one_by_one(newark: Path) -> None:
    rows = newark.read_text(encoding="utf-8").splitlines()[:3000]
    both = "\n".join([f"station,{rows[0]}", *(f"A,{row}" for row in rows[1:2000]), *(f"B,{row}" for row in rows[1:])]).encode()
    many = fairspell.hindcast_many("oil", both, zone="America/New_York")
    alone = fairspell.hindcast("oil", "\n".join(rows).encode(), zone="America/New_York")
    assert [answer.station for answer in many] == ["A", "B"]
    assert many[1].spells == alone.spells
    assert 10 < len(many[0].spells) < len(many[1].spells)


def test_the_lock_is_released() -> None:
    """While one thread works, another goes on counting: with the lock held it could not until the work is done."""
    records = [station(seed) for seed in range(4)]
    done = threading.Event()

    def work() -> None:
        fairspell.freeze_many(records, replicates=200, threads=1)
        done.set()

    thread = threading.Thread(target=work)
    thread.start()
    ticks = 0
    while not done.is_set():
        time.sleep(0.005)
        ticks += 1
    thread.join()
    assert ticks > 10


def test_threads_of_python_share_answers() -> None:
    record, found = station(1), []

    def ask() -> None:
        answer = fairspell.freeze(record, replicates=50)
        found.append((answer.to_json(), answer.to_svg(), answer.thresholds))

    threads = [threading.Thread(target=ask) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 8
    assert all(one == found[0] for one in found)


def test_imports_in_parallel() -> None:
    """Eight threads import the package at once in a fresh interpreter."""
    code = (
        "import threading\n"
        "found = []\n"
        "def load():\n"
        "    import fairspell\n"
        "    found.append(fairspell.freeze({'date': ['2027-04-01'], 'tmin_f': [30.0]}, replicates=0).to_json())\n"
        "threads = [threading.Thread(target=load) for _ in range(8)]\n"
        "[thread.start() for thread in threads]\n"
        "[thread.join() for thread in threads]\n"
        "assert len(found) == 8 and len(set(found)) == 1, found\n"
    )
    done = subprocess.run([sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
