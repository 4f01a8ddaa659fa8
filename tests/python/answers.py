"""The four answers of tests/tests/bindings/python.rs, run in the folder of the demo's data: python answers.py WHAT prints the JSON."""

import sys
from datetime import date

import fairspell

SITE, STATION, FORECAST = "site.toml", "station.csv", "forecast.csv"
DAY = date(2027, 4, 10)

ANSWERS = {
    "freeze": lambda: fairspell.freeze(STATION, on=DAY, risk="10%", replicates=200),
    "decide": lambda: fairspell.decide(
        "oil", FORECAST, site=SITE, observed="observed.csv", record=STATION, explain=True, at="2027-03-08T06:00"
    ),
    "season": lambda: fairspell.season(STATION, site=SITE, year=2027, explain=True, replicates=200),
    "hindcast": lambda: fairspell.hindcast(
        "oil", FORECAST, site=SITE, log="done.csv", forecasts=FORECAST, season="03-01..04-15"
    ),
}

print(ANSWERS[sys.argv[1]]().to_json())
