"""When to prune and to spray dormant oil, from forecasts and station records.

Each question of the command line is a function, and each answer a frozen object with the same numbers:

- `decide`: is now the time? Go, no-go or cannot tell, with reasons and the next spells;
- `freeze`: the last freeze of spring, the first of autumn, and the risk that each date carries;
- `season`: which weeks to prune and to spray;
- `hindcast`: what it would have said of past hours.

`decide_many`, `freeze_many` and `hindcast_many` take many forecasts or stations in one call, on all cores and without the
interpreter's lock; each answer is that of the call for one.

**Inputs** are a path (`str` or `os.PathLike`), bytes, or columns by the names that a plain CSV has: a mapping of NumPy arrays or
lists, a data frame of pandas or polars, or anything that gives a stream by the Arrow PyCapsule interface (which needs pyarrow).

- days: `date`, `tmin_f` or `tmin_c`, perhaps `tmax_f` or `tmax_c`, `station`;
- hours: `time`, columns such as `temperature_f`, `dew_point_c`, `humidity_pct`, `rain_in`, `wind_mph`, perhaps `station` and
  `issued`. Times are aware, or seconds since 1970 UTC, or NumPy's datetime64, which is UTC here. Other columns are ignored.

NaN, null and None are missing. Contiguous 64-bit floats without nulls are read in place: do not write to them meanwhile. A site, an
operation or a table of plants is the path or the bytes of its TOML file.

**Times** without an offset in a `str` are on the site's clock; a naive `datetime` is refused.

**Errors**: `ReadError`, `FileError` and `QuestionError` are `Error`, which is a `ValueError` with `file`, `line`, `column`,
`expected` and `found`; a file that cannot be opened is an `OSError`.

The product's label is the law; local rules and licensed practice come first.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import Any, TypeVar

from fairspell import _fairspell
from fairspell._answers import (
    Answer,
    Dates,
    Decision,
    Freeze,
    FreezeYear,
    Half,
    Hindcast,
    Hour,
    Risk,
    Season,
    Spell,
    Threshold,
)
from fairspell._errors import Error, FileError, QuestionError, ReadError
from fairspell._input import Source, Table, each, given, length, moment

__all__ = [
    "Answer",
    "Dates",
    "Decision",
    "Error",
    "FileError",
    "Freeze",
    "FreezeYear",
    "Half",
    "Hindcast",
    "Hour",
    "QuestionError",
    "ReadError",
    "Risk",
    "Season",
    "Spell",
    "Threshold",
    "decide",
    "decide_many",
    "freeze",
    "freeze_many",
    "hindcast",
    "hindcast_many",
    "season",
]


One = TypeVar("One")


def _place(
    site: Source | None, zone: str | None, latitude: float | None, longitude: float | None
) -> dict[str, object]:
    file = None if site is None else given(site, "site")
    return {"site": file, "zone": zone, "latitude": latitude, "longitude": longitude}


def _list(data: Any) -> list[Any]:
    """One input, or a list of them."""
    return list(data) if isinstance(data, (list, tuple)) else [data]


def freeze(
    record: Source | Table,
    *,
    thresholds: Sequence[str] | None = None,
    on: date | None = None,
    risk: str | None = None,
    site: Source | None = None,
    record_units: str | None = None,
    whole_fahrenheit: bool | None = None,
    keep_suspect: bool = False,
    seed: int = 1,
    replicates: int = 2000,
) -> Freeze:
    """When is the last freeze, really, and what risk does each date carry?

    record: daily minima of one station.
    thresholds: a day with a minimum at or below one is a freeze day, such as "28F" or "-2C"; None: 36, 32, 28 and 24 °F.
    on: also the risk of this date.
    risk: also the date of this risk, such as "10%".
    site: its latitude tells the hemisphere; None: north.
    record_units: of Daily Summaries, whose file does not say them: us [°F], metric [°C] or tenths [0.1 °C].
    whole_fahrenheit: whether values of a file are whole °F that the archive stores converted; None: for GHCN-Daily stations
        of the U.S.
    keep_suspect: whether minima far from the record for their day count.
    seed, replicates: of the bootstrap; 0 replicates: no intervals.

    Raises ReadError for a record that cannot be read or holds several stations, QuestionError for an argument.

    >>> from datetime import date
    >>> import numpy as np
    >>> days = np.arange("2023-01-01", "2027-01-01", dtype="datetime64[D]")
    >>> tmin = np.where(days.astype("datetime64[M]").astype(int) % 12 < 3, 25.0, 50.0)  # frost to the end of March
    >>> answer = freeze({"date": days, "tmin_f": tmin}, thresholds=["32F"], replicates=0)
    >>> [str(year.date) for year in answer.thresholds[0].spring.years]
    ['2023-03-31', '2024-03-31', '2025-03-31', '2026-03-31']
    """
    answers = _freezes([given(record)], None, thresholds, on, risk, site, record_units, whole_fahrenheit, keep_suspect, seed, replicates)
    return _one(answers, record)


def _one(answers: list[One], data: object) -> One:
    if len(answers) != 1:
        name = str(data) if isinstance(data, str) or hasattr(data, "__fspath__") else None
        raise ReadError(f"expected one station, found {len(answers)}; the call for many takes them all", file=name)
    return answers[0]


def freeze_many(
    records: Source | Table | Iterable[Source | Table],
    *,
    thresholds: Sequence[str] | None = None,
    on: date | None = None,
    risk: str | None = None,
    site: Source | None = None,
    record_units: str | None = None,
    whole_fahrenheit: bool | None = None,
    keep_suspect: bool = False,
    seed: int = 1,
    replicates: int = 2000,
    threads: int | None = None,
) -> list[Freeze]:
    """`freeze` for many stations at once.

    records: one input whose stations stand together, or one after the other.
    threads: None: as many as there are cores. It changes no answer.

    The others are as in `freeze`.

    >>> from datetime import date
    >>> record = {"station": ["A", "A", "B"], "date": [date(2027, 4, 1), date(2027, 4, 2), date(2027, 4, 1)],
    ...           "tmin_f": [33.0, None, 28.0]}
    >>> [(answer.station, answer.record["missing"]) for answer in freeze_many(record, replicates=0)]
    [('A', 1), ('B', 0)]
    """
    return _freezes(each(records), threads, thresholds, on, risk, site, record_units, whole_fahrenheit, keep_suspect, seed, replicates)


def _freezes(
    records: list[Any],
    threads: int | None,
    thresholds: Sequence[str] | None,
    on: date | None,
    risk: str | None,
    site: Source | None,
    record_units: str | None,
    whole_fahrenheit: bool | None,
    keep_suspect: bool,
    seed: int,
    replicates: int,
) -> list[Freeze]:
    options: dict[str, object] = {
        "place": _place(site, None, None, None),
        "thresholds": None if thresholds is None else list(thresholds),
        "on": None if on is None else on.toordinal(),
        "risk": risk,
        "record_units": record_units,
        "whole_fahrenheit": whole_fahrenheit,
        "keep_suspect": keep_suspect,
        "seed": seed,
        "replicates": replicates,
        "now": int(time.time()),
        "threads": threads,
    }
    return [Freeze(native) for native in _fairspell.freeze_many(records, options)]


def decide(
    operation: Source,
    forecast: Source | Table,
    *,
    site: Source | None = None,
    zone: str | None = None,
    latitude: float | None = None,
    longitude: float | None = None,
    at: datetime | str | None = None,
    within: timedelta | str | None = None,
    observed: Source | Table | None = None,
    record: Source | Table | None = None,
    record_units: str | None = None,
    past: Source | Table | Sequence[Source | Table] = (),
    missed_loss: float | None = None,
    plants: Source | None = None,
    dry_now: bool = False,
    strict: bool = False,
    confidence: bool = True,
    min_confidence: str | None = None,
    units: str | None = None,
    explain: bool | datetime | str | None = None,
) -> Decision:
    """Is now the time? Go, no-go or cannot tell, with reasons and the next spells.

    operation: "oil", "prune", or an operation of your own (TOML).
    forecast: hours of one place.
    site, zone, latitude, longitude: the place; its zone must be known from one of them [IANA name; degrees north and east].
    at: now; None: the clock.
    within: how far to look; None: to the end of the local day.
    observed: hours before the forecast.
    record: daily record of the place, to say where the season stands; record_units as in `freeze`.
    past: past hours of the place, beside record.
    missed_loss: of letting the season pass undone, beside record; 1 is that of a plant's shoots.
    plants: a table of your own, beside that built in.
    dry_now: your word that the wood is dry now.
    strict: blocking rules that the forecast cannot answer make it cannot tell.
    confidence: whether to say how sure the spells are; without it an answer takes a tenth of the time or less.
    min_confidence: the least of a go, such as "70%".
    units: of values in the picture: us, si; None: as each limit is written.
    explain: True: every rule's values, formula and source for the best hour; a time: for its hour.

    Raises ReadError, FileError and QuestionError.

    >>> from datetime import datetime, timezone
    >>> import numpy as np
    >>> hours = 1804669200 + 3600 * np.arange(72)  # from 10 March 2027, 09:00 UTC
    >>> week = {"time": hours, "temperature_f": np.full(72, 50.0), "rain_in": np.zeros(72), "wind_mph": np.full(72, 4.0)}
    >>> answer = decide("oil", week, zone="UTC", at=datetime(2027, 3, 10, 12, tzinfo=timezone.utc), dry_now=True)
    >>> answer.verdict, answer.spells[0].start.isoformat()
    ('go', '2027-03-10T12:00:00+00:00')
    """
    places = [_place(site, zone, latitude, longitude)]
    return _decisions(
        [given(forecast)], None, operation, places, at, within, observed, record, record_units, past, missed_loss,
        plants, dry_now, strict, confidence, min_confidence, units, explain,
    )[0]  # fmt: skip


def decide_many(
    operation: Source,
    forecasts: Iterable[Source | Table] | Table,
    *,
    sites: Sequence[Source] | None = None,
    site: Source | None = None,
    zone: str | None = None,
    latitude: float | None = None,
    longitude: float | None = None,
    at: datetime | str | None = None,
    within: timedelta | str | None = None,
    observed: Source | Table | None = None,
    record: Source | Table | None = None,
    record_units: str | None = None,
    past: Source | Table | Sequence[Source | Table] = (),
    missed_loss: float | None = None,
    plants: Source | None = None,
    dry_now: bool = False,
    strict: bool = False,
    confidence: bool = True,
    min_confidence: str | None = None,
    units: str | None = None,
    explain: bool | datetime | str | None = None,
    threads: int | None = None,
) -> list[Decision]:
    """`decide` for many forecasts at once.

    sites: one for each forecast, in their order, instead of site.
    threads: None: as many as there are cores. It changes no answer.

    The others are as in `decide`, and count for all forecasts.

    >>> week = b"time,temperature_f,rain_in\\n2027-03-10T09:00Z,50,0\\n2027-03-10T10:00Z,51,0\\n"
    >>> [answer.verdict for answer in decide_many("oil", [week, week], zone="UTC", at="2027-03-10T09:00Z")]
    ['cannot-tell', 'cannot-tell']
    """
    inputs = each(forecasts)
    if sites is not None and len(sites) != len(inputs):
        raise QuestionError(f"sites: expected {len(inputs)}, one for each forecast, found {len(sites)}")
    if sites is not None and site is not None:
        raise QuestionError("sites: expected sites or site, found both")
    places = [_place(one, zone, latitude, longitude) for one in ([site] if sites is None else sites)]
    return _decisions(
        inputs, threads, operation, places, at, within, observed, record, record_units, past, missed_loss,
        plants, dry_now, strict, confidence, min_confidence, units, explain,
    )  # fmt: skip


def _decisions(
    forecasts: list[Any],
    threads: int | None,
    operation: Source,
    places: list[dict[str, object]],
    at: datetime | str | None,
    within: timedelta | str | None,
    observed: Source | Table | None,
    record: Source | Table | None,
    record_units: str | None,
    past: Source | Table | Sequence[Source | Table],
    missed_loss: float | None,
    plants: Source | None,
    dry_now: bool,
    strict: bool,
    confidence: bool,
    min_confidence: str | None,
    units: str | None,
    explain: bool | datetime | str | None,
) -> list[Decision]:
    if record is None and (record_units is not None or missed_loss is not None or _list(past)):
        raise QuestionError("record: expected one beside record_units, past and missed_loss, found none")
    options: dict[str, object] = {
        "operation": given(operation, "operation"),
        "places": places,
        "at": moment(at),
        "within": length(within),
        "observed": None if observed is None else given(observed, "observed"),
        "record": None if record is None else given(record, "record"),
        "record_units": record_units,
        "past": [given(one, "past") for one in _list(past)],
        "missed_loss": missed_loss,
        "plants": None if plants is None else given(plants, "plants"),
        "dry_now": dry_now,
        "strict": strict,
        "confidence": confidence,
        "min_confidence": min_confidence,
        "units": units,
        "explain": explain if isinstance(explain, bool) else moment(explain),
        "now": int(time.time()),
        "threads": threads,
    }
    return [Decision(native) for native in _fairspell.decide_many(forecasts, options)]


def season(
    record: Source | Table,
    *,
    site: Source | None = None,
    zone: str | None = None,
    latitude: float | None = None,
    longitude: float | None = None,
    year: int | None = None,
    station: str | None = None,
    observed: Source | Table | None = None,
    plants: Source | None = None,
    tender: str | None = None,
    degree_days: float | None = None,
    weights: tuple[float, float] | None = None,
    record_units: str | None = None,
    whole_fahrenheit: bool | None = None,
    keep_suspect: bool = False,
    seed: int = 1,
    replicates: int = 2000,
    units: str | None = None,
    explain: bool = False,
) -> Season:
    """Which weeks to prune and to spray, what each date risks, and how long the work takes.

    record: daily minima and maxima of one station.
    site, zone, latitude, longitude: the place and its garden; without a garden one hybrid tea rose.
    year: the season by the year in which its spring begins; None: the one under way, or the next.
    station: its name, where a file holds several.
    observed: this year so far, days or hours.
    plants: a table of your own, beside that built in.
    tender: minimum at or below which tender shoots are harmed; None: "28F".
    degree_days: from the cut to tender shoots [°C·d above 5.2 °C]; None: 130, range 80 to 200.
    weights: of a late freeze and of spent reserves; None: (1, 0.5).
    record_units, whole_fahrenheit, keep_suspect, seed, replicates: as in `freeze`.
    units: of volumes and degree days in words: us, si; None: both.
    explain: whether to add every number behind the plan with its source.

    Raises ReadError, FileError and QuestionError.

    >>> import numpy as np
    >>> days = np.arange("1990-07-01", "2026-07-01", dtype="datetime64[D]")
    >>> turn = 2 * np.pi * np.arange(len(days)) / 365.25
    >>> tmin = 5.0 + 12.0 * np.cos(turn)  # invented: from 17 °C in July to -7 °C in January
    >>> plan = season({"date": days, "tmin_c": tmin, "tmax_c": tmin + 9.0}, year=2027, replicates=0)
    >>> plan.year, plan.prune is not None
    (2027, True)
    """
    options: dict[str, object] = {
        "place": _place(site, zone, latitude, longitude),
        "year": year,
        "station": station,
        "observed": None if observed is None else given(observed, "observed"),
        "plants": None if plants is None else given(plants, "plants"),
        "tender": tender,
        "degree_days": degree_days,
        "weights": weights,
        "record_units": record_units,
        "whole_fahrenheit": whole_fahrenheit,
        "keep_suspect": keep_suspect,
        "seed": seed,
        "replicates": replicates,
        "units": units,
        "explain": explain,
        "now": int(time.time()),
    }
    return Season(_fairspell.season(given(record), options))


def hindcast(
    operation: Source,
    observed: Source | Table | Sequence[Source | Table],
    *,
    site: Source | None = None,
    zone: str | None = None,
    latitude: float | None = None,
    longitude: float | None = None,
    season: str | None = None,
    log: Source | None = None,
    forecasts: Source | Sequence[Source] = (),
) -> Hindcast:
    """What would it have said of past hours; was what I did within the rules?

    operation: "oil", "prune", or an operation of your own (TOML).
    observed: past hours of one station, in one input or a list of several.
    site, zone, latitude, longitude: as in `decide`.
    season: such as "02-01..04-30"; None: the calendar year, in the south from July to June.
    log: what was done (CSV).
    forecasts: archives of forecasts, to be held against what came.

    Raises ReadError, FileError and QuestionError.

    >>> import numpy as np
    >>> past = {"time": 1804669200 + 3600 * np.arange(72), "temperature_f": np.full(72, 50.0), "rain_in": np.zeros(72)}
    >>> answer = hindcast("oil", past, zone="UTC")
    >>> answer.hours, len(answer.spells)
    ({'fair': 45, 'hindered': 0, 'unknown': 27}, 1)
    """
    answers = _hindcasts(
        [given(one) for one in _list(observed)], None, operation, site, zone, latitude, longitude, season, log, forecasts
    )
    return _one(answers, observed)


def hindcast_many(
    operation: Source,
    observed: Source | Table | Iterable[Source | Table],
    *,
    site: Source | None = None,
    zone: str | None = None,
    latitude: float | None = None,
    longitude: float | None = None,
    season: str | None = None,
    log: Source | None = None,
    forecasts: Source | Sequence[Source] = (),
    threads: int | None = None,
) -> list[Hindcast]:
    """`hindcast` for many stations at once; the hours of a station in several inputs are brought together.

    threads: None: as many as there are cores. It changes no answer.

    The others are as in `hindcast`.

    >>> past = b"station,time,temperature_f\\nA,2027-03-10T09:00Z,50\\nB,2027-03-10T09:00Z,51\\n"
    >>> [answer.station for answer in hindcast_many("oil", past, zone="UTC")]
    ['A', 'B']
    """
    return _hindcasts(each(observed), threads, operation, site, zone, latitude, longitude, season, log, forecasts)


def _hindcasts(
    observed: list[Any],
    threads: int | None,
    operation: Source,
    site: Source | None,
    zone: str | None,
    latitude: float | None,
    longitude: float | None,
    season: str | None,
    log: Source | None,
    forecasts: Source | Sequence[Source],
) -> list[Hindcast]:
    options: dict[str, object] = {
        "operation": given(operation, "operation"),
        "place": _place(site, zone, latitude, longitude),
        "season": season,
        "log": None if log is None else given(log, "log"),
        "forecasts": [given(one, "forecasts") for one in _list(forecasts)],
        "threads": threads,
    }
    return [Hindcast(native) for native in _fairspell.hindcast_many(observed, options)]
