"""Writes co2_residual.csv, co2_solubility.csv, bottle_pressure.csv, priming.csv and priming_examples.csv.

All coefficients from memory: Henry's law fitted to beer; the fit to the ASBC chart by A. J. deLange; the quadratic of
M. L. Hall, Zymurgy 1995; water by Weiss, Marine Chemistry 2 (1974) 203; Balling's yield of extract. The twelve values
in `TRADE` are printed in the trade without an author. Molar masses are IUPAC's. Four grams of sugar a litre for a
volume are common practice, no source. Python's standard library is enough.
"""
import csv, math, os

here = os.path.dirname(os.path.abspath(__file__))

GRAMS_PER_VOLUME = 1.9769  # a litre of the real gas at 0 degC and one atmosphere
CO2 = 44.009  # g/mol
ATMOSPHERE, PSI_PER_BAR = 1.01325, 14.503774
TRADE = {0: "1.7", 2: "1.6", 4: "1.5", 6: "1.4", 8: "1.3", 10: "1.2", 12: "1.12", 14: "1.05", 16: "0.99", 18: "0.93",
         20: "0.88", 22: "0.83"}


def write(name, header, rows):
    with open(os.path.join(here, "..", name), "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(header)
        out.writerows(rows)


def fahrenheit(t):
    return 1.8 * t + 32


def henry_per_bar(t):
    """Grams in a litre of beer for each bar."""
    return 10 * math.exp(-10.73797 + 2617.25 / (t + 273.15))


def chart_per_psi(t):
    """Volumes for each psi; the fit takes off 0.003342 volumes in all."""
    return 0.01821 + 0.090115 * math.exp(-(fahrenheit(t) - 32) / 43.11)


def water(t, bar):
    k = (t + 273.15) / 100
    return CO2 * math.exp(-58.0931 + 90.5069 / k + 22.2940 * math.log(k)) * bar / ATMOSPHERE


def hall(t):
    f = fahrenheit(t)
    return 3.0378 - 0.050062 * f + 0.00026555 * f * f


def residual():
    write("co2_residual.csv", ["t_C", "t_F", "trade_table_vol", "hall_vol"],
          [[t, "%.1f" % fahrenheit(t), TRADE.get(t, ""), "%.3f" % hall(t)] for t in range(31)])


def solubility():
    rows = []
    for t in (0, 2, 4, 5, 6, 8, 10, 12, 15, 18, 20, 25):
        for gauge in (0.0, 0.5, 0.7, 0.9, 1.0, 1.2, 1.5, 2.0, 2.5):
            henry = henry_per_bar(t) * (gauge + ATMOSPHERE)
            chart = chart_per_psi(t) * (gauge * PSI_PER_BAR + 14.695) - 0.003342
            rows.append([t, "%.1f" % gauge] + ["%.3f" % x for x in (
                henry, henry / GRAMS_PER_VOLUME, chart, water(t, gauge + ATMOSPHERE))])
    write("co2_solubility.csv", ["t_C", "gauge_bar", "henry_g_L", "henry_vol", "chart_vol", "water_g_L"], rows)


def bottles():
    rows = []
    for volumes in (2.0, 2.4, 2.8, 3.0, 3.5, 4.0, 4.5):
        for t in (4, 20, 25, 30, 35, 40):
            chart = ((volumes + 0.003342) / chart_per_psi(t) - 14.695) / PSI_PER_BAR
            henry = volumes * GRAMS_PER_VOLUME / henry_per_bar(t) - ATMOSPHERE
            rows.append(["%.1f" % volumes, t, "%.2f" % chart, "%.2f" % henry])
    write("bottle_pressure.csv", ["volumes", "t_C", "gauge_bar_chart", "gauge_bar_henry"], rows)


# Molar mass and molecules of gas from one of sugar.
SUGARS = {"glucose_anhydrous": (180.156, 2), "glucose_monohydrate": (198.171, 2), "sucrose": (342.297, 4)}


def gas(sugar):
    mass, molecules = SUGARS[sugar]
    return molecules * CO2 / mass


def priming():
    rows = [[sugar, "%.4f" % gas(sugar), "%.3f" % (GRAMS_PER_VOLUME / gas(sugar))] for sugar in SUGARS]
    balling = 0.9565 / 2.0665  # of 2.0665 g of extract: 1 g ethanol, 0.9565 g carbon dioxide, 0.11 g yeast
    rows.append(["extract_balling", "%.4f" % balling, "%.3f" % (GRAMS_PER_VOLUME / balling)])
    rows.append(["rule_of_4_g", "%.4f" % (GRAMS_PER_VOLUME / 4), "4.000"])
    write("priming.csv", ["sugar", "g_CO2_per_g", "g_per_L_per_volume"], rows)
    rows = []
    for volumes, warmest, litres in ((2.4, 20, 12.0), (2.4, 22.5, 10.6), (2.2, 17, 11.4), (3.0, 20, 12.0)):
        grams = (volumes - hall(warmest)) * GRAMS_PER_VOLUME * litres
        rows.append(["%g" % volumes, "%g" % warmest, "%g" % litres, "%.4f" % hall(warmest), "%.3f" % grams]
                    + ["%.1f" % (grams / gas(sugar)) for sugar in ("sucrose", "glucose_anhydrous",
                                                                   "glucose_monohydrate")])
    write("priming_examples.csv", ["volumes", "warmest_C", "beer_L", "residual_vol", "missing_g", "sucrose_g",
                                   "glucose_anhydrous_g", "glucose_monohydrate_g"], rows)


residual()
solubility()
bottles()
priming()
