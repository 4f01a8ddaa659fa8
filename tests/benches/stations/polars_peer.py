"""The same work by polars: last spring and first autumn freeze a year at four thresholds, quantiles, Weibull fits.

usage: polars_peer.py plain|bystation FILE > ROWS
Quantiles are polars' own linear ones (positions (i-1)/(n-1)), not i/(n+1): the cost is the same, the numbers are not. The
limit of ten missing days is kept; no AIC, Kolmogorov-Smirnov or Anderson-Darling, which are to the peer's advantage.
"""

import sys

import numpy as np
import polars as pl

from weibull import AUTUMN_END, SPRING_END, both_forms

THRESHOLDS = [36, 32, 28, 24]


def rows(layout, path):
    if layout == "plain":
        types = {"station": pl.String, "date": pl.Date, "tmin_f": pl.Float64}
        return pl.scan_csv(path, schema=types).rename({"tmin_f": "tmin"})
    names = ["station", "date", "element", "value", "m", "q", "s", "time"]
    types = {name: pl.String for name in names} | {"value": pl.Int32, "date": pl.Int32}
    scan = pl.scan_csv(path, has_header=False, schema=types)
    scan = scan.filter((pl.col("element") == "TMIN") & pl.col("q").is_null() & (pl.col("value") > -9999))
    ymd = pl.col("date")
    date = pl.date(ymd // 10000, ymd // 100 % 100, ymd % 100)
    tmin = (pl.col("value") / 10.0 * 1.8 + 32.0 + 0.5).floor()
    return scan.select("station", date.alias("date"), tmin.alias("tmin"))


def main():
    layout, path = sys.argv[1:]
    scan = rows(layout, path).with_columns(
        pl.col("date").dt.year().alias("year"),
        (pl.col("date").dt.month() >= 8).alias("autumn"),
        pl.col("date").dt.ordinal_day().cast(pl.Int32).alias("day"),
    )
    freezes = []
    for threshold in THRESHOLDS:
        cold = pl.col("day").filter(pl.col("tmin") <= threshold)
        freezes += [cold.max().alias(f"last{threshold}"), cold.min().alias(f"first{threshold}")]
    years = scan.group_by("station", "year", "autumn").agg(pl.col("tmin").count().alias("known"), *freezes)
    years = years.collect(engine="streaming")
    need = pl.when("autumn").then(153).otherwise(212) - 10
    years = years.filter(pl.col("known") >= need)
    long = pl.concat(
        years.select(
            "station",
            "autumn",
            pl.lit(threshold).alias("threshold"),
            pl.when("autumn").then(f"first{threshold}").otherwise(f"last{threshold}").alias("day"),
        )
        for threshold in THRESHOLDS
    )
    key = ["station", "threshold", "autumn"]
    day = pl.col("day")
    table = long.group_by(key).agg(
        pl.len().alias("valid"),
        day.count().alias("freezes"),
        *[day.quantile(p / 100, "linear").alias(f"p{p}") for p in (10, 50, 90)],
    ).sort(key)
    table = table.with_row_index("group")
    days = long.drop_nulls("day").join(table.select(*key, "group"), on=key)
    autumn = days["autumn"].to_numpy()
    season_day = days["day"].to_numpy() - np.where(autumn, 212.0, 0.0)
    end = np.where(autumn, AUTUMN_END, SPRING_END)
    fits = both_forms(days["group"].to_numpy().astype(np.int64), season_day, end)
    for name, (shape, scale) in zip(("start", "reversed"), fits):
        pad = table.height - len(shape)
        shape, scale = (np.r_[values, np.full(pad, np.nan)] for values in (shape, scale))
        table = table.with_columns(pl.Series(f"shape_{name}", shape), pl.Series(f"scale_{name}", scale))
    table.write_csv(sys.stdout.buffer)


main()
