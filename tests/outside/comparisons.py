"""Answers the questions of tests/comparisons.rs with scipy, statsmodels, mpmath and whole numbers.

One JSON object a line comes in, one a line goes out in the same order. "ask" names the question:

binomial   k, n, share: the probability of k, of at most k, of at least k, at 50 digits by mpmath
test       k, n, share: scipy's exact binomial test, two-sided, greater, less
fisher     k1, n1, k2, n2: scipy's exact test of the table, two-sided, greater, less
quiet      failed, total, n, level: the counts without a signal by scipy's p-values, and how often a
           count falls outside them
power      n1, n2, share, ratio, level: the sum over all pairs of counts that matter
rates      k1, t1, k2, t2, confidence: p and limits from scipy's binomial test and its interval
ratio      rate, t1, t2, ratio, level: the power of that test, total by total
adjust     p: statsmodels' Holm and Benjamini-Hochberg
span       last, span, before, exposure: scipy's beta distribution
checks     last, span, before, checks: scipy's hypergeometric distribution
runs       counts, run: the share of all orders with such a run, counted in whole numbers
"""

import json
import sys
from fractions import Fraction
from functools import lru_cache
from math import comb, factorial

try:
    import numpy
    from mpmath import mp, mpf
    from scipy.stats import beta, binom, binomtest, fisher_exact, hypergeom, poisson
    from statsmodels.stats.multitest import multipletests
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
        return {"itself": float(itself), "less": float(1 - above), "greater": float(itself + above)}
    below = beyond(-1)
    return {"itself": float(itself), "less": float(itself + below), "greater": float(1 - below)}


def test(k, n, share):
    p = lambda alternative: float(binomtest(k, n, share, alternative).pvalue)
    return {"two_sided": p("two-sided"), "greater": p("greater"), "less": p("less")}


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
    """Returns the counts outside which 1e-18 at most is left on either side."""
    return numpy.arange(max(0, int(distribution.ppf(1e-18)) - 1), int(distribution.isf(1e-18)) + 2)


def power(n1, n2, share, ratio, level):
    first, second = binom(n1, min(1, ratio * share)), binom(n2, share)
    counts1, counts2 = likely(first), likely(second)
    found = 0.0
    for failed in range(counts1[0] + counts2[0], counts1[-1] + counts2[-1] + 1):
        k = numpy.arange(max(0, failed - n2), min(failed, n1) + 1)
        signals = k[no_likelier(hypergeom(n1 + n2, failed, n1).pmf(k)) < level]
        found += float(numpy.sum(first.pmf(signals) * second.pmf(failed - signals)))
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
    totals = poisson(rate * (ratio * t1 + t2))
    null, true = t1 / (t1 + t2), ratio * t1 / (ratio * t1 + t2)
    found = 0.0
    for total in likely(totals):
        k = numpy.arange(total + 1)
        at_null = binom(total, null)
        p = 2 * numpy.minimum(at_null.cdf(k), at_null.sf(k - 1))
        found += float(totals.pmf(total) * numpy.sum(binom(total, true).pmf(k[p < level])))
    return {"power": found}


def adjust(p):
    by = lambda method: [float(value) for value in multipletests(p, method=method)[1]]
    return {"holm": by("holm"), "hochberg": by("fdr_bh")}


def span(last, span, before, exposure):
    return {"p": float(beta(last, before).cdf(span / (span + exposure)))}


def checks(last, span, before, checks):
    return {"p": float(hypergeom(span + checks - 1, last + before - 1, span).sf(last - 1))}


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


ANSWERS = [binomial, test, fisher, quiet, power, rates, ratio, adjust, span, checks, runs]
BY_NAME = {answer.__name__: answer for answer in ANSWERS}
for line in sys.stdin:
    question = json.loads(line)
    print(json.dumps(BY_NAME[question.pop("ask")](**question)))
