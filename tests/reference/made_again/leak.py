"""The leak line: corrected gauge, ordinary least squares on its logarithm, its intervals and when
it meets the lowest gauge. numpy, scipy and statsmodels. The noisy readings are given: a random
draw is not repeated."""

import functools
import json
import math
import pathlib
import re

import numpy
import statsmodels.api
from scipy import stats
from scipy.optimize import brentq

from .air import ATM, PSI, kelvin
from .table import Table

REFERENCE_C = 15.0
READING = ("temp_c", "ambient_pa", "gauge_psi")
GIVEN = re.compile(
    r"^(description|libraries|definitions)"
    r"|\.(case|source|seed|tolerance|note|true_k|true_g0_psi|noise_sd_psi|minimum_psi)\b"
    r"|\.(t_days|temp_c|ambient_pa)\.\d+$|^noisy\.\d+\.gauge_psi\.|true_k_per_day|expected\.true_g0"
)


def corrected(case, gauges):
    """Gauge in psi as it would read at 15 degC and 101,325 Pa."""
    absolute = numpy.array(gauges) * PSI + numpy.array(case["ambient_pa"], float)
    warmed = absolute * kelvin(REFERENCE_C) / (numpy.array(case["temp_c"], float) + 273.15)
    return (warmed - ATM) / PSI


def line(days, values):
    fit = stats.linregress(days, values)
    return {"slope": float(fit.slope), "intercept": float(fit.intercept)}


def crossing(fit, lowest_psi):
    return (math.log(lowest_psi) - fit["intercept"]) / fit["slope"]


def noise_free(case):
    """The readings made from the true line, and the lines fitted to them in four ways."""
    rate, first = case["expected"]["true_k_per_day"], case["expected"]["true_g0_psi"]
    exact = {"slope": -rate, "intercept": math.log(first)}
    true = first * numpy.exp(-rate * numpy.array(case["t_days"]))
    warmth = (numpy.array(case["temp_c"]) + 273.15) / kelvin(REFERENCE_C)
    seen = ((true * PSI + ATM) * warmth - numpy.array(case["ambient_pa"])) / PSI
    expected = {
        "slope": -rate,
        "intercept_ln_psi": math.log(first),
        "half_life_days": math.log(2) / rate,
        "crossing_days": crossing(exact, case["minimum_psi"]),
        "corrected_gauge_psi": corrected(case, case["gauge_psi"]).tolist(),
    }
    readings = {"gauge_psi": seen.tolist(), "gauge_psi_rounded_0p01": seen.tolist()}
    return readings | {"expected": expected} | fits(case)


def fits(case):
    """Lines through the readings as listed, rounded, not corrected, and as absolute pressure."""
    days, lowest = numpy.array(case["t_days"]), case["minimum_psi"]
    gauges = corrected(case, case["gauge_psi"])
    listed = line(days, numpy.log(gauges))
    left = numpy.log(gauges) - listed["intercept"] - listed["slope"] * days
    rounded = line(days, numpy.log(corrected(case, case["gauge_psi_rounded_0p01"])))
    as_read = line(days, numpy.log(case["gauge_psi"]))
    return {
        "fit_to_listed_readings": listed | {"residual_ss": float(left @ left)},
        "fit_to_rounded_readings": rounded | {"crossing_days": crossing(rounded, lowest)},
        "uncorrected_fit_for_contrast": as_read | {"crossing_days": crossing(as_read, lowest)},
        "ln_absolute_fit_pa": line(days, numpy.log(gauges * PSI + ATM)),
    }


def noisy(case):
    """The regression with its intervals, predictions and crossing times."""
    days, gauges = numpy.array(case["t_days"], float), corrected(case, case["gauge_psi"])
    fit = statsmodels.api.OLS(numpy.log(gauges), statsmodels.api.add_constant(days)).fit()
    expected = {
        "corrected_gauge_psi": gauges.tolist(),
        "n": len(days),
        "df": int(fit.df_resid),
        "slope_p_two_sided": float(fit.pvalues[1]),
        "r_squared": float(fit.rsquared),
        "residual_sd": math.sqrt(fit.mse_resid),
        "t_quantile_975": float(stats.t.ppf(0.975, fit.df_resid)),
        "predictions": [predicted(fit, case["t_days"][-1] + later) for later in (0, 7, 14, 30)],
    }
    crossed = crossings(fit, math.log(case["minimum_psi"]))
    return {"expected": expected | coefficients(fit) | crossed}


def coefficients(fit):
    values = {}
    for name, place in (("intercept", 0), ("slope", 1)):
        values[name] = float(fit.params[place])
        values[f"se_{name}"] = float(fit.bse[place])
        values[f"{name}_ci95"] = fit.conf_int(0.05)[place].tolist()
    return values


def at(fit, day, alpha=0.05):
    return fit.get_prediction([[1.0, day]]).summary_frame(alpha=alpha).iloc[0]


def predicted(fit, day):
    frame = at(fit, day)
    mean = [float(frame["mean_ci_lower"]), float(frame["mean_ci_upper"])]
    reading = [float(frame["obs_ci_lower"]), float(frame["obs_ci_upper"])]
    return {
        "t_days": day,
        "ln_mean": float(frame["mean"]),
        "mean_se": float(frame["mean_se"]),
        "mean_ci95": mean,
        "obs_ci95": reading,
        "psi_mean": math.exp(frame["mean"]),
        "psi_mean_ci95": [math.exp(value) for value in mean],
        "psi_obs_ci95": [math.exp(value) for value in reading],
    }


def crossings(fit, lowest):
    """When the line, and each lower limit of it, comes down to the lowest gauge."""
    (intercept, slope), covariance = fit.params, fit.cov_params()
    point = (lowest - intercept) / slope
    weights = numpy.array([1.0, point]) / slope

    def first_time(limit, alpha=0.05):
        return brentq(lambda day: at(fit, day, alpha)[limit] - lowest, 0, point)

    name = "first_time_lower_{}_sided95_hits_minimum".format
    return {
        "crossing_point_days": float(point),
        "crossing_fieller95": fieller(fit, lowest),
        "crossing_delta_method_se": math.sqrt(weights @ covariance @ weights),
        name("mean_limit_two"): first_time("mean_ci_lower"),
        name("prediction_limit_two"): first_time("obs_ci_lower"),
        name("prediction_limit_one"): first_time("obs_ci_lower", 0.10),
    }


def fieller(fit, lowest):
    """Fieller's limits of the crossing time: the roots of a quadratic in the time. A slope that
    may be zero turns the range inside out."""
    (intercept, slope), covariance = fit.params, fit.cov_params()
    square = stats.t.ppf(0.975, fit.df_resid) ** 2
    away = intercept - lowest
    a = slope**2 - square * covariance[1, 1]
    b = 2 * (away * slope - square * covariance[0, 1])
    c = away**2 - square * covariance[0, 0]
    root = math.sqrt(b * b - 4 * a * c)
    lower, upper = sorted(((-b - root) / (2 * a), (-b + root) / (2 * a)))
    kind = "bounded" if a > 0 else "complement: t<=first or t>=second"
    return {"lower": float(lower), "upper": float(upper), "kind": kind}


def document(committed):
    return {
        "noise_free": [noise_free(case) for case in committed["noise_free"]],
        "noisy": [noisy(case) for case in committed["noisy"]],
    }


def unit(place, value):
    """The unit of the last digit that a comparison can hold: readings and gauges have a fixed
    number of decimals, all else twelve digits."""
    if "gauge_psi_rounded_0p01" in place:
        return 1e-2
    if "gauge_psi" in place:
        return 1e-6 if place.startswith("noisy") else 1e-9
    if place.endswith("residual_ss"):
        # What is left of exact readings is mostly the error of the arithmetic: five digits hold.
        return 1e-25
    return 10.0 ** (math.floor(math.log10(abs(value))) - 11)


@functools.cache
def listed_readings():
    """The readings of leak-rate.json by case letter and day."""
    path = pathlib.Path(__file__).parent.parent / "leak-rate.json"
    whole = json.loads(path.read_text(encoding="utf-8"))
    cases = whole["noise_free"] + whole["noisy"]
    return {
        (case["case"][0], float(day)): [case[name][number] for name in READING]
        for case in cases
        for number, day in enumerate(case["t_days"])
    }


def reading(row):
    temperature, ambient, gauge = listed_readings()[row["case"], float(row["t_days"])]
    case = {"temp_c": [float(row["temp_c"])], "ambient_pa": [float(row["ambient_pa"])]}
    return {
        "temp_c": float(temperature),
        "ambient_pa": float(ambient),
        "gauge_psi": float(gauge),
        "corrected_gauge_psi_15C_101325": float(corrected(case, [float(row["gauge_psi"])])[0]),
    }


TABLES = {
    "leak-readings.csv": Table(
        "case t_days",
        {
            "temp_c": 0,
            "ambient_pa": 0,
            "gauge_psi": 9,
            "corrected_gauge_psi_15C_101325": 6,
        },
        reading,
    ),
}
