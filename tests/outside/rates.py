"""Answers the questions of tests/rates.rs with mpmath, scipy and statsmodels.

One JSON object a line comes in, one a line goes out in the same order; "kind" says what is asked.
Quantiles and tails are not computed a second time but judged: the distribution is summed at the very
number that was given, to some 50 digits, and the answer is how far off that number is.
"""

import json
import sys
from fractions import Fraction

try:
    import numpy
    from mpmath import mp, mpf
    from scipy import optimize, special, stats
    from statsmodels.stats.proportion import proportion_confint
except ImportError as missing:
    sys.exit(f"the Python package `{missing.name}` is missing")

mp.dps = 50
BITS = 190


def positive_series(first, ratio):
    """Returns 1 + r(0) + r(0) r(1) + ..., for ratios given as two whole numbers, in fixed point."""
    term = total = 1 << BITS
    n = 0
    while term:
        above, below = ratio(n)
        term = term * above // below
        total += term
        n += 1
    return first * mpf(total) / (1 << BITS)


def gamma_at(shape, x):
    """Returns the lower tail and x times the density, by the power series DLMF 8.7.1."""
    a, x = Fraction(shape), Fraction(x)
    whole = a.denominator * x.denominator
    a_whole, x_whole = int(a * whole), int(x * whole)
    a, x = exact(a), exact(x)
    kernel = mp.exp(a * mp.log(x) - x - mp.loggamma(a + 1))
    lower = positive_series(kernel, lambda n: (x_whole, a_whole + (n + 1) * whole))
    return lower, a * kernel


def beta_at(value, a, b):
    """Returns the lower tail and value (1 - value) times the density, for an exact fraction as value.

    The series is the hypergeometric one of DLMF 8.17.8, on the side where the number is at most 1/2.
    """
    if value > Fraction(1, 2):
        lower, kernel = beta_at(1 - value, b, a)
        return 1 - lower, kernel
    x = exact(value)
    ln_beta = mp.loggamma(a) + mp.loggamma(b) - mp.loggamma(a + b)
    kernel = mp.exp(a * mp.log(x) + b * mp.log(1 - x) - ln_beta)
    above, below = value.numerator, value.denominator
    lower = positive_series(kernel / a, lambda n: ((a + b + n) * above, (a + 1 + n) * below))
    return lower, kernel


def exact(fraction):
    return mpf(fraction.numerator) / fraction.denominator


def gamma_quantile(q):
    """Returns the relative error of a point whose tail should have a given size."""
    lower, x_density = gamma_at(q["shape"], q["point"])
    size = mpf(q["size"])
    wanted = size if q["tail"] == "lower" else 1 - size
    return float(abs((lower - wanted) / x_density))


def gamma_tails(q):
    """Returns the larger of the relative errors of both tails."""
    lower, _ = gamma_at(q["shape"], q["x"])
    return float(max(abs(q["lower"] / lower - 1), abs(q["upper"] / (1 - lower) - 1)))


def beta_quantile(q):
    """Returns the larger of the relative errors of a point and of its complement."""
    a, b, p = q["a"], q["b"], mpf(q["p"])
    errors = []
    for name in ["value", "rest"]:
        given = Fraction(q[name])
        value = given if name == "value" else 1 - given
        lower, kernel = beta_at(value, a, b)
        density = kernel / (exact(value) * exact(1 - value))
        errors.append(abs((lower - p) / (exact(given) * density)))
    return float(max(errors))


def normal_quantile(q):
    z = mpf(q["z"])
    if z == 0:
        return 0.0 if q["p"] == 0.5 else 1.0
    # The difference to 1/2, which keeps its digits near the middle, and either tail, which does outside.
    off = mp.erf(z / mp.sqrt(2)) / 2 - (mpf(q["p"]) - mpf(1) / 2)
    return float(abs(off / (z * mp.npdf(z))))


def normal_tail(q):
    return float(abs(mpf(q["tail"]) / (mp.erfc(-mpf(q["z"]) / mp.sqrt(2)) / 2) - 1))


def garwood(q):
    tail, k = (1 - q["confidence"]) / 2, q["k"]
    lower = stats.chi2.ppf(tail, 2 * k) / 2 if k else 0.0
    return [lower / q["exposure"], stats.chi2.isf(tail, 2 * k + 2) / 2 / q["exposure"]]


def wilson(q):
    limits = proportion_confint(q["k"], q["n"], alpha=1 - q["confidence"], method="wilson")
    return [float(limit) for limit in limits]


def funnel(q):
    """Returns the interpolated limits, and the probabilities of so many or fewer, so many or more."""
    mean = q["target"] * q["exposure"]
    limits = []
    for p in [(1 - q["coverage"]) / 2, (1 + q["coverage"]) / 2]:
        r = stats.poisson.ppf(p, mean)
        part = (stats.poisson.cdf(r, mean) - p) / stats.poisson.pmf(r, mean)
        limits.append(max(r - part, 0.0) / q["exposure"])
    tails = [stats.poisson.cdf(q["k"], mean), stats.poisson.sf(q["k"] - 1, mean)]
    return {"limits": limits, "tails": [float(tail) for tail in tails]}


def shrunken(q):
    """Returns the likeliest prior that a general minimiser finds, and how likely ours and one rate are."""
    k = numpy.array([k for k, _ in q["counts"]], dtype=float)
    t = numpy.array([t for _, t in q["counts"]])

    def surprise(ln_shape, ln_mean):
        a = numpy.exp(ln_shape)
        b = a / numpy.exp(ln_mean)
        terms = special.gammaln(a + k) - special.gammaln(a) - special.gammaln(k + 1)
        terms += -a * numpy.log1p(t / b) + special.xlogy(k, t / (b + t))
        return -terms.sum()

    common = k.sum() / t.sum()
    pooled = float(stats.poisson.logpmf(k, common * t).sum())
    best = None
    for start in [-3.0, 0.0, 3.0]:
        found = optimize.minimize(
            lambda at: surprise(*at),
            [start, numpy.log(common)],
            method="Nelder-Mead",
            bounds=[(-13, 9), (None, None)],
            options={"xatol": 1e-9, "fatol": 1e-12, "maxiter": 4000},
        )
        if best is None or found.fun < best.fun:
            best = found
    a = numpy.exp(best.x[0])
    b = a / numpy.exp(best.x[1])
    answer = {"pooled": pooled, "theirs": -float(best.fun), "means": list((a + k) / (b + t))}
    if q["shape"] is not None:
        a, b = q["shape"], q["rate"]
        tail = (1 - q["confidence"]) / 2
        answer["ours"] = -float(surprise(numpy.log(a), numpy.log(a / b)))
        answer["lower"] = list(stats.gamma.ppf(tail, a + k) / (b + t))
        answer["upper"] = list(stats.gamma.isf(tail, a + k) / (b + t))
    return answer


KINDS = {
    "gamma quantile": gamma_quantile,
    "gamma tails": gamma_tails,
    "beta quantile": beta_quantile,
    "normal quantile": normal_quantile,
    "normal tail": normal_tail,
    "garwood": garwood,
    "wilson": wilson,
    "funnel": funnel,
    "shrunken": shrunken,
}

for line in sys.stdin:
    question = json.loads(line)
    print(json.dumps(KINDS[question["kind"]](question)))
