"""Writes abv_examples.csv and balling_factors.csv.

Balling's equations as ASBC and EBC use them, the 0.1808/0.8192 split of the real extract from memory; ethanol of
789.24 kg/m3 and water of 998.2041 kg/m3 at 20 degC. The rule of 131.25 is common practice, no source. The factors of
the UK's table are those of uk_abv_factors.csv. Balling's printed factors: F. Eckhardt, public newsgroup posting, 1995.
Extract follows the sucrose table of plato_sg.csv, between its rows by a cubic. Python's standard library is enough.
"""
import bisect, csv, os

here = os.path.dirname(os.path.abspath(__file__))
ETHANOL_SG = 789.24 / 998.2041


def table(name):
    with open(os.path.join(here, "..", name), newline="") as file:
        return list(csv.reader(file))[1:]


def write(name, header, rows):
    with open(os.path.join(here, "..", name), "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(header)
        out.writerows(rows)


SUCROSE = [(float(row[3]), float(row[0])) for row in table("plato_sg.csv")]
UK = [(float(row[0]), float(row[1])) for row in table("uk_abv_factors.csv")]


def extract(gravity):
    """Degrees Plato: Lagrange's cubic through the four nearest rows of the table."""
    at = bisect.bisect([g for g, _ in SUCROSE], gravity)
    first = min(max(at - 2, 0), len(SUCROSE) - 4)
    near = SUCROSE[first:first + 4]
    found = 0.0
    for i, (gi, pi) in enumerate(near):
        weight = 1.0
        for j, (gj, _) in enumerate(near):
            if j != i:
                weight *= (gravity - gj) / (gi - gj)
        found += weight * pi
    return found


def uk(points):
    return next(points * factor for up_to, factor in UK if round(points, 1) <= up_to)


def examples():
    rows = []
    for og, fg in ((1.030, 1.008), (1.040, 1.010), (1.045, 1.011), (1.048, 1.012), (1.050, 1.010), (1.050, 1.012),
                   (1.052, 1.012), (1.055, 1.013), (1.060, 1.012), (1.065, 1.015), (1.070, 1.014), (1.080, 1.018),
                   (1.090, 1.020), (1.100, 1.025)):
        before, after = extract(og), extract(fg)
        real = 0.1808 * before + 0.8192 * after
        per_gram = 2.0665 - 0.010665 * before  # extract for a gram of alcohol
        weight = (before - real) / per_gram
        by_quotient = (before - after) / per_gram / (1.22 + 0.001 * before)
        points = round(1000 * (og - fg), 6)
        rows.append(["%.3f" % og, "%.3f" % fg] + ["%.3f" % x for x in (
            before, after, real, weight, weight * fg / ETHANOL_SG, by_quotient * fg / ETHANOL_SG, 0.13125 * points,
            uk(points))] + ["%.2f" % (100 * x) for x in (
                (og - fg) / (og - 1), (before - after) / before, (before - real) / before)])
    write("abv_examples.csv",
          ["og_sg", "fg_sg", "original_extract_P", "apparent_extract_P", "real_extract_P", "abw_pct_balling",
           "abv_pct_balling", "abv_pct_quotient", "abv_pct_131.25_rule", "abv_pct_uk_table",
           "apparent_attenuation_pct_by_SG", "apparent_attenuation_pct_by_Plato", "real_attenuation_pct"], rows)


def balling():
    printed = {6: .4073, 7: .4091, 8: .411, 9: .4129, 10: .4148, 10.5: .4158, 11: .4168, 11.5: .4177, 12: .4187,
               12.5: .4197, 13: .4206, 13.5: .4216, 14: .4226, 14.5: .4236, 15: .4246, 15.5: .4257, 16: .4267,
               17: .4288, 18: .4309, 19: .433, 20: .4351, 21: .4373, 22: .4395, 23: .4417, 24: .4439, 25: .4462,
               26: .4485, 27: .4508, 28: .4532, 29: .4556, 30: .458}
    write("balling_factors.csv", ["original_extract_P", "printed_abw_per_degree_of_apparent_fall", "formula"],
          [["%g" % p, "%g" % factor, "%.5f" % (1 / (2.0665 - 0.010665 * p) / (1.22 + 0.001 * p))]
           for p, factor in printed.items()])


examples()
balling()
