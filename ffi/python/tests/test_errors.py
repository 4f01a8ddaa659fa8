"""Every error says where, what was expected and what was found. Expected words: the core's, which its own tests hold.

Source: the contract: every error says what was expected, what was found, and in which file, line and column; PEP 3151 for files
that cannot be opened.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

import fairspell


def test_a_file_has_file_line_and_column(tmp_path: Path) -> None:
    path = tmp_path / "station.csv"
    path.write_text("date,tmin_f\n2027-04-01,3O\n", encoding="utf-8")
    with pytest.raises(fairspell.ReadError) as caught:
        fairspell.freeze(path)
    error = caught.value
    assert (error.file, error.line, error.column, error.found) == (str(path), 2, 12, '"3O"')
    assert error.expected.startswith("a temperature")
    assert str(error).startswith(f"{path}:2:12: expected ")
    assert isinstance(error, ValueError)


def test_a_site_has_them_too() -> None:
    with pytest.raises(fairspell.FileError) as caught:
        fairspell.freeze(b"date,tmin_f\n2027-04-01,30\n", site=b'name = "a"\nlatitude = 91.0\n')
    assert (caught.value.file, caught.value.line) == ("site", 2)


def test_columns_have_a_row() -> None:
    with pytest.raises(fairspell.ReadError) as caught:
        fairspell.hindcast("oil", {"time": [0, 3600, 3600], "temperature_f": [1.0, 2.0, 3.0]}, zone="UTC")
    assert (caught.value.file, caught.value.line, caught.value.column) == ("columns", 3, 1)


@pytest.mark.parametrize(("name", "kind"), [("no-such-file.csv", FileNotFoundError), (".", IsADirectoryError)])
def test_a_file_that_cannot_be_read(name: str, kind: type[OSError]) -> None:
    """The exception that Python's own `open` raises, with the same words."""
    with pytest.raises(kind) as ours:
        fairspell.freeze(name)
    with pytest.raises(kind) as theirs:
        open(name, encoding="utf-8")
    assert str(ours.value) == str(theirs.value)
    assert (ours.value.errno, ours.value.filename) == (theirs.value.errno, name)


DAY = {"date": ["2027-04-01"], "tmin_f": [30.0]}
HOUR = {"time": [0], "temperature_f": [50.0]}


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: fairspell.freeze(DAY, thresholds=["28 mph"]), "thresholds: expected a temperature"),
        (lambda: fairspell.freeze(DAY, risk="0%"), "risk: expected a share"),
        (lambda: fairspell.freeze(DAY, record_units="kelvin"), "record_units: expected us, metric or tenths"),
        (lambda: fairspell.season(DAY, weights=(0.0, 0.0)), "weights: expected two numbers"),
        (lambda: fairspell.season(DAY, degree_days=float("nan")), "degree_days: expected degree days"),
        (lambda: fairspell.season(DAY, year=99), "year: expected one from 1800 to 2200"),
        (lambda: fairspell.decide("oil", HOUR, zone="Mars/Base"), "zone: expected an IANA time zone"),
        (lambda: fairspell.decide("oil", HOUR, zone="UTC", latitude=float("nan")), "latitude: expected degrees"),
        (lambda: fairspell.decide("oil", HOUR), "expected the time zone of the place (zone=, or a site that has one), found none"),
        (lambda: fairspell.decide("wood", HOUR, zone="UTC"), "operation: expected oil, prune or the path"),
        (lambda: fairspell.decide("oil", HOUR, zone="UTC", within="500h"), "within: expected a length of time"),
        (lambda: fairspell.decide("oil", HOUR, zone="UTC", at="noon"), "at: expected"),
        (lambda: fairspell.decide("oil", HOUR, zone="UTC", min_confidence="70%", confidence=False), "confidence: expected True"),
        (lambda: fairspell.decide("oil", HOUR, zone="UTC", missed_loss=1.0), "record: expected one"),
        (lambda: fairspell.decide_many("oil", [HOUR, HOUR], sites=[b""]), "sites: expected 2"),
        (lambda: fairspell.hindcast("oil", HOUR, zone="UTC", season="13-01..14-01"), "season: expected"),
    ],
)
def test_an_argument_that_does_not_fit(ask: Any, words: str) -> None:
    with pytest.raises(fairspell.QuestionError) as caught:
        ask()
    assert str(caught.value).startswith(words)
    assert (caught.value.file, caught.value.line) == (None, None)
    assert caught.value.found


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"date": ["2027-04-01"]}, "expected a column tmin_f or tmin_c, found none"),
        ({"date": ["2027-04-02", "2027-04-01"], "tmin_f": [1.0, 2.0]}, "expected a date after the row above"),
        ({"date": ["0001-01-01", "2027-04-01"], "tmin_f": [1.0, 2.0]}, "expected at most 400 years"),
        ({"date": ["2027-04-01"], "tmin_f": [1.0, 2.0]}, "expected 1 values in the column tmin"),
        ({"date": ["soon"], "tmin_f": [1.0]}, "expected dates"),
        ({"date": ["2027-04-01"], "tmin_f": ["cold"]}, "expected numbers in the column tmin_f"),
        ({"date": ["2027-04-01"], "tmin_f": np.zeros((1, 1))}, "expected a column tmin_f of one dimension"),
        ({"date": [], "tmin_f": []}, "expected at least one day"),
        (HOUR, "expected days, found hours"),
        ({"date": ["2027-04-01"] * 3, "tmin_f": [1.0] * 3, "station": ["A", "B", "A"]}, "expected the rows of each station together"),
        (b"\xff\xfe", "expected"),
    ],
)
def test_a_record_that_cannot_be_read(data: Any, words: str) -> None:
    with pytest.raises(fairspell.ReadError) as caught:
        fairspell.freeze(data)
    assert words in str(caught.value)
    assert caught.value.file in ("columns", "bytes")


def test_what_a_file_does_not_say_is_asked_for_by_its_argument() -> None:
    local = b"time,temperature_f\n2027-03-10T09:00,50\n"
    with pytest.raises(fairspell.ReadError) as caught:
        fairspell.decide("oil", local)
    assert caught.value.expected.endswith("beside a local time (zone=, or a site that has one)")
    assert caught.value.found == '"2027-03-10T09:00"'
    summaries = b"STATION,DATE,TMAX,TMIN\nS1,2027-04-01,122,-22\n"
    with pytest.raises(fairspell.ReadError) as caught:
        fairspell.freeze(summaries)
    assert caught.value.expected.endswith("whose file does not say them (record_units=)")
    assert fairspell.freeze(summaries, record_units="tenths", replicates=0).station == "S1"


def test_one_station_where_one_is_asked() -> None:
    two = b"station,date,tmin_f\nA,2027-04-01,33\nB,2027-04-01,28\n"
    with pytest.raises(fairspell.ReadError, match="expected one station, found 2"):
        fairspell.freeze(two)
    with pytest.raises(fairspell.ReadError, match="expected a record of one station, found"):
        fairspell.season(two)


def test_an_answer_is_frozen() -> None:
    answer = fairspell.freeze(DAY, replicates=0)
    with pytest.raises(AttributeError):
        answer.station = "B"  # type: ignore[misc]
    with pytest.raises(AttributeError):
        del answer._native
    changed = answer.to_dict()
    changed["notices"].append("x")
    assert answer.to_dict() != changed  # a dictionary is the caller's own
    assert answer == fairspell.freeze(DAY, replicates=0)
    assert hash(answer) == hash(fairspell.freeze(DAY, replicates=0))
    assert answer != fairspell.freeze({"date": ["2027-04-01"], "tmin_f": [31.0], "station": ["S"]}, replicates=0)
