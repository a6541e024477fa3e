"""Answers the questions of tests/times.rs with lifelines, statsmodels, scipy and mpmath.

One JSON object a line comes in, one a line goes out in the same order. "what" says what is asked:
the limits of a curve, a slope, a trend, or the odds of a power law.
"""

import json
import math
import sys
import warnings
from fractions import Fraction
from functools import cache
from statistics import median

try:
    import mpmath
    import numpy
    from lifelines import KaplanMeierFitter
    from lifelines.utils import restricted_mean_survival_time
    from scipy.stats import chi2, irwinhall, kendalltau, norm, theilslopes
    from statsmodels.duration.survfunc import SurvfuncRight
except ImportError as missing:
    sys.exit(f"the Python package `{missing.name}` is missing")

# pandas and lifelines announce their own future; numpy divides by 0 where a curve ends. Neither is an answer.
warnings.simplefilter("ignore")
mpmath.mp.dps = 50


def curve(question):
    """Returns the band and the limits of quantiles by two programs, and the mean within a time."""
    seconds, ended, confidence = question["seconds"], question["ended"], question["confidence"]
    fitter = KaplanMeierFitter(alpha=1 - confidence).fit(seconds, ended)
    survival = fitter.survival_function_["KM_estimate"]
    table = fitter.event_table
    steps = table.index[table["observed"] > 0]
    # Where the curve is 0 neither program has a limit, but both have an opinion.
    band = fitter.confidence_interval_[survival > 0]
    other = SurvfuncRight(numpy.array(seconds), numpy.array(ended, dtype=int))
    answer = {
        "band": [[float(limit) for limit in band.loc[t]] if survival.loc[t] > 0 else None for t in steps],
        "lifelines": [],
        "statsmodels": [],
    }
    for numerator, denominator in question["shares"]:
        rest = 1 - numerator / denominator
        # Its own search takes the band for one that only falls; the lower limit may rise at first.
        first = [band.index[band.iloc[:, side] <= rest] for side in (0, 1)]
        answer["lifelines"].append([int(times[0]) if len(times) else None for times in first])
        answer["statsmodels"].append(by_statsmodels(other, numerator / denominator, confidence, survival))
    tau = question["tau"]
    answer["mean"] = float(restricted_mean_survival_time(fitter, t=tau))
    return answer


def by_statsmodels(other, share, confidence, survival):
    """Returns the limits, or None where the time looked for may be the one at which all have ended."""
    lower, upper = other.quantile_ci(share, alpha=1 - confidence, method="cloglog")
    if numpy.isnan(lower):
        return None
    over = numpy.isinf(upper) or survival.loc[upper] <= 0
    return [int(lower), None if over else int(upper)]


def slope(question):
    """Returns slope, limits and p, counted out with scipy's distributions, and scipy's own limits."""
    x, y, confidence = question["x"], question["y"], question["confidence"]
    n = len(x)
    pairs = [(i, j) for i in range(n) for j in range(n) if x[i] < x[j]]
    rises = numpy.array([y[j] - y[i] for i, j in pairs])
    slopes = numpy.sort(rises / [x[j] - x[i] for i, j in pairs]).tolist()
    score = int(numpy.sign(rises).sum())
    tied = [len(set(numbers)) < n for numbers in (x, y)]
    if n <= 60 and not any(tied):
        rank = exact_rank(n, 1 - confidence)
        p = kendalltau(x, y, method="exact").pvalue
    else:
        sigma = math.sqrt(variance(x, y))
        if score and min(len(set(x)), len(set(y))) > 1:
            theirs = score / norm.isf(kendalltau(x, y, method="asymptotic").pvalue / 2)
            assert math.isclose(abs(theirs), sigma, rel_tol=1e-9), (theirs, sigma)
        rank = math.floor((len(slopes) + 1 - norm.isf((1 - confidence) / 2) * sigma) / 2)
        p = 1.0 if score == 0 else 2 * norm.sf((abs(score) - 1) / sigma)
    if rank < 1:
        return None
    scipy = theilslopes(y, x, alpha=confidence, method="joint")
    return {
        "slope": scipy.slope,
        "limits": [slopes[rank - 1], slopes[-rank]],
        "scipy": [scipy.low_slope, scipy.high_slope] if sum(tied) == 1 else None,
        "at": [median(x), scipy.intercept + scipy.slope * median(x)],
        "p": min(p, 1.0),
    }


@cache
def exact_rank(n, level):
    """Returns how many numbers of pairs out of order, from none on, have a two-sided p of at most the level."""
    # The largest number for which the p of one pair fewer out of order is small enough.
    low, high = 0, n * (n - 1) // 4
    while low < high:
        rank = (low + high + 1) // 2
        if kendalltau(range(n), out_of_order(n, rank - 1), method="exact").pvalue <= level:
            low = rank
        else:
            high = rank - 1
    return low


def out_of_order(n, pairs):
    """Returns n numbers of which so many pairs are out of order."""
    order = list(range(n))
    for place in range(n):
        move = min(pairs, n - 1 - place)
        order.insert(place, order.pop(place + move))
        pairs -= move
    return order


def variance(x, y):
    n = len(x)
    sizes = [numpy.unique(numbers, return_counts=True)[1].astype(float) for numbers in (x, y)]
    first, second, third = (
        [(t * f(t)).sum() for t in sizes]
        for f in (lambda t: (t - 1) * (2 * t + 5), lambda t: t - 1, lambda t: (t - 1) * (t - 2))
    )
    whole = n * (n - 1) * (2 * n + 5)
    return (
        (whole - sum(first)) / 18
        + second[0] * second[1] / (2 * n * (n - 1))
        + third[0] * third[1] / (9 * n * (n - 1) * (n - 2))
    )


def trend(question):
    """Returns both statistics and both p; the sum of uniform numbers by whole fractions and by scipy."""
    parts = [t / system["until"] for system in question["systems"] for t in system["failures"]]
    n, total = len(parts), sum(parts)
    small = min(total, n - total)
    half = sum(math.log(1 / part) for part in parts)
    both = chi2.cdf(2 * half, 2 * n), chi2.sf(2 * half, 2 * n)
    return {
        "z": (total - n / 2) / math.sqrt(n / 12),
        "laplace": min(2 * uniform_sum(small, n), 1.0),
        "scipy": min(2 * float(irwinhall.cdf(small, n)), 1.0),
        "statistic": 2 * half,
        "handbook": min(2 * min(both), 1.0),
    }


def uniform_sum(total, n):
    total = Fraction(total)
    terms = ((-1) ** k * math.comb(n, k) * (total - k) ** n for k in range(math.floor(total) + 1))
    return float(sum(terms) / math.factorial(n))


def growth(question):
    """Returns the tails of the number of failures at both limits of the mean time at the end."""
    times, until, r = question["failures"], question["until"], len(question["failures"])
    w = sum(mpmath.log(mpmath.mpf(until) / t) for t in times)
    lower, upper = (mpmath.mpf(until) * w / mean for mean in question["mean_time"])
    # The sum of x^k/(k! (k-1)!) over all k is a modified Bessel function.
    whole = lambda x: mpmath.sqrt(x) * mpmath.besseli(1, 2 * mpmath.sqrt(x))
    part = lambda x, last: mpmath.fsum(
        x**k / (mpmath.factorial(k) * mpmath.factorial(k - 1)) for k in range(1, last + 1)
    )
    tail = [chi2.ppf(p, 2 * r) / (2 * float(w)) for p in ((1 - question["confidence"]) / 2, (1 + question["confidence"]) / 2)]
    return {
        "at_most": float(part(lower, r) / whole(lower)),
        "at_least": float(1 - part(upper, r - 1) / whole(upper)),
        "shape": [(r - 1) / float(w), *tail],
    }


answers = {"curve": curve, "slope": slope, "trend": trend, "growth": growth}
for line in sys.stdin:
    question = json.loads(line)
    print(json.dumps(answers[question["what"]](question)))
