"""Times `fairspell freeze` on a file of many stations beside two general data engines, in turn, as whole processes.

usage: compare.py FOLDER [plain|bystation] [STATIONS] [RUNS]
Needs a release build (cargo build --release) and Python with requirements.txt. FOLDER takes the invented files, which
are made when they are not there (1,000 stations: 569 MB plain, 2.3 GB by station). Prints a table of medians, the ratio
of wall time to each engine's in the same round, and how time and memory grow with a quarter, a half and all stations.
"""

import os
import pathlib
import statistics
import subprocess
import sys
import time

HERE = pathlib.Path(__file__).resolve().parent
OURS = HERE.parents[2] / "target" / "release" / "fairspell"


def run(command):
    """Wall time [s], processor time [s] and peak memory [MiB] of a process; its output is thrown away."""
    start = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    wall = time.perf_counter() - start
    if os.waitstatus_to_exitcode(status) != 0:
        sys.exit(f"{command[0]} ended with status {os.waitstatus_to_exitcode(status)}")
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024.0


def made(folder, layout, stations):
    path = folder / f"{layout}-{stations}.csv"
    if not path.exists():
        part = path.with_suffix(".part")
        subprocess.run([sys.executable, HERE / "generate.py", layout, part, str(stations)], check=True)
        part.rename(path)
    return path


def ours(path):
    return [str(OURS), "freeze", str(path), "--format", "csv"]


def main():
    folder = pathlib.Path(sys.argv[1])
    layout = sys.argv[2] if len(sys.argv) > 2 else "plain"
    stations = int(sys.argv[3]) if len(sys.argv) > 3 else 1000
    rounds = int(sys.argv[4]) if len(sys.argv) > 4 else 5
    path = made(folder, layout, stations)
    commands = {"fairspell": ours(path)} | {
        name: [sys.executable, str(HERE / f"{name}_peer.py"), layout, str(path)] for name in ("polars", "duckdb")
    }
    for command in commands.values():
        run(command)  # not counted: the file comes into memory
    figures = {name: [] for name in commands}
    for _ in range(rounds):
        for name, command in commands.items():
            figures[name].append(run(command))
    size = path.stat().st_size
    print(f"{layout}, {stations} stations of 60 years, {size / 1e6:.0f} MB, medians of {rounds} rounds in turn\n")
    print("| program | wall s | processor s | peak MiB | fairspell's wall time to its |")
    print("|---|---|---|---|---|")
    for name, all_of in figures.items():
        wall, cpu, peak = (statistics.median(values) for values in zip(*all_of))
        ratio = statistics.median(own[0] / its[0] for own, its in zip(figures["fairspell"], all_of))
        print(f"| {name} | {wall:.2f} | {cpu:.2f} | {peak:.0f} | {ratio:.3f} |")
    print("\n| stations | wall s | processor s | peak MiB |\n|---|---|---|---|")
    for part in (stations // 4, stations // 2, stations):
        command = ours(made(folder, layout, part))
        run(command)
        wall, cpu, peak = (statistics.median(values) for values in zip(*(run(command) for _ in range(rounds))))
        print(f"| {part} | {wall:.2f} | {cpu:.2f} | {peak:.0f} |")


main()
