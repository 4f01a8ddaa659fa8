"""The program of the command line, and the records that the checks share."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "data" / "demo"
OPEN = ROOT / "data" / "open"

Run = Callable[..., str]


@pytest.fixture(scope="session")
def command_line() -> Run:
    """Runs the program in the workspace and gives standard output; FAIRSPELL_PROGRAM names it."""
    program = os.environ["FAIRSPELL_PROGRAM"]

    def run(*arguments: str | Path, folder: Path = ROOT) -> str:
        command = [program, *map(str, arguments)]
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, encoding="utf-8", check=False)
        assert done.returncode != 2, done.stderr
        return done.stdout

    return run


@pytest.fixture(scope="session")
def newark(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A year of hours at Newark (open record) with the header of a plain CSV."""
    header, rows = (OPEN / "csv" / "hourly_EWR.csv").read_text(encoding="utf-8").split("\n", 1)
    assert header == "time_utc,temp_f,precip_in,rh_pct,wind_mph"
    path = tmp_path_factory.mktemp("newark") / "newark.csv"
    path.write_text("time,temperature_f,rain_in,humidity_pct,wind_mph\n" + rows, encoding="utf-8")
    return path
