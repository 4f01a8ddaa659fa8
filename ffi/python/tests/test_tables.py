"""Tables for Arrow hold the numbers of the answer, and go to any reader by the PyCapsule interface.

Source: the answer's own JSON; the Arrow PyCapsule interface, as polars reads it.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import polars as pl
from conftest import DEMO

import fairspell


def test_risk() -> None:
    answer = fairspell.freeze(DEMO / "station.csv", replicates=50, on=date(2027, 4, 10))
    table = pl.DataFrame(answer.to_arrow())
    spring = table.filter((pl.col("half") == "spring") & (pl.col("threshold_f") == 32.0))
    half = answer.thresholds[1].spring
    assert spring["probability"].to_list() == [risk.probability for risk in half.risk]
    assert len(half.risk) > 100
    risk = half.risk_on(date(2027, 4, 10))
    assert risk is not None
    assert risk.probability == answer.to_dict()["thresholds"][1]["spring"]["on"]["risk"]


def test_hours_and_spells(newark: Path) -> None:
    decision = fairspell.decide("oil", DEMO / "forecast.csv", site=DEMO / "site.toml", at="2027-03-08T06:00")
    hours = pl.DataFrame(decision.to_arrow())
    assert hours["state"].to_list() == [hour.state for hour in decision.hours]
    assert hours["time"].to_list() == [hour.time for hour in decision.hours]
    assert decision.verdict == "no-go"  # as the demo's README says of that morning
    assert decision.reasons
    assert decision.spells[0].end - decision.spells[0].start == timedelta(hours=5)
    judged = fairspell.hindcast("oil", newark, zone="America/New_York")
    spells = pl.DataFrame(judged.to_arrow())
    assert spells["start"].to_list() == [spell.start for spell in judged.spells]
    assert sum(spells["hours"]) <= judged.hours["fair"]


def test_damage() -> None:
    plan = fairspell.season(DEMO / "station.csv", site=DEMO / "site.toml", year=2027, replicates=0)
    table = pl.DataFrame(plan.to_arrow())
    assert plan.prune is not None
    assert plan.prune.first <= plan.prune.last
    assert table["probability"].drop_nulls().is_between(0.0, 1.0).all()
    assert table["date"].n_unique() > 100


def test_attributes_are_those_of_the_dictionary(newark: Path) -> None:
    """Every attribute by the name that it has in the JSON."""
    decision = fairspell.decide("prune", DEMO / "forecast.csv", site=DEMO / "site.toml", at="2027-03-08T06:00")
    told = decision.to_dict()
    assert decision.spells
    for spell, of in zip(decision.spells, told["spells"], strict=True):
        for key in ("start", "end", "best_start"):
            assert getattr(spell, key).isoformat() == of[key]
        assert spell.confidence == of["confidence"]
    assert any(of["best_start"] != of["start"] for of in told["spells"])
    assert (decision.at.isoformat(), decision.until.isoformat()) == (told["at"], told["until"])
    assert decision.issued is not None
    assert decision.issued.isoformat() == told["issued"]
    assert (decision.operation, str(decision.zone), decision.verdict) == ("prune", told["zone"], told["verdict"])
    assert decision.reasons == tuple(of["text"] for of in told["reasons"])
    assert decision.notices == tuple(told["notices"])

    freezes = fairspell.freeze(DEMO / "station.csv", replicates=0)
    for threshold, of in zip(freezes.thresholds, freezes.to_dict()["thresholds"], strict=True):
        assert (threshold.threshold_f, threshold.threshold_c) == (of["threshold_f"], of["threshold_c"])
        for half, inner in ((threshold.spring, of["spring"]), (threshold.autumn, of["autumn"])):
            assert (half.valid_years, half.freeze_years) == (inner["valid_years"], inner["freeze_years"])
            assert {"p10": half.p10, "p50": half.p50, "p90": half.p90} == inner["empirical"]["conditional"]
            assert half.freeze_probability == inner["freeze_probability"]
            assert [year.day for year in half.years] == [year["day"] for year in inner["years"]]

    plan = fairspell.season(DEMO / "station.csv", site=DEMO / "site.toml", year=2027, replicates=0)
    told = plan.to_dict()
    assert plan.prune is not None and plan.oil is not None and plan.prune.best is not None
    found = {"from": str(plan.prune.first), "to": str(plan.prune.last), "best": str(plan.prune.best)}
    assert found == {key: told["prune"][key] for key in found}
    assert (str(plan.oil.first), str(plan.oil.last)) == (told["oil"]["from"], told["oil"]["to"])
    assert [str(day) for day in plan.last_freeze] == [told["last_freeze"][key] for key in ("p10", "p50", "p90")]

    judged = fairspell.hindcast("oil", newark, zone="America/New_York")
    told = judged.to_dict()
    assert (judged.hours, judged.days) == (told["hours"], told["days"])
    assert [spell.best_start.isoformat() for spell in judged.spells] == [of["best_start"] for of in told["spells"]]
