"""Columns give the answers of the file that holds them. Expected values: the command line's on the same record, as a file.

Source: the contract, promise 4 (one engine): the same record gives the same answer however it comes; the Arrow PyCapsule
interface and NumPy's rules for contiguous arrays, by pyarrow, polars, pandas and NumPy themselves.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pyarrow.csv
import pytest
from conftest import OPEN

import fairspell
from fairspell._input import floats, given, split

SUFFOLK = OPEN / "csv" / "daily_suffolk_uk.csv"
CALM: dict[str, Any] = {"replicates": 0}


class Stream:
    """Anything that gives a stream by the Arrow PyCapsule interface, and nothing else."""

    def __init__(self, table: Any) -> None:
        self._table = table

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return self._table.__arrow_c_stream__(requested_schema)


def of_arrow(path: Path) -> Any:
    return pyarrow.csv.read_csv(path)


def shapes(path: Path, time: str) -> dict[str, Any]:
    """The same table in every shape that is taken."""
    arrow = of_arrow(path)
    if time == "time":
        arrow = arrow.set_column(0, time, arrow.column(time).cast(pa.timestamp("s", tz="UTC")))
    pandas = arrow.to_pandas()
    polars = pl.from_arrow(arrow)
    mapping = {name: pandas[name].to_numpy() for name in pandas.columns if name != time}
    stamps = arrow.column(time).to_numpy() if time == "time" else arrow.column(time).to_numpy().astype("datetime64[D]")
    lists = {name: arrow.column(name).to_pylist() for name in arrow.column_names}
    return {
        "numpy": {time: stamps} | mapping,
        "lists": lists,
        "pandas": pandas,
        "polars": polars,
        "arrow": arrow,
        "capsule": Stream(arrow),
        "capsule columns": {name: Stream(arrow.column(name)) if name != time else arrow.column(name) for name in arrow.column_names},
        "series of polars": {name: polars[name] for name in arrow.column_names},
    }


SHAPES = ["numpy", "lists", "pandas", "polars", "arrow", "capsule", "capsule columns", "series of polars"]


@pytest.mark.parametrize("shape", SHAPES)
def test_days(shape: str) -> None:
    of_columns = fairspell.freeze(shapes(SUFFOLK, "date")[shape], **CALM)
    assert of_columns.to_dict() == fairspell.freeze(SUFFOLK, **CALM).to_dict()
    assert len(of_columns.thresholds[0].spring.years) > 15  # the record is of 1991 to 2016


@pytest.mark.parametrize("shape", SHAPES)
def test_hours(shape: str, newark: Path) -> None:
    ours = fairspell.hindcast("oil", shapes(newark, "time")[shape], zone="America/New_York")
    assert ours.to_dict()["spells"] == fairspell.hindcast("oil", newark, zone="America/New_York").to_dict()["spells"]
    assert len(ours.spells) > 20


def test_a_season_of_columns() -> None:
    of_columns = fairspell.season(pd.read_csv(SUFFOLK), year=2027, latitude=52.2, **CALM)
    assert of_columns.to_json() == fairspell.season(SUFFOLK, year=2027, latitude=52.2, **CALM).to_json()


def test_in_place() -> None:
    """The layout allows it: what reaches the native half lies where the caller's values lie."""
    days = np.arange("2027-01-01", "2027-03-01", dtype="datetime64[D]")
    tmin = np.linspace(20.0, 40.0, len(days))
    chunked = pa.chunked_array([pa.array(tmin)])
    series = pl.Series(tmin)
    addresses: list[tuple[Any, int]] = [
        (tmin, tmin.ctypes.data),
        (pd.Series(tmin, copy=False), tmin.ctypes.data),
        (series, series.to_arrow().buffers()[1].address),
        (chunked, chunked.chunk(0).buffers()[1].address),
        (Stream(chunked), chunked.chunk(0).buffers()[1].address),
    ]
    for column, address in addresses:
        assert floats(column, "tmin_f", "columns").ctypes.data == address, type(column)
    both = split({"station": ["A"] * 30 + ["B"] * 29, "date": days, "tmin_f": tmin}, None)
    assert len(both) == 2
    for one in both:
        assert len(one) == 6
        assert np.shares_memory(one[4], tmin)


def test_missing_in_every_shape() -> None:
    """NaN, null and None: three days, of which one is missing. Arithmetic."""
    days = [date(2027, 4, 1), date(2027, 4, 2), date(2027, 4, 3)]
    masked = np.ma.masked_array([1.0, 2.0, 3.0], mask=[False, True, False])
    for column in (
        [1.0, None, 3.0], np.array([1.0, np.nan, 3.0]), masked, pd.Series([1, None, 3], dtype="Int64"), pl.Series([1, None, 3]),
        pa.array([1.0, None, 3.0]), pa.array([1, None, 3]), np.array([1, np.nan, 3], dtype=np.float32),
    ):  # fmt: skip
        answer = fairspell.freeze({"date": days, "tmin_c": column}, **CALM)
        assert answer.record["missing"] == 1, column
    gap = fairspell.freeze({"date": [days[0], days[2]], "tmin_c": [1.0, 3.0]}, **CALM)
    assert (gap.record["missing"], gap.record["days"]) == (1, 3)


def test_times_are_aware() -> None:
    """The same instant by every kind of clock; a clock without a zone is refused."""
    start = datetime(2027, 3, 10, 9, tzinfo=timezone(timedelta(hours=-6)))
    aware = [start + timedelta(hours=hour) for hour in range(30)]
    values = {"temperature_f": np.full(30, 50.0), "rain_in": np.zeros(30)}
    naive = [one.astimezone(timezone.utc).replace(tzinfo=None) for one in aware]
    kinds: list[Any] = [
        aware, np.array(naive, dtype="datetime64[ms]"), pd.Series(aware), pl.Series(aware), pa.array(aware, pa.timestamp("us", "America/Chicago")),
        [int(one.timestamp()) for one in aware],
    ]  # fmt: skip
    answers = {fairspell.hindcast("oil", {"time": kind} | values, zone="America/Chicago").to_json() for kind in kinds}
    assert len(answers) == 1
    for kind in (naive, pd.Series(naive), pl.Series(naive), pa.array(naive)):
        with pytest.raises(fairspell.ReadError, match="zone"):
            fairspell.hindcast("oil", {"time": kind} | values, zone="America/Chicago")
    with pytest.raises(fairspell.QuestionError, match="expected an aware time"):
        fairspell.decide("oil", {"time": aware} | values, zone="America/Chicago", at=datetime(2027, 3, 10, 9))
    answer = fairspell.decide("oil", {"time": aware} | values, zone="America/Chicago", at=start, dry_now=True)
    assert answer.at == start
    assert answer.at.utcoffset() == timedelta(hours=-6)
    assert all(spell.start.tzinfo is not None for spell in answer.spells)


def test_a_name_may_be_given_no_columns() -> None:
    with pytest.raises(fairspell.ReadError, match='"date" or "time"'):
        given({"tmin_f": [1.0]})
