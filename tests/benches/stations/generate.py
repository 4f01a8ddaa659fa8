"""Writes a file of invented stations: 1,000 of them, 60 years of days each (22 million rows), the same bytes each time.

usage: generate.py plain|bystation OUT [STATIONS]
plain: station,date,tmin_f in whole °F. bystation: GHCN-Daily by station, TMAX, TMIN and PRCP in tenths.
"""
import datetime
import math
import sys

layout, out = sys.argv[1], sys.argv[2]
stations = int(sys.argv[3]) if len(sys.argv) > 3 else 1000
first = datetime.date(1961, 1, 1)
days = [first + datetime.timedelta(day) for day in range((datetime.date(2021, 1, 1) - first).days)]
season = [-math.cos(2 * math.pi * (date.timetuple().tm_yday - 20) / 365.25) for date in days]
state = 1
with open(out, "w", newline="\n") as file:
    if layout == "plain":
        file.write("station,date,tmin_f\n")
        texts = [date.isoformat() for date in days]
    else:
        texts = [date.strftime("%Y%m%d") for date in days]
    for number in range(stations):
        name = f"US{number:09d}"
        mean, swing = 34 + number % 17, 18 + number % 11
        rows, weather = [], 0.0
        for text, part in zip(texts, season):
            state = (state * 6364136223846793005 + 1442695040888963407) & 0xFFFFFFFFFFFFFFFF
            weather = 0.8 * weather + 12.0 * ((state >> 40) / 16777216.0 - 0.5)
            tmin = round(mean + swing * part + weather)
            if layout == "plain":
                rows.append(f"{name},{text},{tmin}\n")
            else:
                tenths = round((tmin - 32) * 50 / 9)
                rows.append(f"{name},{text},TMAX,{tenths + 90},,,W,\n{name},{text},TMIN,{tenths},,,W,\n")
                rows.append(f"{name},{text},PRCP,0,,,W,2400\n")
        file.write("".join(rows))
