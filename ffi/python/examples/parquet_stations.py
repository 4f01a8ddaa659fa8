"""Freezes of some stations of an archive in Parquet, on one machine: the rows are pulled by polars or by duckdb.

    python parquet_stations.py polars ARCHIVE STATION...
    python parquet_stations.py duckdb ARCHIVE STATION...

ARCHIVE has the columns `station`, `date` and `tmin_c` or `tmin_f`. Each answer is a line of JSON, as of the command line.
"""

from __future__ import annotations

import sys
from typing import Any

import duckdb
import polars as pl

import fairspell


def by_polars(archive: str, stations: list[str]) -> Any:
    """Only the row groups and columns that are needed are read."""
    rows = pl.scan_parquet(archive).filter(pl.col("station").is_in(stations))
    return rows.sort("station", "date").collect()


def by_duckdb(archive: str, stations: list[str]) -> Any:
    """The same by SQL; the result comes as a table of Arrow."""
    rows = "SELECT * FROM read_parquet($archive) WHERE list_contains($stations, station) ORDER BY station, date"
    return duckdb.execute(rows, {"archive": archive, "stations": stations}).to_arrow_table()


def main(engine: str, archive: str, *stations: str) -> None:
    """The command above."""
    pull = {"polars": by_polars, "duckdb": by_duckdb}[engine]
    for answer in fairspell.freeze_many(pull(archive, list(stations))):
        print(answer.to_json())


if __name__ == "__main__":
    main(*sys.argv[1:])
