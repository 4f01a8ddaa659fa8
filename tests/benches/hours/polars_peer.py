"""The reference job by polars: fair hours by four rules, and their runs.

usage: polars_peer.py FILE > ROWS
The invented file has every hour, so rows stand for hours. A blank makes every rule that looks at it fail, which is to the
peer's advantage: it need not tell unknown hours from hindered ones.
"""

import sys

import polars as pl

AHEAD = 24


def main():
    types = {
        "station": pl.String,
        "time": pl.String,
        "temperature_f": pl.Float64,
        "rain_in": pl.Float64,
        "wind_mph": pl.Float64,
    }
    scan = pl.scan_csv(sys.argv[1], schema=types)
    temperature, rain, wind = pl.col("temperature_f"), pl.col("rain_in"), pl.col("wind_mph")
    clear = (rain == 0).fill_null(False) & (temperature >= 32).fill_null(False)

    # Whether an hour and the 24 that follow it at its station are all clear, by a running count of those that are not.
    bad = (~clear).cast(pl.Int32)
    count = bad.cum_sum()
    is_whole = pl.col("station").shift(-AHEAD) == pl.col("station")
    following = ((count.shift(-AHEAD) - count + bad == 0) & is_whole).fill_null(False)
    fair = temperature.is_between(40, 90).fill_null(False) & (wind <= 10).fill_null(False) & following
    hours = scan.select("station", "time", fair.alias("fair")).collect()
    start = hours.with_columns(
        ((pl.col("fair") != pl.col("fair").shift(1)) | (pl.col("station") != pl.col("station").shift(1)))
        .fill_null(True)
        .cum_sum()
        .alias("run")
    )
    runs = start.filter("fair").group_by("run", maintain_order=True).agg(
        pl.col("station").first(), pl.col("time").first().alias("start"), pl.len().alias("hours")
    )
    runs.select("station", "start", "hours").write_csv(sys.stdout.buffer)


main()
