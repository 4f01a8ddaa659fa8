"""Times `fairspell hindcast` on a file of many stations beside two general data engines, in turn, as whole processes.

usage: compare.py FOLDER [STATIONS] [RUNS]
Needs a release build (cargo build --release) and Python with ../stations/requirements.txt. FOLDER takes the invented files,
which are made when they are not there (100 stations: 1.08 GB, 26.3 million rows). Prints a table of medians, the ratio of wall
time to each engine's in the same round, how many runs each found, and how time and memory grow with a quarter, a half and
all stations.
"""

import os
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

HERE = pathlib.Path(__file__).resolve().parent
OURS = HERE.parents[2] / "target" / "release" / "fairspell"


def run(command):
    """Wall time [s], processor time [s], peak memory [MiB] and rows of output of a process."""
    with tempfile.TemporaryFile() as out:
        start = time.perf_counter()
        process = subprocess.Popen(command, stdout=out)
        _, status, usage = os.wait4(process.pid, 0)
        wall = time.perf_counter() - start
        if os.waitstatus_to_exitcode(status) != 0:
            sys.exit(f"{command[0]} ended with status {os.waitstatus_to_exitcode(status)}")
        out.seek(0)
        rows = sum(piece.count(b"\n") for piece in iter(lambda: out.read(1 << 20), b"")) - 1
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024.0, rows


def made(folder, stations):
    path = folder / f"hours-{stations}.csv"
    if not path.exists():
        part = path.with_suffix(".part")
        subprocess.run([sys.executable, HERE / "generate.py", part, str(stations)], check=True)
        part.rename(path)
    return path


def ours(path):
    rules = str(HERE / "reference.toml")
    return [str(OURS), "hindcast", rules, str(path), "--zone", "UTC", "--format", "csv"]


def main():
    folder = pathlib.Path(sys.argv[1])
    stations = int(sys.argv[2]) if len(sys.argv) > 2 else 100
    rounds = int(sys.argv[3]) if len(sys.argv) > 3 else 5
    path = made(folder, stations)
    commands = {"fairspell": ours(path)} | {
        name: [sys.executable, str(HERE / f"{name}_peer.py"), str(path)] for name in ("polars", "duckdb")
    }
    for command in commands.values():
        run(command)  # not counted: the file comes into memory
    figures = {name: [] for name in commands}
    for _ in range(rounds):
        for name, command in commands.items():
            figures[name].append(run(command))
    size = path.stat().st_size
    print(f"{stations} stations of 30 years of hours, {size / 1e6:.0f} MB, medians of {rounds} rounds in turn\n")
    print("| program | wall s | processor s | peak MiB | runs of fair hours | fairspell's wall time to its |")
    print("|---|---|---|---|---|---|")
    for name, all_of in figures.items():
        wall, cpu, peak, rows = (statistics.median(values) for values in zip(*all_of))
        ratio = statistics.median(own[0] / its[0] for own, its in zip(figures["fairspell"], all_of))
        print(f"| {name} | {wall:.2f} | {cpu:.2f} | {peak:.0f} | {rows:.0f} | {ratio:.3f} |")
    print("\n| stations | wall s | processor s | peak MiB |\n|---|---|---|---|")
    for part in (stations // 4, stations // 2, stations):
        command = ours(made(folder, part))
        run(command)
        wall, cpu, peak, _ = (statistics.median(values) for values in zip(*(run(command) for _ in range(rounds))))
        print(f"| {part} | {wall:.2f} | {cpu:.2f} | {peak:.0f} |")


main()
