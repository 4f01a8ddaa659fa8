"""Writes a file of invented stations: 100 of them, 30 years of hours each (26.3 million rows), the same bytes each time.

usage: generate.py OUT [STATIONS]
station,time,temperature_f,rain_in,wind_mph; one hour in 200 lacks its values. Rows are made with NumPy, a station at a time.
"""

import sys

import numpy as np

out = sys.argv[1]
stations = int(sys.argv[2]) if len(sys.argv) > 2 else 100
first = np.datetime64("1991-01-01T00", "h")
hours = np.arange(first, np.datetime64("2021-01-01T00", "h"))
texts = [str(hour) + ":00Z" for hour in hours]
day = (hours - first).astype(int) / 24.0
season = -np.cos(2 * np.pi * (day - 20.0) / 365.25)
clock = -np.cos(2 * np.pi * (day - 0.15))


def smooth(noise, keep):
    """A first-order autoregression, by blocks of doubling length."""
    series, step = noise.copy(), 1
    while keep**step > 1e-4:
        series[step:] = series[step:] + keep**step * series[:-step]
        step *= 2
    return series


with open(out, "w", newline="\n") as file:
    file.write("station,time,temperature_f,rain_in,wind_mph\n")
    for number in range(stations):
        random = np.random.default_rng(number)
        weather = smooth(random.normal(0, 1.2, len(hours)), 0.97)
        temperature = 50 + number % 17 + (16 + number % 7) * season + 8 * clock + weather
        wet = smooth(random.normal(0, 1.0, len(hours)), 0.9) > 4.2
        rain = np.where(wet, random.gamma(0.8, 0.06, len(hours)), 0.0)
        wind = np.abs(8 + smooth(random.normal(0, 1.5, len(hours)), 0.8))
        gone = random.random(len(hours)) < 0.005
        name = f"S{number:07d}"
        rows = [
            f"{name},{text},,,\n" if lost else f"{name},{text},{t:.1f},{r:.2f},{w:.1f}\n"
            for text, t, r, w, lost in zip(texts, temperature.tolist(), rain.tolist(), wind.tolist(), gone.tolist())
        ]
        file.write("".join(rows))
