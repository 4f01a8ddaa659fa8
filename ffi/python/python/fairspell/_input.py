"""Paths, bytes and columns to what the native half takes. Arrays of 64-bit floats without gaps go through as they are."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from fairspell._errors import QuestionError, ReadError

Floats: TypeAlias = NDArray[np.float64]
Given: TypeAlias = (
    tuple[str, bytes | None]
    | tuple[str, str, str, int, Floats, Floats | None]
    | tuple[str, str, int | None, NDArray[np.int64], list[tuple[str, Floats]]]
)
Path: TypeAlias = str | os.PathLike[str]
Source: TypeAlias = Path | bytes | bytearray | memoryview
Table: TypeAlias = Mapping[str, Any] | Any
"""Columns by name: a mapping, a data frame of pandas or polars, or a table of Arrow."""

ALL_AT = "columns"


def given(data: Source | Table, name: str | None = None) -> Given:
    """What one station or forecast is, for the native half."""
    if isinstance(data, (str, os.PathLike)):
        return (os.fspath(data), None)
    if isinstance(data, (bytes, bytearray, memoryview)):
        return (name or "bytes", bytes(data))
    several = split(data, name)
    if len(several) != 1:
        raise ReadError(f"expected one station, found {len(several)}", file=name or ALL_AT)
    return several[0]


def each(data: Source | Table | Iterable[Source | Table]) -> list[Given]:
    """The same for many: one input with all stations, or one after the other."""
    if isinstance(data, (str, os.PathLike, bytes, bytearray, memoryview)):
        return [given(data)]
    if is_table(data):
        return split(data, None)
    found: list[Given] = []
    for one in data:
        found.extend(split(one, None) if is_table(one) else [given(one)])
    return found


def is_table(data: object) -> bool:
    """Whether it has columns by name."""
    has_names = any(hasattr(data, names) for names in ("columns", "column_names", "keys"))
    return has_names or hasattr(data, "__arrow_c_stream__")


def split(table: Table, name: str | None) -> list[Given]:
    """The stations of a table whose rows stand together, without a copy where they are contiguous."""
    columns, name = columns_of(table), name or ALL_AT
    stations = texts(columns.pop("station", None))
    if "time" in columns:
        times = moments(columns.pop("time"), name)
        issued = columns.pop("issued", None)
        issued_s = None if issued is None else issue(issued, name)
        values = [(key, floats(column, key, name)) for key, column in columns.items() if known(key)]
        check_lengths(name, len(times), values)
        return [
            (name, station, issued_s, times[rows], [(key, column[rows]) for key, column in values])
            for station, rows in runs(stations, len(times), name)
        ]
    if "date" in columns:
        days = dates(columns.pop("date"), name)
        unit, tmin = minima(columns, name)
        tmax = columns.get(f"tmax_{unit}")
        tmax = None if tmax is None else floats(tmax, "tmax", name)
        found = [("tmin", tmin)] + ([] if tmax is None else [("tmax", tmax)])
        check_lengths(name, len(days), found)
        return [
            (name, station, unit, *laid(days[rows], [column[rows] for _, column in found], name))
            for station, rows in runs(stations, len(days), name)
        ]
    raise ReadError('expected a column "date" or "time", found none', file=name)


def columns_of(table: Table) -> dict[str, Any]:
    """The columns by their names in small letters."""
    if isinstance(table, Mapping):
        return {str(name).lower(): column for name, column in table.items()}
    if hasattr(table, "column_names"):
        return {str(name).lower(): table.column(name) for name in table.column_names}
    if hasattr(table, "columns"):
        return {str(name).lower(): table[name] for name in table.columns}
    return columns_of(pyarrow().table(table))


def pyarrow() -> Any:
    """Needed only for arrays and tables of Arrow."""
    try:
        import pyarrow as module
    except ModuleNotFoundError as error:
        raise ModuleNotFoundError('Arrow needs pyarrow: pip install "fairspell[arrow]"', name=error.name) from error
    return module


MEASURES = ("temperature", "dew_point", "humidity", "cloud", "rain", "snow", "wind", "gust")


def known(name: str) -> bool:
    """Whether a column may be weather; others are ignored."""
    return any(name == measure or name.startswith(f"{measure}_") for measure in MEASURES)


def minima(columns: Mapping[str, Any], name: str) -> tuple[str, Floats]:
    """The minima and their unit."""
    found = [unit for unit in ("f", "c") if f"tmin_{unit}" in columns]
    if len(found) != 1:
        raise ReadError(f"expected a column tmin_f or tmin_c, found {'both' if found else 'none'}", file=name)
    return found[0], floats(columns[f"tmin_{found[0]}"], f"tmin_{found[0]}", name)


def array_of(column: Any) -> Any:
    """As NumPy sees it: in place for NumPy, and for contiguous columns without nulls of pandas, polars and Arrow."""
    if isinstance(column, np.ma.MaskedArray):
        return np.where(np.ma.getmaskarray(column), np.nan, np.ma.getdata(column))
    if isinstance(column, np.ndarray):
        return column
    kind = type(column).__module__.partition(".")[0]
    if kind == "pandas":
        is_number = getattr(column.dtype, "kind", "O") in "iuf" and column.isna().any()
        return column.to_numpy(dtype=np.float64, na_value=np.nan) if is_number else column.to_numpy()
    if kind == "polars":
        return column.to_numpy()
    if hasattr(column, "__arrow_c_array__") or hasattr(column, "__arrow_c_stream__"):
        arrow = pyarrow()
        if not isinstance(column, (arrow.Array, arrow.ChunkedArray)):
            is_array = hasattr(column, "__arrow_c_array__")
            column = arrow.array(column) if is_array else arrow.chunked_array(column)
        if isinstance(column, arrow.ChunkedArray):
            column = column.chunk(0) if column.num_chunks == 1 else column.combine_chunks()
        return column.to_numpy(zero_copy_only=False)
    return column


def floats(column: Any, key: str, name: str) -> Floats:
    """Numbers, NaN where one is missing."""
    try:
        array = np.ascontiguousarray(array_of(column), dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise ReadError(f"expected numbers in the column {key}, found {column.__class__.__name__}", file=name) from error
    if array.ndim != 1:
        raise ReadError(f"expected a column {key} of one dimension, found {array.ndim}", file=name)
    return array


def texts(column: Any) -> list[str] | None:
    """Names of stations."""
    if column is None:
        return None
    if hasattr(column, "__arrow_c_stream__") or hasattr(column, "__arrow_c_array__"):
        column = column.to_pylist() if hasattr(column, "to_pylist") else column.to_list()
    return [str(one) for one in column]


def runs(stations: list[str] | None, rows: int, name: str) -> list[tuple[str, slice]]:
    """The rows of each station."""
    if stations is None:
        return [("", slice(0, rows))]
    if len(stations) != rows:
        raise ReadError(f"expected {rows} values in the column station, found {len(stations)}", file=name)
    found: dict[str, slice] = {}
    start = 0
    for row in range(1, rows + 1):
        if row < rows and stations[row] == stations[start]:
            continue
        if stations[start] in found:
            words = f"expected the rows of each station together, found more of {stations[start]!r} after another station"
            raise ReadError(words, file=name, line=start + 1)
        found[stations[start]] = slice(start, row)
        start = row
    return list(found.items())


def check_lengths(name: str, rows: int, values: Iterable[tuple[str, Floats]]) -> None:
    """Each column is as long as that of the times."""
    for key, column in values:
        if len(column) != rows:
            raise ReadError(f"expected {rows} values in the column {key}, found {len(column)}", file=name)


def zone_of(column: Any) -> str | None:
    """The zone of a column of times; empty: it has none; None: such a column cannot have one."""
    kind = getattr(column, "dtype", getattr(column, "type", None))
    module = type(column).__module__.partition(".")[0]
    if isinstance(column, np.ndarray) or kind is None or module not in ("pandas", "polars", "pyarrow"):
        return None
    for key in ("tz", "time_zone"):
        if hasattr(kind, key):
            return str(getattr(kind, key) or "")
    return "" if str(kind).lower().startswith(("datetime", "timestamp")) else None


def moments(column: Any, name: str) -> NDArray[np.int64]:
    """Times as seconds since 1970 UTC: aware, or numbers of seconds, or datetime64 of NumPy, which is UTC."""
    if zone_of(column) == "":
        raise ReadError("expected times with a zone, found some without: tz_localize or replace_time_zone", file=name)
    if isinstance(column, (list, tuple)) and column and isinstance(column[0], datetime):
        if any(one.tzinfo is None for one in column):
            raise ReadError("expected aware times, found one without a zone", file=name)
        column = np.array([seconds(one) for one in column], dtype=np.int64)
    if type(column).__module__.partition(".")[0] == "pandas" and hasattr(column.dtype, "tz"):
        column = column.dt.tz_convert("UTC").dt.tz_localize(None)
    array = np.asarray(array_of(column))
    if array.dtype.kind == "M":
        if np.isnat(array).any():
            row = int(np.flatnonzero(np.isnat(array))[0])
            raise ReadError("expected a time, found none", file=name, line=row + 1, column=1)
        whole = array.astype("datetime64[s]")
        if (whole != array).any():
            row = int(np.flatnonzero(whole != array)[0])
            raise ReadError(f"expected whole seconds, found {array[row]}", file=name, line=row + 1, column=1)
        array = whole
    elif array.dtype.kind not in "iu":
        raise ReadError(f"expected times, found {array.dtype}", file=name)
    return np.ascontiguousarray(array.astype(np.int64))


def issue(column: Any, name: str) -> int:
    """When a forecast was issued: one time for all rows."""
    found = {seconds(column)} if isinstance(column, datetime) else set(moments(column, name).tolist())
    if len(found) != 1:
        raise ReadError(f"expected one time of issue, found {len(found)}", file=name)
    return int(found.pop())


def dates(column: Any, name: str) -> NDArray[np.int64]:
    """Days since 1 January 1970."""
    try:
        array = np.asarray(array_of(column)).astype("datetime64[D]")
    except (TypeError, ValueError) as error:
        raise ReadError(f"expected dates, found {error}", file=name) from error
    if np.isnat(array).any():
        row = int(np.flatnonzero(np.isnat(array))[0])
        raise ReadError("expected a date, found none", file=name, line=row + 1, column=1)
    return array.astype(np.int64)


FIRST_ORDINAL = date(1970, 1, 1).toordinal()
MOST_DAYS = 400 * 366


def laid(
    days: NDArray[np.int64], columns: list[Floats], name: str
) -> tuple[int, Floats, Floats | None]:
    """The first day, minima and maxima of days in a row; days without a row are missing."""
    if len(days) == 0:
        raise ReadError("expected at least one day, found none", file=name)
    steps = np.diff(days)
    if (steps <= 0).any():
        row = int(np.flatnonzero(steps <= 0)[0]) + 2
        found = np.datetime64(int(days[row - 1]), "D")
        raise ReadError(f"expected a date after the row above, found {found}", file=name, line=row, column=1)
    count = int(days[-1] - days[0]) + 1
    if count > MOST_DAYS:
        raise ReadError("expected at most 400 years of days, found more", file=name)
    if count > len(days):
        spread = [np.full(count, np.nan) for _ in columns]
        for own, column in zip(spread, columns, strict=True):
            own[days - days[0]] = column
        columns = spread
    return int(days[0]) + FIRST_ORDINAL, columns[0], columns[1] if len(columns) > 1 else None


def seconds(moment: datetime) -> int:
    """An aware time as seconds since 1970 UTC."""
    if moment.tzinfo is None:
        raise QuestionError(f"expected an aware time, found {moment.isoformat()}, which has no zone")
    return int(moment.timestamp() // 1)


def moment(time: datetime | str | None) -> int | str | None:
    """A time for the native half; words without an offset are on the site's clock."""
    return seconds(time) if isinstance(time, datetime) else time


def length(time: timedelta | str | None) -> int | str | None:
    """A length of time for the native half [s]."""
    return int(time.total_seconds()) if isinstance(time, timedelta) else time
