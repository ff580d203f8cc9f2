"""Writes yeast_band.json: the 80 % interval of a next batch's attenuation, after those seen.

The code has a closed form with Student's t. Here the same model is worked without it: the unknown mean m and
scatter s of a yeast lie on a grid, each pair weighs what the prior and the batches seen let it weigh,

    s^2 ~ 4 s0^2 / chi-squared(4),  m ~ N(0.75, 3 s^2),  x ~ N(m, s^2),

and the quantiles of the next x are found by bisection in the mixture of their normal distributions. s0 is found
so that with no batch the interval is 0.70 to 0.80. Plain Python.
"""
import json, math, os

here = os.path.dirname(os.path.abspath(__file__))
MIDDLE, WEIGHT, FREEDOM = 0.75, 1 / 3, 4


def cdf(z):
    return 0.5 * math.erfc(-z / math.sqrt(2))


def mixture(seen, s0):
    """Normal distributions of the next batch, as (weight, mean, deviation)."""
    parts = []
    n_log, n_mean = 360, 240
    for i in range(n_log):  # log s, evenly: the density of s^2 gets a factor s^2
        log_s = math.log(s0) - 3 + 6 * (i + 0.5) / n_log
        s2 = math.exp(2 * log_s)
        log_w = -(FREEDOM / 2 + 1) * math.log(s2) - FREEDOM * s0 * s0 / (2 * s2) + math.log(s2)
        # The mean of the yeast, in steps of its own deviation about the best guess.
        k = WEIGHT + len(seen)
        centre = (WEIGHT * MIDDLE + sum(seen)) / k
        step = 14 * math.sqrt(s2 / k) / n_mean
        for j in range(n_mean):
            m = centre + (j + 0.5 - n_mean / 2) * step
            lw = log_w + math.log(step) - 0.5 * math.log(s2 / WEIGHT) - WEIGHT * (m - MIDDLE) ** 2 / (2 * s2)
            for x in seen:
                lw += -0.5 * math.log(s2) - (x - m) ** 2 / (2 * s2)
            parts.append((lw, m, math.sqrt(s2)))
    top = max(p[0] for p in parts)
    weighed = [(math.exp(lw - top), m, s) for lw, m, s in parts if lw - top > -40]
    total = sum(w for w, _, _ in weighed)
    return [(w / total, m, s) for w, m, s in weighed]


def quantile(parts, p):
    low, high = -1.0, 3.0
    while high - low > 1e-9:
        middle = (low + high) / 2
        if sum(w * cdf((middle - m) / s) for w, m, s in parts) < p:
            low = middle
        else:
            high = middle
    return (low + high) / 2


# Everything scales with s0 when nothing was seen.
S0 = 0.02 * 0.05 / (quantile(mixture([], 0.02), 0.9) - MIDDLE)

cases = [
    ("one", [0.80]),
    ("one like the usual", [0.75]),
    ("two", [0.78, 0.82]),
    ("three that agree", [0.81, 0.815, 0.805]),
    ("three that do not", [0.66, 0.75, 0.83]),
    ("eight", [0.77, 0.79, 0.76, 0.80, 0.78, 0.775, 0.79, 0.765]),
]
out = {"scatter_before": S0, "cases": []}
for name, seen in cases:
    parts = mixture(seen, S0)
    out["cases"].append({"name": name, "seen": seen, "low": quantile(parts, 0.1), "high": quantile(parts, 0.9)})
with open(os.path.join(here, "..", "yeast_band.json"), "w") as f:
    json.dump(out, f, indent=1)
