"""Answers: frozen, with the numbers of the command line's JSON."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import Any, final
from zoneinfo import ZoneInfo

from fairspell import _fairspell
from fairspell._input import pyarrow


class Answer:
    """What all answers have in common. Two are equal if their JSON is."""

    _native: _fairspell.Answer

    def __init__(self, native: _fairspell.Answer) -> None:
        self.__dict__["_native"] = native

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"expected a frozen answer to be read, found an assignment to {name}")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"expected a frozen answer to be read, found a deletion of {name}")

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and self.to_json() == other.to_json()

    def __hash__(self) -> int:
        return hash(self.to_json())

    def to_json(self) -> str:
        """The answer as one JSON object: the bytes of `--format json`, without the line break."""
        return self._native.json()

    @cached_property
    def _root(self) -> dict[str, Any]:
        root: dict[str, Any] = json.loads(self._native.json())
        return root

    def to_dict(self) -> dict[str, Any]:
        """The same as a dictionary of its own; times are text with their offset, what is not known is None."""
        root: dict[str, Any] = json.loads(self._native.json())
        return root

    def to_svg(self) -> str:
        """The picture: the bytes of `--format svg`."""
        return self._native.svg()

    def _repr_html_(self) -> str:
        return self.to_svg()

    @property
    def notices(self) -> tuple[str, ...]:
        """What must be said with the answer."""
        return tuple(self._root["notices"])

    @property
    def said(self) -> tuple[str, ...]:
        """What must be said of the inputs: the command line's notices on standard error."""
        return tuple(self._native.said())


def _time(text: str | None, zone: str) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(ZoneInfo(zone))


def _sure_time(text: str, zone: str) -> datetime:
    return datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(ZoneInfo(zone))


def _date(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


def _table(rows: Sequence[Mapping[str, Any]], columns: Mapping[str, str], zone: str = "UTC") -> Any:
    """A table of Arrow with these columns, by their types."""
    arrow = pyarrow()
    types = {
        "text": arrow.string(),
        "number": arrow.float64(),
        "count": arrow.int64(),
        "date": arrow.date32(),
        "time": arrow.timestamp("s", tz=zone),
    }
    schema = arrow.schema([(name, types[kind]) for name, kind in columns.items()])
    return arrow.Table.from_pylist([{name: row.get(name) for name in columns} for row in rows], schema=schema)


@final
@dataclass(frozen=True, slots=True)
class Spell:
    """Consecutive fair hours.

    start, end: of its first and behind its last hour, on the site's clock.
    best_start: of the run of the hours needed that keeps clearest of the limits.
    confidence: that the forecast keeps it, a share of 1; None where that was not asked or is not known.
    """

    start: datetime
    end: datetime
    best_start: datetime
    confidence: float | None


@final
@dataclass(frozen=True, slots=True)
class Hour:
    """An hour of a decision: its beginning, and whether it is fair, hindered or unknown."""

    time: datetime
    state: str


@final
class Decision(Answer):
    """Go, no-go or cannot tell, with the reasons and the next spells."""

    @property
    def verdict(self) -> str:
        """go, no-go or cannot-tell."""
        return str(self._native.verdict())

    @property
    def is_go(self) -> bool:
        """Whether it is a go; missing data never is."""
        return self.verdict == "go"

    @property
    def operation(self) -> str:
        """Name of the operation."""
        return str(self._root["operation"])

    @property
    def zone(self) -> ZoneInfo:
        """The site's clock."""
        return ZoneInfo(self._root["zone"])

    @property
    def at(self) -> datetime:
        """The time asked about."""
        return _sure_time(self._root["at"], self._root["zone"])

    @property
    def until(self) -> datetime:
        """End of the window."""
        return _sure_time(self._root["until"], self._root["zone"])

    @property
    def issued(self) -> datetime | None:
        """When the forecast was issued, if it says so."""
        return _time(self._root["issued"], self._root["zone"])

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why, in words."""
        return tuple(reason["text"] for reason in self._root["reasons"])

    def _spell(self, spell: Mapping[str, Any]) -> Spell:
        zone = self._root["zone"]
        return Spell(
            start=_sure_time(spell["start"], zone),
            end=_sure_time(spell["end"], zone),
            best_start=_sure_time(spell["best_start"], zone),
            confidence=spell.get("confidence"),
        )

    @property
    def spell(self) -> Spell | None:
        """On go, the spell that carries it."""
        spell = self._root["spell"]
        return None if spell is None else self._spell(spell)

    @cached_property
    def spells(self) -> tuple[Spell, ...]:
        """All spells from the time asked about on."""
        return tuple(self._spell(spell) for spell in self._root["spells"])

    @cached_property
    def hours(self) -> tuple[Hour, ...]:
        """The hours from the time asked about on."""
        zone = self._root["zone"]
        return tuple(Hour(_sure_time(hour["time"], zone), hour["state"]) for hour in self._root["hours"])

    def to_arrow(self) -> Any:
        """The hours as a pyarrow.Table: time (on the site's clock), state."""
        rows = [{"time": hour.time, "state": hour.state} for hour in self.hours]
        return _table(rows, {"time": "time", "state": "text"}, self._root["zone"])

    def __repr__(self) -> str:
        return f"<Decision {self.operation} {self.verdict} at {self.at.isoformat()}>"


@final
class Freeze(Answer):
    """Dates and risk of freezes at one station."""

    @property
    def station(self) -> str:
        """Its name in the record; empty where that has none."""
        return str(self._root["station"]["id"])

    @property
    def first(self) -> date:
        """First day of the record."""
        return date.fromisoformat(self._root["record"]["first"])

    @property
    def last(self) -> date:
        """Last day of the record."""
        return date.fromisoformat(self._root["record"]["last"])

    @property
    def record(self) -> dict[str, Any]:
        """Facts of the record: days, missing, rejected_values, whole_fahrenheit."""
        return dict(self._root["record"])

    @cached_property
    def thresholds(self) -> tuple[Threshold, ...]:
        """The answers, a threshold after the other."""
        return tuple(
            Threshold(at["threshold_f"], at["threshold_c"], _half(at["spring"]), _half(at["autumn"]))
            for at in self._root["thresholds"]
        )

    def to_arrow(self) -> Any:
        """The risk as a pyarrow.Table: station, threshold_f [°F], half, month_day, probability, low_95, high_95."""
        rows = [
            {"station": self.station, "threshold_f": at["threshold_f"], "half": half, **risk}
            for at in self._root["thresholds"]
            for half in ("spring", "autumn")
            for risk in at[half]["risk"]
        ]
        kinds = {"station": "text", "threshold_f": "number", "half": "text", "month_day": "text"}
        return _table(rows, kinds | {"probability": "number", "low_95": "number", "high_95": "number"})

    def __repr__(self) -> str:
        return f"<Freeze {self.station!r} {self.first} to {self.last}>"


@final
@dataclass(frozen=True, slots=True)
class Risk:
    """The risk that a date carries.

    month_day: the date, as 04-10.
    probability: in spring that the last freeze comes on it or later, in autumn that the first comes on it or before;
        a share of 1, with its 95 % interval, or None for that without a bootstrap.
    """

    month_day: str
    probability: float
    low_95: float | None
    high_95: float | None


@final
@dataclass(frozen=True, slots=True)
class FreezeYear:
    """A year's last freeze of spring or first of autumn; date and day are None in a year without one."""

    year: int
    date: date | None
    day: int | None
    missing_days: int
    is_valid: bool


@final
@dataclass(frozen=True, slots=True)
class Half:
    """One half of the year at one threshold.

    valid_years, freeze_years: years that count, and those of them with a freeze.
    freeze_probability: the share of the two; None without valid years.
    p10, p50, p90: day numbers of the half by which that share of the freeze years had the freeze.
    """

    valid_years: int
    freeze_years: int
    freeze_probability: float | None
    p10: float | None
    p50: float | None
    p90: float | None
    risk: tuple[Risk, ...]
    years: tuple[FreezeYear, ...]

    def risk_on(self, day: date) -> Risk | None:
        """The risk of a date; None if it lies outside the half or the record is too short."""
        wanted = f"{day:%m-%d}"
        return next((risk for risk in self.risk if risk.month_day == wanted), None)


@final
@dataclass(frozen=True, slots=True)
class Threshold:
    """Freezes at one threshold [°F, °C]."""

    threshold_f: float
    threshold_c: float
    spring: Half
    autumn: Half


def _half(half: Mapping[str, Any]) -> Half:
    quantiles = half["empirical"]["conditional"]
    return Half(
        valid_years=half["valid_years"],
        freeze_years=half["freeze_years"],
        freeze_probability=half["freeze_probability"],
        p10=quantiles["p10"],
        p50=quantiles["p50"],
        p90=quantiles["p90"],
        risk=tuple(Risk(**risk) for risk in half["risk"]),
        years=tuple(
            FreezeYear(year["year"], _date(year["date"]), year["day"], year["missing_days"], year["valid"])
            for year in half["years"]
        ),
    )


@final
@dataclass(frozen=True, slots=True)
class Dates:
    """From a first to a last day, itself included; best: the day of least expected harm, for the cut."""

    first: date
    last: date
    best: date | None


def _dates(found: Mapping[str, Any] | None) -> Dates | None:
    if found is None:
        return None
    return Dates(date.fromisoformat(found["from"]), date.fromisoformat(found["to"]), _date(found.get("best")))


@final
class Season(Answer):
    """A late winter, planned: when to prune and to spray, and what each date risks."""

    @property
    def year(self) -> int:
        """The year in which its spring begins."""
        return int(self._root["year"])

    @property
    def station(self) -> str:
        """The station's name in the record."""
        return str(self._root["station"]["id"])

    @property
    def prune(self) -> Dates | None:
        """When to prune the most exposed plant; None where it is not cut in winter, or that cannot be known."""
        return _dates(self._root["prune"])

    @property
    def oil(self) -> Dates | None:
        """When to spray dormant oil; None likewise."""
        return _dates(self._root["oil"])

    @property
    def last_freeze(self) -> tuple[date | None, date | None, date | None]:
        """The last freeze at 32 °F: 10, 50 and 90 % dates of this season."""
        found = self._root["last_freeze"]
        return _date(found["p10"]), _date(found["p50"]), _date(found["p90"])

    def to_arrow(self) -> Any:
        """Damage by date as a pyarrow.Table: kind, date, probability, low_95, high_95, bud_break_probability, harm."""
        rows = [
            {**row, "kind": plant["kind"], "date": date.fromisoformat(row["date"])}
            for plant in self._root["plants"]
            for row in plant["damage"]
        ]
        numbers = ("probability", "low_95", "high_95", "bud_break_probability", "harm")
        return _table(rows, {"kind": "text", "date": "date"} | dict.fromkeys(numbers, "number"))

    def __repr__(self) -> str:
        return f"<Season {self.year} {self.station!r}>"


@final
class Hindcast(Answer):
    """What the engine would have said of past hours."""

    @property
    def station(self) -> str:
        """The station's name in the record."""
        return str(self._root["station"]["id"])

    @property
    def operation(self) -> str:
        """Name of the operation."""
        return str(self._root["operation"])

    @property
    def zone(self) -> ZoneInfo:
        """The site's clock."""
        return ZoneInfo(self._root["zone"])

    @property
    def hours(self) -> dict[str, int]:
        """How many hours are fair, hindered and unknown."""
        return dict(self._root["hours"])

    @property
    def days(self) -> dict[str, int]:
        """How many days there are, are usable and are undecided."""
        return dict(self._root["days"])

    @cached_property
    def spells(self) -> tuple[Spell, ...]:
        """All spells of the record; their confidence is None, since they are past."""
        zone = self._root["zone"]
        return tuple(
            Spell(_sure_time(of["start"], zone), _sure_time(of["end"], zone), _sure_time(of["best_start"], zone), None)
            for of in self._root["spells"]
        )

    def to_arrow(self) -> Any:
        """The spells as a pyarrow.Table: station, start, end, best_start (on the site's clock), hours [h]."""
        zone = self._root["zone"]
        times = ("start", "end", "best_start")
        rows = [
            {"station": self.station, "hours": of["hours"], **{key: _sure_time(of[key], zone) for key in times}}
            for of in self._root["spells"]
        ]
        kinds = {"station": "text"} | dict.fromkeys(times, "time") | {"hours": "count"}
        return _table(rows, kinds, zone)

    def __repr__(self) -> str:
        return f"<Hindcast {self.operation} {self.station!r}, {len(self._root['spells'])} spells>"
