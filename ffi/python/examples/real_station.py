# %% [markdown]
# # A real station: the risk of a late freeze, and the weeks to prune
#
# The record is of a station in Suffolk, England, 1991 on: `data/open/csv/daily_suffolk_uk.csv`, from the Python package aquacrop
# 3.1.0 (Apache-2.0). Run the cells in a notebook or an editor that knows `# %%`, or the whole as a script; with a folder as its
# argument it writes the plots there.

# %%
from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import matplotlib as mpl

if len(sys.argv) > 1:
    mpl.use("agg")
import matplotlib.dates as mdates
import matplotlib.pyplot as plt
import numpy as np
import polars as pl
from matplotlib.figure import Figure

import fairspell

RECORD = Path(__file__).resolve().parents[3] / "data" / "open" / "csv" / "daily_suffolk_uk.csv"
YEAR = 2027
FOLDER = Path(sys.argv[1]) if len(sys.argv) > 1 else None


def show(figure: Figure, name: str) -> None:
    """On the screen, or into the folder."""
    if FOLDER is None:
        plt.show()
    else:
        figure.savefig(FOLDER / f"{name}.svg")
    plt.close(figure)


# %% [markdown]
# ## The risk curve
# The chance that a freeze still comes on a date or later, at three thresholds.

# %%
freezes = fairspell.freeze(RECORD, thresholds=["36F", "32F", "28F"], on=date(YEAR, 4, 10))
figure, axes = plt.subplots(figsize=(8, 4.5), layout="constrained")
for threshold in freezes.thresholds:
    risk = threshold.spring.risk
    days = np.array([f"{YEAR}-{one.month_day}" for one in risk if one.month_day != "02-29"], dtype="datetime64[D]")
    shares = [100 * one.probability for one in risk if one.month_day != "02-29"]
    axes.plot(days, shares, label=f"{threshold.threshold_f:g} °F ({threshold.threshold_c:.1f} °C)")
axes.set(ylabel="risk of a freeze on this date or later [%]", ylim=(0, 100), xlim=(date(YEAR, 1, 1), date(YEAR, 6, 30)))
axes.xaxis.set_major_formatter(mdates.ConciseDateFormatter(axes.xaxis.get_major_locator()))
axes.legend(title="minimum at or below")
axes.set_title(f"Last spring freeze, {freezes.first.year} to {freezes.last.year}")
show(figure, "risk")

# %%
on_10_april = freezes.thresholds[1].spring.risk_on(date(YEAR, 4, 10))
assert on_10_april is not None
print(f"32 °F or lower on 10 April or later: {100 * on_10_april.probability:.0f} % of years")
for notice in freezes.notices:
    print(notice)

# %% [markdown]
# ## The season
# When to prune one hybrid tea rose, and what each date risks.

# %%
plan = fairspell.season(RECORD, latitude=52.2, longitude=1.0, zone="Europe/London", year=YEAR)
damage = pl.DataFrame(plan.to_arrow())
figure, axes = plt.subplots(figsize=(8, 4.5), layout="constrained")
axes.plot(damage["date"].to_list(), (100 * damage["probability"]).to_list(), label="shoots lost to a late freeze")
axes.plot(damage["date"].to_list(), (100 * damage["bud_break_probability"]).to_list(), label="buds broken by then")
if plan.prune is not None:
    axes.axvspan(mdates.date2num(plan.prune.first), mdates.date2num(plan.prune.last), alpha=0.2, label="prune")
axes.set(ylabel="share of years [%]", ylim=(0, 100))
axes.xaxis.set_major_formatter(mdates.ConciseDateFormatter(axes.xaxis.get_major_locator()))
axes.legend()
axes.set_title(f"A cut on this date, {YEAR}")
show(figure, "season")

# %%
if plan.prune is not None:
    print(f"prune from {plan.prune.first:%d %B} to {plan.prune.last:%d %B %Y}")
if plan.oil is not None:
    print(f"dormant oil from {plan.oil.first:%d %B} to {plan.oil.last:%d %B %Y}")
