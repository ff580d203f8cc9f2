"""Writes water_density.csv, hydrometer_temperature.csv, plato_sg.csv and plato_sg_formulas.csv.

Water: Kell, J. Chem. Eng. Data 20 (1975) 97, and Tanaka et al., Metrologia 38 (2001) 301. Sucrose solutions away
from 20 degC: the ICUMSA polynomial (Bubnik et al. 1995). The densities of solutions at 20 degC are those of Plato
1900 as printed in table 113 of NBS Circular C440 (1942); the cubic was fitted to its table 114. Coefficients from
memory; that two formulas for water agree to 4 g/m3, and the cubic with the table, speaks for them. The expansion of
glass, 25e-6/K, is from memory too. Python's standard library is enough.
"""
import csv, os

here = os.path.dirname(os.path.abspath(__file__))

AIR = 1.199  # kg/m3, at 20 degC and one atmosphere
MAXIMUM = 999.972  # of water at 4 degC, kg/m3
GLASS = 25e-6  # volume, 1/K

PLATO_1900 = """0.998234 1.002120 1.006015 1.009934 1.013881 1.017854 1.021855 1.025885 1.029942 1.034029 1.038143
1.042288 1.046462 1.050665 1.054900 1.059165 1.063460 1.067789 1.072147 1.076537 1.080959 1.085414 1.089900 1.094420
1.098971 1.103557 1.108175 1.112828 1.117512 1.122231 1.126984""".split()  # 20/4, from 0 to 30 % by weight


def write(name, header, rows):
    with open(os.path.join(here, "..", name), "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(header)
        out.writerows(rows)


def kell(t):
    top = 0.0
    for coefficient in (-280.54253e-12, 105.56302e-9, -46.170461e-6, -7.9870401e-3, 16.945176, 999.83952):
        top = top * t + coefficient
    return top / (1 + 16.879850e-3 * t)


def tanaka(t):
    return 999.974950 * (1 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))


def sucrose(share, t):
    """Density of a solution with this share of sucrose by weight, kg/m3."""
    by_warmth = (
        (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
        (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
        (59.7712, 7.2491, 12.3630, -35.4791),
        (-47.2207, -21.6977, 27.6301),
        (18.3184, 12.3081),
    )
    more = 0.0
    for power, row in enumerate(by_warmth):
        for i, coefficient in enumerate(row):
            more += coefficient * share ** (i + 1) * ((t - 20) / 100) ** power
    return kell(t) + more


def apparent(density, water):
    """Gravity as scales in air show it."""
    return (density - AIR) / (water - AIR)


def solve(rising, wanted, low, high):
    while high - low > 1e-12:
        middle = (low + high) / 2
        if rising(middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def water_density():
    rows = []
    for t in [i / 2 for i in range(81)] + list(range(41, 101)):
        other = tanaka(t)
        rows.append(["%.1f" % t, "%.4f" % kell(t)] + (["%.4f" % other] if t <= 40 else [""]))
    write("water_density.csv", ["t_C", "kell1975_kg_m3", "tanaka2001_kg_m3"], rows)


def hydrometer_temperature():
    rows = []
    for made_for in (20, (60 - 32) / 1.8):
        for t in (5, 10, 15, 20, 25, 30, 35, 40, 50, 60):
            for reading in (1.000, 1.010, 1.050, 1.080):
                by_water = reading * kell(made_for) / kell(t)
                # The hydrometer displaces its own mass; when warm its glass has more volume. What it shows is the
                # density by that of water at the temperature it is made for.
                density = reading * kell(made_for) / (1 + GLASS * (t - made_for))
                share = solve(lambda s: sucrose(s, t), density, -0.02, 0.4)
                truth = sucrose(share, made_for) / kell(made_for)
                rows.append(["%g" % t, "%.3f" % reading, "%.4f" % made_for, "%.5f" % by_water, "%.5f" % truth])
    write("hydrometer_temperature.csv",
          ["t_C", "reading_SG", "cal_C", "water_ratio_SG", "sucrose_solution_and_glass_SG"], rows)


def plato_sg():
    rows = []
    for percent, density in enumerate(PLATO_1900):
        rho, water = float(density) * MAXIMUM, float(PLATO_1900[0]) * MAXIMUM
        rows.append([percent, density, "%.5f" % (rho / water), "%.5f" % apparent(rho, water)])
    write("plato_sg.csv", ["percent_by_weight", "density_20_4_plato1900", "sg_20_20_true", "sg_20_20_apparent"], rows)


def plato_sg_formulas():
    def cubic(s):
        return 182.46007 * s**3 - 775.68212 * s**2 + 1262.7794 * s - 669.56218

    gravities = (1.000, 1.048, 1.060, 1.100)
    write("plato_sg_formulas.csv", ["name", "formula"] + ["at_%.3f" % s for s in gravities],
          [["nbs_c440_cubic", "182.46007*S^3 - 775.68212*S^2 + 1262.7794*S - 669.56218"]
           + ["%.4f" % cubic(s) for s in gravities]])


water_density()
hydrometer_temperature()
plato_sg()
plato_sg_formulas()
