"""Writes inclination_fit.json: polynomials through the inclinations of a hydrometer in sugar solutions, by numpy.polyfit.

The gravities are those of plato_sg.csv (apparent, 20/20); the inclinations are made up, from a curve that bends as
such hydrometers do and with noise of a fixed seed. What the curve through the other points misses each point by
comes from fitting again without it.
"""
import csv, json, os
import numpy as np

here = os.path.dirname(os.path.abspath(__file__))
with open(os.path.join(here, "..", "plato_sg.csv")) as table:
    rows = list(csv.DictReader(table))
sg = {float(r["plato_or_brix_pct_ww"]): float(r["sg_20_20_apparent_in_air"]) for r in rows}


def case(name, plato, seed, noise):
    rng = np.random.default_rng(seed)
    y = np.array([sg[p] for p in plato])
    points = 1000 * (y - 1)
    x = np.round(25 + 0.62 * points - 0.0021 * points**2 + noise * rng.standard_normal(len(y)), 2)
    fits = []
    for degree in (1, 2, 3):
        if len(set(x)) <= degree:
            continue
        c = np.polyfit(x, y, degree)
        left_out = []
        for i in range(len(x)):
            xi, yi = np.delete(x, i), np.delete(y, i)
            # no other curve of this degree goes through what is left: nothing to compare with
            left_out.append(y[i] - np.polyval(np.polyfit(xi, yi, degree), x[i]) if len(set(xi)) > degree else None)
        fits.append(dict(degree=degree, coefficients=c[::-1].tolist(),
                         residuals=(y - np.polyval(c, x)).tolist(), left_out=left_out))
    return dict(name=name, plato=plato, inclination=x.tolist(), gravity=y.tolist(), fits=fits)


J = {
    "computed_with": f"numpy {np.__version__}",
    "cases": [
        case("water and one solution", [0, 12], 1, 0.2),
        case("three", [0, 10, 20], 2, 0.2),
        case("five", [0, 5, 10, 15, 20], 3, 0.2),
        case("eight, some alike", [0, 0, 3, 6, 9, 12, 12, 18], 4, 0.4),
        case("close together", [10, 11, 12, 13, 14, 15], 5, 0.05),
    ],
}
with open(os.path.join(here, "..", "inclination_fit.json"), "w") as out:
    json.dump(J, out, indent=1)
    out.write("\n")
