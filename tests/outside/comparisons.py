"""Answers the questions of tests/comparisons.rs with scipy, statsmodels, mpmath and whole numbers.

One JSON object a line comes in, one a line goes out in the same order. "ask" names the question:

binomial   k, n, share: the probability of at most k, of at least k, at 50 digits by mpmath
fisher     k1, n1, k2, n2: scipy's exact test of the table, two-sided, greater, less
quiet      failed, total, n, level: the counts without a signal by scipy's p-values, and how often a
           count falls outside them
power      n1, n2, share, ratio, level: the sum over all pairs of counts that matter
rates      k1, t1, k2, t2, confidence: p and limits from scipy's binomial test and its interval
ratio      rate, t1, t2, ratio, level: the power of that test, pair by pair
adjust     p: statsmodels' Holm and Benjamini-Hochberg
span       last, span, before, exposure: scipy's beta distribution
runs       counts, run: the share of all orders with such a run, counted in whole numbers
"""

import gc
import json
import sys
from fractions import Fraction
from functools import lru_cache
from math import comb, factorial

try:
    import numpy
    from mpmath import mp, mpf
    from scipy.special import gammaln
    from scipy.stats import beta, binom, binomtest, fisher_exact, hypergeom, poisson
except ImportError as missing:
    sys.exit(f"the Python package `{missing.name}` is missing")

mp.dps = 50


def binomial(k, n, share):
    """Sums the tail that is shorter, from the count outward, until it no longer grows at 50 digits."""
    p = mpf(share)
    itself = mp.binomial(n, k) * p**k * (1 - p) ** (n - k)

    def beyond(step):
        sum, term, at = mpf(0), itself, k
        while 0 <= at + step <= n:
            if step > 0:
                term *= mpf(n - at) / (at + 1) * p / (1 - p)
            else:
                term *= mpf(at) / (n - at + 1) * (1 - p) / p
            at += step
            if term < sum * mpf(10) ** -45:
                break
            sum += term
        return sum

    if k > n * share:
        above = beyond(1)
        return {"less": float(1 - above), "greater": float(itself + above)}
    below = beyond(-1)
    return {"less": float(itself + below), "greater": float(1 - below)}


def fisher(k1, n1, k2, n2):
    table = [[k1, n1 - k1], [k2, n2 - k2]]
    p = lambda alternative: float(fisher_exact(table, alternative).pvalue)
    return {"two_sided": p("two-sided"), "greater": p("greater"), "less": p("less")}


def quiet(failed, total, n, level):
    low = high = None
    for k in range(max(0, failed + n - total), min(failed, n) + 1):
        table = [[k, n - k], [failed - k, total - n - failed + k]]
        if fisher_exact(table).pvalue >= level:
            low = k if low is None else low
            high = k
    draws = hypergeom(total, failed, n)
    return {"low": low, "high": high, "false_alarm": float(draws.cdf(low - 1) + draws.sf(high))}


def no_likelier(p):
    """Returns, for each probability, the sum of all that are no larger but for rounding."""
    order = numpy.sort(p)
    sums = numpy.concatenate([[0], numpy.cumsum(order)])
    return sums[numpy.searchsorted(order, p * (1 + 1e-7), side="right")]


def likely(distribution):
    """Returns the counts outside which less than 1e-18 is left on either side."""
    mean, sd = float(distribution.mean()), float(distribution.std())
    return numpy.arange(max(0, int(mean - 12 * sd)), int(mean + 12 * sd) + 40)


def ln_choose(n, k):
    return gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)


def power(n1, n2, share, ratio, level):
    first, second = binom(n1, min(1, ratio * share)), binom(n2, share)
    counts1, counts2 = likely(first), likely(second)
    counts1, counts2 = counts1[counts1 <= n1], counts2[counts2 <= n2]
    weights1, weights2 = first.pmf(counts1), second.pmf(counts2)
    found = 0.0
    for failed in range(counts1[0] + counts2[0], counts1[-1] + counts2[-1] + 1):
        k = numpy.arange(max(0, failed - n2), min(failed, n1) + 1)
        p = no_likelier(numpy.exp(ln_choose(n1, k) + ln_choose(n2, failed - k) - ln_choose(n1 + n2, failed)))
        signals = k[p < level]
        signals = signals[numpy.isin(signals, counts1) & numpy.isin(failed - signals, counts2)]
        found += float(numpy.sum(weights1[signals - counts1[0]] * weights2[failed - signals - counts2[0]]))
    return {"power": found}


def rates(k1, t1, k2, t2, confidence):
    n, share = k1 + k2, t1 / (t1 + t2)
    if n == 0:
        return {"p": 1.0, "lower": 0.0, "upper": None}
    p = min(binomtest(k1, n, share, side).pvalue for side in ("greater", "less"))
    limits = binomtest(k1, n, share).proportion_ci(confidence, "exact")
    as_ratio = lambda limit: None if limit == 1 else float(limit / (1 - limit) * t2 / t1)
    return {"p": float(min(1, 2 * p)), "lower": as_ratio(limits.low), "upper": as_ratio(limits.high)}


def ratio(rate, t1, t2, ratio, level):
    first, second = poisson(rate * ratio * t1), poisson(rate * t2)
    k1, k2 = numpy.meshgrid(likely(first), likely(second), indexing="ij")
    share = t1 / (t1 + t2)
    p = 2 * numpy.minimum(binom.cdf(k1, k1 + k2, share), binom.sf(k1 - 1, k1 + k2, share))
    weights = numpy.outer(first.pmf(k1[:, 0]), second.pmf(k2[0]))
    return {"power": float(numpy.sum(weights[p < level]))}


def adjust(p):
    # Only here: it takes seconds to load.
    try:
        from statsmodels.stats.multitest import multipletests
    except ImportError as missing:
        sys.exit(f"the Python package `{missing.name}` is missing")
    # It collects garbage at every call, which is quick once what was loaded is set aside.
    gc.freeze()
    by = lambda method: [float(value) for value in multipletests(p, method=method)[1]]
    return {"holm": by("holm"), "hochberg": by("fdr_bh")}


def span(last, span, before, exposure):
    return {"p": float(beta(last, before).cdf(span / (span + exposure)))}


def runs(counts, run):
    """Builds the orders value by value, with whole numbers of any size."""

    @lru_cache(maxsize=None)
    def without(left, last, length):
        if not any(left):
            return 1
        ways = 0
        for value, count in enumerate(left):
            longer = length + 1 if value == last else 1
            if count and longer < run:
                ways += without(left[:value] + (count - 1,) + left[value + 1 :], value, longer)
        return ways

    every = factorial(sum(counts))
    for count in counts:
        every //= factorial(count)
    return {"p": float(Fraction(every - without(tuple(counts), None, 0), every))}


ANSWERS = [binomial, fisher, quiet, power, rates, ratio, adjust, span, runs]
BY_NAME = {answer.__name__: answer for answer in ANSWERS}
for line in sys.stdin:
    question = json.loads(line)
    print(json.dumps(BY_NAME[question.pop("ask")](**question)))
