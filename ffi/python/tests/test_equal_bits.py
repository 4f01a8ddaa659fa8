"""The same answers as the command line gives on the same inputs, to the last bit: JSON prints a float so that it reads back as
itself, so that equal text is equal bits. Inputs: the demo (invented) and the open records of `data/open`.

Source: the contract, promise 4 (one engine).
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from conftest import DEMO, OPEN, Run

import fairspell

SITE, FORECAST, STATION = DEMO / "site.toml", DEMO / "forecast.csv", DEMO / "station.csv"
AT = "2027-03-08T06:00"
SUFFOLK = OPEN / "csv" / "daily_suffolk_uk.csv"


def bits(value: Any) -> Iterator[bytes]:
    """Every float of an answer as its eight bytes, in order."""
    if isinstance(value, float):
        yield struct.pack("<d", value)
    elif isinstance(value, dict):
        for one in value.values():
            yield from bits(one)
    elif isinstance(value, list):
        for one in value:
            yield from bits(one)


def same(answer: fairspell.Answer, printed: str, floats: int) -> None:
    """The text, the dictionary and every float; `floats`: the least number of them, so that the check cannot be empty."""
    assert answer.to_json() + "\n" == printed
    told = json.loads(printed)
    assert answer.to_dict() == told
    ours, theirs = list(bits(answer.to_dict())), list(bits(told))
    assert ours == theirs
    assert len(ours) >= floats


@pytest.mark.parametrize("operation", ["oil", "prune"])
def test_decide(command_line: Run, operation: str) -> None:
    printed = command_line("decide", operation, FORECAST, "--site", SITE, "--at", AT, "--format", "json", "--explain")
    same(fairspell.decide(operation, FORECAST, site=SITE, at=AT, explain=True), printed, 100)


def test_decide_with_everything(command_line: Run) -> None:
    printed = command_line(
        "decide", "oil", FORECAST, "--site", SITE, "--at", AT, "--within", "60h", "--observed", DEMO / "observed.csv",
        "--record", STATION, "--missed-loss", "2", "--strict", "--min-confidence", "60%", "--format", "json",
    )  # fmt: skip
    answer = fairspell.decide(
        "oil", FORECAST, site=SITE, at=AT, within="60h", observed=DEMO / "observed.csv", record=STATION,
        missed_loss=2.0, strict=True, min_confidence="60%",
    )  # fmt: skip
    same(answer, printed, 100)


def test_decide_with_observed_hours(command_line: Run) -> None:
    """At midnight the rules look at hours before the forecast: without them they cannot tell."""
    midnight, observed = "2027-03-08T00:00", DEMO / "observed.csv"
    printed = command_line("decide", "oil", FORECAST, "--site", SITE, "--at", midnight, "--observed", observed, "--format", "json")
    same(fairspell.decide("oil", FORECAST, site=SITE, at=midnight, observed=observed), printed, 100)
    alone = fairspell.decide("oil", FORECAST, site=SITE, at=midnight)
    assert alone.to_dict()["hours"] != json.loads(printed)["hours"]


def test_decide_with_past_hours(command_line: Run, newark: Path, tmp_path: Path) -> None:
    """Three years of past hours: that of Newark, three times, so that a date has enough days to count by."""
    header, *rows = newark.read_text(encoding="utf-8").splitlines()
    years = [row.replace("2013-", f"{year}-", 1) for year in (2013, 2014, 2015) for row in rows]
    newark = tmp_path / "past.csv"
    newark.write_text("\n".join([header, *years]) + "\n", encoding="utf-8")
    ask = ["--site", SITE, "--at", AT, "--record", STATION, "--past", newark, "--dry-now", "--format", "json"]
    answer = fairspell.decide("oil", FORECAST, site=SITE, at=AT, record=STATION, past=newark, dry_now=True)
    same(answer, command_line("decide", "oil", FORECAST, *ask), 100)
    assert answer.to_dict()["wait"]["days_by_past_hours"] > 0


def test_season_with_this_year(command_line: Run, tmp_path: Path) -> None:
    """Days observed, and hours, which become days."""
    rows = STATION.read_text(encoding="utf-8").splitlines()
    days = tmp_path / "days.csv"
    days.write_text("\n".join([rows[0], *rows[-40:]]) + "\n", encoding="utf-8")
    year = 2027
    assert rows[-1].split(",")[1] == "2027-03-06"
    for observed in (days, DEMO / "forecast.csv"):
        ask = ["--site", SITE, "--year", str(year), "--observed", observed, "--replicates", "0", "--format", "json"]
        answer = fairspell.season(STATION, site=SITE, year=year, observed=observed, replicates=0)
        same(answer, command_line("season", STATION, *ask), 100)


def test_hindcast_with_a_log_and_forecasts(command_line: Run, newark: Path, tmp_path: Path) -> None:
    """A log of the demo with an entry for another operation, and an archive of invented forecasts, one degree too warm."""
    rows = [row.split(",") for row in newark.read_text(encoding="utf-8").splitlines()[1:3000]]
    kept = [f"2013-01-01T00:00Z,{time},{float(temperature) + 1.0}" for time, temperature, *_ in rows[:300] if temperature]
    archive, zone = tmp_path / "kept.csv", "America/New_York"
    archive.write_text("\n".join(["issued,time,temperature_f", *kept]) + "\n", encoding="utf-8")
    log = tmp_path / "done.csv"
    log.write_text((DEMO / "done.csv").read_text(encoding="utf-8").rstrip() + "\n2013-03-01,copper,\n", encoding="utf-8")
    printed = command_line("hindcast", "oil", newark, "--zone", zone, "--log", log, "--forecasts", archive, "--format", "json")
    answer = fairspell.hindcast("oil", newark, zone=zone, log=log, forecasts=archive)
    same(answer, printed, 100)
    assert answer.to_dict()["log"]
    assert any("for another operation" in notice for notice in answer.notices)
    assert answer.to_dict()["forecasts"]["hours"] > 200


@pytest.mark.parametrize("record", [STATION, SUFFOLK])
def test_freeze(command_line: Run, record: Any) -> None:
    printed = command_line("freeze", record, "--format", "json", "--on", "2027-04-10", "--risk", "10%", "--replicates", "200")
    same(fairspell.freeze(record, on=date(2027, 4, 10), risk="10%", replicates=200), printed, 1000)


def test_season(command_line: Run) -> None:
    printed = command_line("season", STATION, "--site", SITE, "--year", "2027", "--format", "json", "--replicates", "200", "--explain")
    same(fairspell.season(STATION, site=SITE, year=2027, replicates=200, explain=True), printed, 500)


@pytest.mark.parametrize("operation", ["oil", "prune"])
def test_hindcast(command_line: Run, newark: Path, operation: str) -> None:
    printed = command_line("hindcast", operation, newark, "--zone", "America/New_York", "--season", "02-01..04-30", "--format", "json")
    same(fairspell.hindcast(operation, newark, zone="America/New_York", season="02-01..04-30"), printed, 100)


def test_pictures(command_line: Run, newark: Path) -> None:
    """`_repr_html_` is the picture of the command line, byte for byte."""
    decided = command_line("decide", "oil", FORECAST, "--site", SITE, "--at", AT, "--format", "svg")
    assert fairspell.decide("oil", FORECAST, site=SITE, at=AT)._repr_html_() == decided
    frozen = command_line("freeze", SUFFOLK, "--format", "svg", "--replicates", "50")
    assert fairspell.freeze(SUFFOLK, replicates=50)._repr_html_() == frozen
    planned = command_line("season", STATION, "--site", SITE, "--year", "2027", "--format", "svg", "--replicates", "50")
    assert fairspell.season(STATION, site=SITE, year=2027, replicates=50)._repr_html_() == planned
    judged = command_line("hindcast", "oil", newark, "--zone", "America/New_York", "--format", "svg")
    assert fairspell.hindcast("oil", newark, zone="America/New_York")._repr_html_() == judged
