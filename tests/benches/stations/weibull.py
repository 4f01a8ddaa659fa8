"""Weibull fits of many samples at once by Newton's method, as the two peers do them: one row a sample.

The shape k solves sum(x^k ln x) / sum(x^k) - 1/k - mean(ln x) = 0 (maximum likelihood, two parameters); the samples are
padded with NaN. Every step is over all samples, so that no loop of the language costs the peers time.
"""

import numpy as np

SPRING_END, AUTUMN_END = 213.0, 154.0  # 31 July + 1 and 31 December + 1, counted from the half's first day


def fit(samples):
    """Shapes and scales of samples in rows; NaN where a sample has fewer than two different values."""
    known = ~np.isnan(samples) & (samples > 0)
    count = known.sum(axis=1)
    largest = np.nanmax(np.where(known, samples, np.nan), axis=1, keepdims=True)
    log = np.where(known, np.log(np.where(known, samples, 1.0) / largest), 0.0)
    mean = log.sum(axis=1) / count
    spread = np.sqrt((np.where(known, log - mean[:, None], 0.0) ** 2).sum(axis=1) / count)
    shape = 1.28 / spread
    for _ in range(50):
        power = np.where(known, np.exp(shape[:, None] * log), 0.0)
        s0, s1, s2 = power.sum(axis=1), (power * log).sum(axis=1), (power * log * log).sum(axis=1)
        value = s1 / s0 - 1.0 / shape - mean
        slope = s2 / s0 - (s1 / s0) ** 2 + 1.0 / shape**2
        step = value / slope
        shape = np.where(shape - step > 0, shape - step, shape / 2)
        if np.nanmax(np.abs(step / shape)) < 1e-10:
            break
    scale = largest[:, 0] * (s0 / count) ** (1.0 / shape)
    return shape, scale


def both_forms(group, season_day, end):
    """Fits from the season's start and reversed; `group` numbers the sample of each day, from 0 without a gap."""
    order = np.argsort(group, kind="stable")
    group, day = group[order], season_day[order]
    starts = np.flatnonzero(np.r_[True, group[1:] != group[:-1]])
    place = np.arange(len(group)) - np.repeat(starts, np.diff(np.r_[starts, len(group)]))
    rows = np.full((group[-1] + 1, place.max() + 1), np.nan)
    rows[group, place] = day
    ends = np.full(rows.shape[0], np.nan)
    ends[group] = end[order]
    with np.errstate(all="ignore"):
        return fit(rows), fit(ends[:, None] - rows)
