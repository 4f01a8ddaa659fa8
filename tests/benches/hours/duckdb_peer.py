"""The reference job by duckdb: fair hours by four rules, and their runs.

usage: duckdb_peer.py FILE > ROWS
The invented file has every hour, so rows stand for hours. A blank makes every rule that looks at it fail, which is to the
peer's advantage: it need not tell unknown hours from hindered ones.
"""

import sys

import duckdb

QUERY = """
copy (
with hours as (
    select station, time, temperature_f, wind_mph,
        coalesce(rain_in = 0 and temperature_f >= 32, false) as clear,
        row_number() over (partition by station order by time) as hour
    from read_csv('{path}', header = true, columns = {{'station': 'VARCHAR', 'time': 'TIMESTAMP',
        'temperature_f': 'DOUBLE', 'rain_in': 'DOUBLE', 'wind_mph': 'DOUBLE'}})
), judged as (
    select station, time, hour,
        temperature_f between 40 and 90 and wind_mph <= 10
        and count(case when clear then 1 end) over (partition by station order by time
            rows between current row and 24 following) = 25 as fair
    from hours
), fair as (
    select station, time, hour - row_number() over (partition by station order by time) as run
    from judged where fair
)
select station, min(time) as start, count(*) as hours from fair group by station, run order by station, start
) to '/dev/stdout' (format csv, header true)
"""

duckdb.sql(QUERY.format(path=sys.argv[1].replace("'", "''")))
