"""Writes battery_forecast.json: when falling voltages meet a level, with a Huber line and Fieller's interval.

The line is statsmodels' RLM; the interval comes from the quadratic in the crossing itself, with the standard
error that huber_line documents, so that the closed form in the code is compared with another way to it.
"""
import json, math, os
import numpy as np, scipy, statsmodels, statsmodels.api as sm
from scipy import stats

here = os.path.dirname(os.path.abspath(__file__))
level = 3.45


def line(t, v):
    fit = sm.RLM(v, sm.add_constant(t), M=sm.robust.norms.HuberT(t=1.345)).fit(tol=1e-13, maxiter=200)
    a, b = fit.params
    w, r, scale = fit.weights, v - a - b * t, fit.scale
    wr = w * r
    rho = min(0.8, max(0.0, float((wr[1:] * wr[:-1]).sum() / (wr * wr).sum())))
    thinned = (1 - rho) / (1 + rho)
    n = len(t)
    centre_t = (w * t).sum() / w.sum()
    spread = (w * (t - centre_t) ** 2).sum()
    var_b = max((wr * wr).sum() / (n - 2), scale**2) / spread / thinned
    var_c = scale**2 / (n * thinned)
    assert n < 12 or rho < 2.5 / math.sqrt(n)
    return a, b, centre_t, var_c, var_b, max(2.0, n * thinned - 2)


def case(name, slope, noise, seed, n, spoil=()):
    rng = np.random.default_rng(seed)
    t = np.array([6.0 * i + 3 + rng.uniform(-2, 2) for i in range(n)])
    v = 4.05 - slope * t + noise * rng.standard_normal(n)
    for i, by in spoil:
        v[i] += by
    t, v = np.round(t, 3), np.round(v, 4)
    a, b, centre_t, var_c, var_b, df = line(t, v)
    if n >= 12:  # the newest half falls alike, or the code would look at it alone
        _, half_b, _, _, half_var_b, half_df = line(t[-(n // 2) :], v[-(n // 2) :])
        assert abs(half_b - b) < stats.t.ppf(0.995, half_df) * math.sqrt(half_var_b)
    q = stats.t.ppf(0.9, df)
    # (centre + b x - level)^2 = q^2 (var_c + x^2 var_b), x = t - centre_t
    d = a + b * centre_t - level
    roots = np.roots([b * b - q * q * var_b, 2 * b * d, d * d - q * q * var_c])
    low, high = sorted(centre_t + roots.real)
    return dict(name=name, t=t.tolist(), volt=v.tolist(), empty_h=(level - a) / b, low_h=low, high_h=high)


J = {
    "computed_with": f"numpy {np.__version__}, scipy {scipy.__version__}, statsmodels {statsmodels.__version__}",
    "level_volt": level,
    "cases": [
        case("short", 0.0020, 0.004, 1, 11),
        case("ten days", 0.0009, 0.006, 2, 40),
        case("ten days, wild values", 0.0012, 0.003, 3, 40, [(5, -0.3), (17, -0.12), (29, -0.2)]),
        case("slow", 0.0004, 0.002, 6, 38),
    ],
}
with open(os.path.join(here, "..", "battery_forecast.json"), "w") as out:
    json.dump(J, out, indent=1)
    out.write("\n")
