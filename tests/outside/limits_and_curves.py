"""Answers the questions of tests/statistics.rs with scipy and lifelines.

One JSON object a line comes in, one a line goes out in the same order. A question with "k" asks
for the Clopper-Pearson limits; one with "seconds" and "ended" for the Kaplan-Meier curve and the
times by which shares have ended, once by lifelines and once counted out here in fractions.
"""

import json
import sys
import warnings
from fractions import Fraction

try:
    import numpy
    from lifelines import KaplanMeierFitter
    from scipy.stats import beta
except ImportError as missing:
    sys.exit(f"the Python package `{missing.name}` is missing")

# pandas and lifelines announce their own future; it is no answer.
warnings.simplefilter("ignore")


def limits(questions):
    """Returns the limits of all questions; scipy is quick only on whole arrays."""
    k = numpy.array([q["k"] for q in questions], dtype=float)
    n = numpy.array([q["n"] for q in questions], dtype=float)
    tail = (1 - numpy.array([q["confidence"] for q in questions])) / 2
    inner = numpy.where(k == 0, 1, k)
    lower = numpy.where(k == 0, 0.0, beta.ppf(tail, inner, n - inner + 1))
    inner = numpy.where(k == n, n - 1, k)
    upper = numpy.where(k == n, 1.0, beta.ppf(1 - tail, inner + 1, n - inner))
    return [{"lower": low, "upper": high} for low, high in zip(lower, upper)]


def curve(question):
    """Returns the steps by lifelines, and the quantiles by lifelines and by fractions."""
    seconds, ended = question["seconds"], question["ended"]
    fitter = KaplanMeierFitter().fit(seconds, ended)
    table = fitter.event_table[fitter.event_table["observed"] > 0]
    survival = fitter.survival_function_["KM_estimate"]
    shares = [Fraction(*share) for share in question["shares"]]
    return {
        "steps": [
            [int(t), int(row["at_risk"]), int(row["observed"]), float(survival.loc[t])]
            for t, row in table.iterrows()
        ],
        "lifelines": [reached(fitter.percentile(float(1 - share))) for share in shares],
        "fractions": [counted_out(seconds, ended, share) for share in shares],
    }


def reached(time):
    return None if numpy.isinf(time) else int(time)


def counted_out(seconds, ended, share):
    """Returns the first time at which the product of the fractions is at most 1 - share."""
    lasting = Fraction(1)
    for time in sorted(set(seconds)):
        followed = sum(s >= time for s in seconds)
        over = sum(s == time and e for s, e in zip(seconds, ended))
        lasting *= Fraction(followed - over, followed)
        if over and lasting <= 1 - share:
            return time
    return None


questions = [json.loads(line) for line in sys.stdin]
counts = iter(limits([q for q in questions if "k" in q]))
for question in questions:
    print(json.dumps(next(counts) if "k" in question else curve(question)))
