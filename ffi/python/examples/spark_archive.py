"""Freezes or past hours of every station of an archive in Parquet, on Apache Spark.

    python spark_archive.py freeze ARCHIVE OUTPUT
    python spark_archive.py hindcast ARCHIVE OUTPUT --zone America/New_York

ARCHIVE: a Parquet file or folder with the columns of a plain CSV: `station`, `date`, `tmin_c` or `tmin_f`; for hindcast `station`,
`time` (with a zone), `temperature_f`, `rain_in` and so on. OUTPUT: a Parquet folder with `station` and `answer`, the JSON that
the command line writes for that station.

Spark brings the rows of each station to one of its workers, as a table of Arrow; the package must be installed on each of them.
"""

from __future__ import annotations

import argparse

import pyarrow as pa
from pyspark.sql import DataFrame, SparkSession

import fairspell

SCHEMA = "station string, answer string"


def rows_of(answers: list[fairspell.Freeze] | list[fairspell.Hindcast]) -> pa.Table:
    """A row a station."""
    return pa.table({"station": [of.station for of in answers], "answer": [of.to_json() for of in answers]})


def freezes(archive: DataFrame, replicates: int = 2000) -> DataFrame:
    """The answer of `freeze` for each station."""

    def of_station(table: pa.Table) -> pa.Table:
        # Spark keeps no order within a station. One thread: Spark has one such worker on each core.
        return rows_of(fairspell.freeze_many(table.sort_by("date"), replicates=replicates, threads=1))

    return archive.groupBy("station").applyInArrow(of_station, schema=SCHEMA)


def hindcasts(archive: DataFrame, operation: str, zone: str) -> DataFrame:
    """The answer of `hindcast` for each station."""

    def of_station(table: pa.Table) -> pa.Table:
        return rows_of(fairspell.hindcast_many(operation, table.sort_by("time"), zone=zone, threads=1))

    return archive.groupBy("station").applyInArrow(of_station, schema=SCHEMA)


def main() -> None:
    """The command above."""
    parser = argparse.ArgumentParser(description="Freezes or past hours of an archive in Parquet, on Apache Spark.")
    parser.add_argument("question", choices=["freeze", "hindcast"])
    parser.add_argument("archive")
    parser.add_argument("output")
    parser.add_argument("--operation", default="oil")
    parser.add_argument("--zone", default="UTC")
    parser.add_argument("--replicates", type=int, default=2000)
    arguments = parser.parse_args()
    spark = SparkSession.builder.appName("fairspell").getOrCreate()
    archive = spark.read.parquet(arguments.archive)
    if arguments.question == "freeze":
        answers = freezes(archive, arguments.replicates)
    else:
        answers = hindcasts(archive, arguments.operation, arguments.zone)
    answers.write.mode("overwrite").parquet(arguments.output)
    spark.stop()


if __name__ == "__main__":
    main()
