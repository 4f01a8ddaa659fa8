"""The same work by duckdb: last spring and first autumn freeze a year at four thresholds, quantiles, Weibull fits.

usage: duckdb_peer.py plain|bystation FILE > ROWS
Quantiles are duckdb's own linear ones (positions (i-1)/(n-1)), not i/(n+1): the cost is the same, the numbers are not. The
limit of ten missing days is kept; no AIC, Kolmogorov-Smirnov or Anderson-Darling, which are to the peer's advantage.
"""

import sys

import duckdb
import numpy as np

from weibull import AUTUMN_END, SPRING_END, both_forms

THRESHOLDS = [36, 32, 28, 24]

PLAIN = """select station, date, tmin_f as tmin from read_csv('{path}', header = true,
    columns = {{'station': 'VARCHAR', 'date': 'DATE', 'tmin_f': 'DOUBLE'}})"""
BY_STATION = """select station, make_date(date // 10000, date // 100 % 100, date % 100) as date,
    floor(value / 10.0 * 1.8 + 32.0 + 0.5) as tmin from read_csv('{path}', header = false,
    columns = {{'station': 'VARCHAR', 'date': 'INTEGER', 'element': 'VARCHAR', 'value': 'INTEGER', 'm': 'VARCHAR',
    'q': 'VARCHAR', 's': 'VARCHAR', 'time': 'VARCHAR'}}) where element = 'TMIN' and q is null and value > -9999"""


def main():
    layout, path = sys.argv[1:]
    rows = (PLAIN if layout == "plain" else BY_STATION).format(path=path.replace("'", "''"))
    freezes = ", ".join(
        f"case when month(any_value(date)) >= 8 then min(dayofyear(date)) filter (tmin <= {threshold}) "
        f"else max(dayofyear(date)) filter (tmin <= {threshold}) end as t{threshold}"
        for threshold in THRESHOLDS
    )
    con = duckdb.connect()
    con.sql("set preserve_insertion_order = false")
    con.sql(f"""create temp table years as select station, autumn, {freezes} from
        (select *, year(date) as year, month(date) >= 8 as autumn from ({rows})) group by station, year, autumn
        having count(tmin) >= case when autumn then 143 else 202 end""")
    con.sql("create temp table long as " + " union all ".join(
        f"select station, {threshold} as threshold, autumn, t{threshold} as day from years" for threshold in THRESHOLDS))
    con.sql("""create temp table result as select row_number() over (order by station, threshold, autumn) - 1 as part, * from
        (select station, threshold, autumn, count(*) as valid, count(day) as freezes, quantile_cont(day, 0.1) as p10,
        quantile_cont(day, 0.5) as p50, quantile_cont(day, 0.9) as p90 from long group by all)""")
    days = con.sql("""select part, autumn, day from long join result using (station, threshold, autumn)
        where day is not null""").fetchnumpy()
    autumn = np.asarray(days["autumn"], dtype=bool)
    season_day = np.asarray(days["day"], dtype=float) - np.where(autumn, 212.0, 0.0)
    end = np.where(autumn, AUTUMN_END, SPRING_END)
    fits = both_forms(np.asarray(days["part"], dtype=np.int64), season_day, end)
    table = con.sql("select * from result order by part").fetchnumpy()
    columns = [table[name] for name in ("station", "threshold", "autumn", "valid", "freezes", "p10", "p50", "p90")]
    for shape, scale in fits:
        pad = np.full(len(columns[0]) - len(shape), np.nan)
        columns += [np.r_[shape, pad], np.r_[scale, pad]]
    sys.stdout.write("".join(",".join(map(str, row)) + "\n" for row in zip(*columns)))


main()
