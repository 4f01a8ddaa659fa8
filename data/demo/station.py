"""Writes the invented record of the demo, `station.csv`, to standard output: python3 station.py > station.csv

Nothing in it was measured. A day's values are made so, with d the number of the day since 1 January 1992 and a year of
365.25 days whose cold middle is 20 January:

    season  s = -cos(2 pi (d - 19) / 365.25)
    weather w = 0.72 w of the day before + n,  n = sum of three numbers from -5 to 5, drawn one after the other
    span    r = 17 + 3 s + m,                  m = one number from -4 to 4
    minimum   = 39 + 24 s + w + 0.02 °F a year, rounded
    maximum   = minimum + the larger of 3 and r, rounded

Numbers are drawn by x = (1103515245 x + 12345) mod 2^31, begun with 1992, of which the upper 16 bits count.
"""

import datetime
import math

FIRST, LAST = datetime.date(1992, 1, 1), datetime.date(2027, 3, 6)
state = 1992


def draw(size):
    """A number from -size to size."""
    global state
    state = (1103515245 * state + 12345) % 2**31
    return ((state >> 15) / 65535 * 2 - 1) * size


print("station,date,tmin_f,tmax_f")
weather = 0.0
for day in range((LAST - FIRST).days + 1):
    season = -math.cos(2 * math.pi * (day - 19) / 365.25)
    weather = 0.72 * weather + draw(5) + draw(5) + draw(5)
    span = max(3, 17 + 3 * season + draw(4))
    tmin = round(39 + 24 * season + weather + 0.02 * day / 365.25)
    date = FIRST + datetime.timedelta(days=day)
    print(f"invented-1,{date},{tmin},{round(tmin + span)}")
