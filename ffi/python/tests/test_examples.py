"""The examples run as their first lines say, and Spark, polars and duckdb give the bytes of the command line.

Source: the contract, promise 4 (one engine), on Apache Spark, polars and duckdb.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from conftest import OPEN, ROOT, Run

EXAMPLES = ROOT / "ffi" / "python" / "examples"
STATIONS = ["S1", "S2", "S3"]


def run(*arguments: str | Path) -> str:
    """An example, with errors in full."""
    environment = os.environ | {"SPARK_LOCAL_IP": "127.0.0.1", "PYSPARK_PYTHON": sys.executable, "MPLBACKEND": "agg"}
    command = [sys.executable, *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", env=environment, check=False)
    assert done.returncode == 0, done.stderr[-4000:]
    return done.stdout


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three stations: the Suffolk record, and it shifted by whole degrees. Days in CSV; in Parquet the rows in no order."""
    folder = tmp_path_factory.mktemp("archive")
    suffolk = pl.read_csv(OPEN / "csv" / "daily_suffolk_uk.csv", try_parse_dates=True)
    shifted = [suffolk.with_columns(station=pl.lit(name), tmin_c=pl.col("tmin_c") - shift) for shift, name in enumerate(STATIONS)]
    all_days = pl.concat(shifted).select("station", "date", "tmin_c")
    all_days.write_csv(folder / "days.csv")
    all_days.sample(fraction=1.0, shuffle=True, seed=1).write_parquet(folder / "days.parquet")
    return folder


@pytest.fixture(scope="module")
def hours(tmp_path_factory: pytest.TempPathFactory, newark: Path) -> Path:
    """Two stations of hours: Newark, and it six degrees colder."""
    folder = tmp_path_factory.mktemp("hours")
    one = pl.read_csv(newark, schema_overrides={name: pl.Float64 for name in ("temperature_f", "rain_in", "humidity_pct", "wind_mph")})
    one = one.select(pl.lit("EWR").alias("station"), pl.all())
    two = one.with_columns(station=pl.lit("cold"), temperature_f=pl.col("temperature_f") - 6.0)
    both = pl.concat([one, two])
    both.write_csv(folder / "columns")  # the name by which notices call columns, so that those are equal too
    aware = both.with_columns(pl.col("time").str.to_datetime("%Y-%m-%dT%H:%M:%SZ", time_zone="UTC"))
    aware.sample(fraction=1.0, shuffle=True, seed=1).write_parquet(folder / "hours.parquet")
    return folder


def answers(folder: Path) -> list[str]:
    """What Spark wrote, by station."""
    return pl.read_parquet(folder / "*.parquet").sort("station")["answer"].to_list()


def test_spark_freezes(command_line: Run, archive: Path) -> None:
    run(EXAMPLES / "spark_archive.py", "freeze", archive / "days.parquet", archive / "out", "--replicates", "100")
    printed = command_line("freeze", archive / "days.csv", "--format", "json", "--replicates", "100").splitlines()
    assert answers(archive / "out") == printed
    assert len(set(printed)) == len(STATIONS)


def test_spark_hindcasts(command_line: Run, hours: Path) -> None:
    run(EXAMPLES / "spark_archive.py", "hindcast", hours / "hours.parquet", hours / "out", "--zone", "America/New_York")
    printed = command_line(
        "hindcast", "oil", "columns", "--zone", "America/New_York", "--format", "json", folder=hours
    ).splitlines()
    assert answers(hours / "out") == printed
    assert len(set(printed)) == 2


@pytest.mark.parametrize("engine", ["polars", "duckdb"])
def test_stations_from_parquet(command_line: Run, archive: Path, engine: str) -> None:
    printed = command_line("freeze", archive / "days.csv", "--format", "json").splitlines()
    assert run(EXAMPLES / "parquet_stations.py", engine, archive / "days.parquet", "S1", "S3").splitlines() == [printed[0], printed[2]]


def test_a_real_station(tmp_path: Path) -> None:
    said = run(EXAMPLES / "real_station.py", tmp_path)
    assert "32 °F or lower on 10 April or later: " in said
    assert "prune from " in said
    for name in ("risk", "season"):
        picture = (tmp_path / f"{name}.svg").read_text(encoding="utf-8")
        assert picture.count("<path") > 10
    assert np.isfinite(float(said.split("later: ")[1].split(" %")[0]))
