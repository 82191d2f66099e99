"""Recurring events: trend tests, the power law, the mean cumulative function, exact intervals, rate
ratios and gamma-Poisson rates. numpy, scipy and statsmodels. Histories are given; what a page or
another program prints is quoted."""

import math
import re

import numpy
from scipy import optimize, special, stats
from statsmodels.stats import rates

# Inputs are given; `published` and what is listed beside it is quoted.
GIVEN = re.compile(
    r"^(libraries|conventions)"
    r"|^cases\.\d+\.(id|inputs|formulas|tolerance|source|memory_note|libraries|disagreement"
    r"|caution|ci_formula|published|published_r_exactci)\b"
    r"|\.(critical_note|critical_10pct|decision|mover_jeff_published\.\d)$"
    r"|\.expected\.\d+\.(unit|count|count1|count2|exposure1|exposure2|exposure_years)$"
    r"|^cases\.3\.expected\.(mil_chi2_cdf|laplace_cdf)$"  # Printed in single precision.
    r"|\.eb_means_mom$|\.mom_[ab]$"
)

# Cases, or parts of them, that a page printed with fewer digits than ten.
PRINTED = re.compile(
    r"^cases\.(0|3|4|6|7)\.expected\b|^cases\.5\.expected\b|^cases\.9\.expected\b"
)

# A maximum that an optimizer found: as many digits as the file's tolerance promises.
SOUGHT = re.compile(r"\.(ml_a|ml_b|eb_means_ml\.\d+)$")


def laplace(times, until):
    n = len(times)
    return (sum(times) - n * until / 2) / (until * math.sqrt(n / 12))


def mil(times, until):
    return float(2 * numpy.log(until / numpy.array(times, float)).sum())


def mahonian(n):
    """Number of orders of n things by number of reversals."""
    counts = [1]
    for k in range(2, n + 1):
        counts = [sum(counts[max(0, r - k + 1) : r + 1]) for r in range(len(counts) + k - 1)]
    return counts


def reversals(times):
    gaps = numpy.diff([0.0, *times])
    r = len(gaps)
    seen = sum(int(gaps[j] < gaps[k]) for k in range(r) for j in range(k))
    return gaps, seen, r * (r - 1) // 2, math.sqrt((2 * r + 5) * (r - 1) * r / 72)


def history(case):
    """Times that are free, until when, and all times."""
    inputs = case["inputs"]
    times = [float(time) for time in inputs["times"]]
    if inputs["termination"] == "time":
        return times, inputs["T"], times
    return times[:-1], times[-1], times


def trends(case):
    free, until, times = history(case)
    u, chi2, df = laplace(free, until), mil(free, until), 2 * len(free)
    gaps, seen, most, sd = reversals(times)
    chances = numpy.array(mahonian(len(times))) / math.factorial(len(times))
    n, beta = len(times), len(times) / (chi2 / 2)
    modified = beta * (len(free) - 1) / n
    return {
        "interarrival": [round(float(gap), 9) for gap in gaps],
        "laplace_U": u,
        "laplace_p_two_sided": float(2 * stats.norm.sf(abs(u))),
        "mil_chi2": chi2,
        "mil_df": df,
        "mil_p_upper_improving": float(stats.chi2.sf(chi2, df)),
        "mil_p_lower_worsening": float(stats.chi2.cdf(chi2, df)),
        "reversals": seen,
        "reversals_max": most,
        "reversals_expected": most / 2,
        "reversals_sd": sd,
        "rat_z_dataplot": (seen - most / 2 + 0.5) / sd,
        "rat_z_symmetric_cc": math.copysign(abs(seen - most / 2) - 0.5, seen - most / 2) / sd,
        "rat_exact_p_upper": float(chances[seen:].sum()),
        "rat_exact_p_lower": float(chances[: seen + 1].sum()),
        "power_law_mle_b": beta,
        "power_law_mle_a": n / until**beta,
        "power_law_mod_b": modified,
        "power_law_mod_a": n / until**modified,
        "mtbf_inst_mle": until / (n * beta),
        "mtbf_inst_mod": until / (n * modified),
    }


def nist_power_law(case):
    found, (_, until, times) = trends(case), history(case)
    r, z, mean = len(times), stats.norm.ppf(0.9), found["mtbf_inst_mod"]
    low = mean * r * (r - 1) / (r + z**2 / 4 + math.sqrt(r * z**2 / 2 + z**4 / 16)) ** 2
    high = mean * r * (r - 1) / (r - z * math.sqrt(r / 2)) ** 2
    beta, lam = found["power_law_mod_b"], found["power_law_mod_a"]
    both = [float(low), float(high)]
    return {
        "expected": {
            "b_modified": beta,
            "beta_growth_slope": 1 - beta,
            "a": lam,
            "mtbf_at_end": mean,
            "mtbf_80pct_ci": both,
        },
        "computed_full_precision": {
            "b_modified": beta,
            "a": lam,
            "mtbf": mean,
            "ci80": both,
            "b_plain_mle": found["power_law_mle_b"],
            "a_plain_mle": found["power_law_mle_a"],
        },
    }


def critical(n):
    counts = mahonian(n)
    below = numpy.cumsum(counts) / math.factorial(n)
    above = numpy.cumsum(counts[::-1])[::-1] / math.factorial(n)
    values = {}
    for percent in (1.0, 5.0, 10.0):
        level = percent / 100 + 1e-12
        values[f"lower_{percent}pct"] = int((below <= level).sum()) - 1
        values[f"upper_{percent}pct"] = len(counts) - int((above <= level).sum())
    return values


def distribution(case):
    wanted = case["expected"]["critical_values_exact_one_sided"]
    return {
        "expected": {
            "n4_counts": mahonian(4),
            "n5_counts": mahonian(5),
            "critical_values_exact_one_sided": {n: critical(int(n)) for n in wanted},
        }
    }


def dataplot(case):
    free, until, times = history(case)
    u, chi2, df = laplace(free, until), mil(free, until), 2 * len(free)
    _, seen, most, sd = reversals(times)
    below = float(stats.chi2.cdf(chi2, df))
    return {
        "expected": {
            "reversals": seen,
            "reversals_max": most,
            "reversals_expected": most // 2,
            "mil_chi2": chi2,
            "laplace_z": u,
        },
        "computed": {
            "rat_z": (seen - most / 2 + 0.5) / sd,
            "mil_df": df,
            "mil_p_lower": below,
            "power_law_mle_b": len(times) / (chi2 / 2),
        },
    }


def reliawiki_laplace(case):
    free, until, _ = history(case)
    u = laplace(free, until)
    return {"expected": {"laplace_U": u}, "computed": u}


def crow_amsaa(case):
    found = trends(case)
    beta, lam = found["power_law_mle_b"], found["power_law_mle_a"]
    return {
        "expected": {"beta": beta, "lam": lam},
        "computed": found,
        "reliability_package": {"Beta": beta, "Lambda": lam},
    }


def grouped(case):
    ends = numpy.array([0.0, *case["inputs"]["interval_ends"]]) / case["inputs"]["interval_ends"][-1]
    counts, until = numpy.array(case["inputs"]["counts"]), case["inputs"]["interval_ends"][-1]

    def slope(beta):
        power, logs = ends**beta, special.xlogy(ends**beta, ends)
        return float((counts * numpy.diff(logs) / numpy.diff(power)).sum())

    beta = optimize.brentq(slope, 0.01, 20, xtol=1e-14)
    fit = {"beta": beta, "lam": float(counts.sum() / until**beta)}
    return {"expected": {name: fit[name] for name in case["expected"]}, "computed": fit}


def several(case):
    repairs, ends = case["inputs"]["repairs"], case["inputs"]["end_ages"]
    return [(repairs[name], ends[name]) for name in repairs]


def pooled(case):
    units = several(case)
    logs = sum(math.log(t) for times, _ in units for t in times)
    n = sum(len(times) for times, _ in units)

    def slope(beta):
        power = [end**beta for _, end in units]
        weighted = sum(p * math.log(end) for p, (_, end) in zip(power, units))
        return n / beta + logs - n * weighted / sum(power)

    beta = optimize.brentq(slope, 0.01, 20, xtol=1e-14)
    return {"expected": {"beta": beta, "lam": n / sum(end**beta for _, end in units)}}


def machines(case):
    """The mean with three variances: robust, Poisson, and the one that leaves out the covariance
    between times."""
    units = several(case)
    own, mean, poisson, without = numpy.zeros(len(units)), 0.0, 0.0, 0.0
    z, steps, theirs = stats.norm.ppf(0.95), [], {}
    for t in sorted({time for times, _ in units for time in times}):
        watched = numpy.array([end >= t for _, end in units])
        now = numpy.array([times.count(t) for times, _ in units])
        at_risk, step = int(watched.sum()), now.sum() / watched.sum()
        own += watched * (now - step) / at_risk
        mean, poisson = mean + float(step), poisson + float(step) / at_risk
        without += float(now.sum()) * (at_risk - 1) / at_risk**3  # Event by event.
        steps.append(
            {
                "t": t,
                "at_risk": at_risk,
                "events": int(now.sum()),
                "mcf": mean,
                "var_lawless_nadeau": float((own**2).sum()),
                "var_poisson": poisson,
                "var_reliasoft": without,
            }
        )
        off = math.exp(z * math.sqrt(without) / mean)
        theirs[f"{t}.0"] = {
            "mcf": mean,
            "variance": without,
            "lower": mean / off,
            "upper": mean * off,
        }
    robust = {time: robust_at(steps, float(time)) for time in case["surpyval_variance"]}
    return {
        "expected": {"mcf": {str(step["t"]): step["mcf"] for step in steps}},
        "reliability_package": theirs,
        "three_variances": steps,
        "surpyval_variance": robust,
    }


def robust_at(steps, time):
    return [step["var_lawless_nadeau"] for step in steps if step["t"] <= time][-1]


def garwood(case):
    return {"expected": [limits(row["count"]) for row in case["expected"]]}


def limits(count):
    row = {}
    for percent in (80, 90, 95, 99):
        tail = (1 - percent / 100) / 2
        low = float(stats.chi2.ppf(tail, 2 * count) / 2) if count else 0.0
        row[f"ci{percent}"] = [low, float(stats.chi2.ppf(1 - tail, 2 * count + 2) / 2)]
    row["upper95_one_sided"] = float(stats.chi2.ppf(0.95, 2 * count + 2) / 2)
    return row


def ratio(one):
    first, second = (one["count1"], one["exposure1"]), (one["count2"], one["exposure2"])
    (count1, exposure1), (count2, exposure2) = first, second
    share, total = exposure1 / (exposure1 + exposure2), count1 + count2

    def p(alternative):
        return float(stats.binomtest(count1, total, share, alternative=alternative).pvalue)

    low = float(stats.beta.ppf(0.025, count1, count2 + 1)) if count1 else 0.0
    high = float(stats.beta.ppf(0.975, count1 + 1, count2)) if count2 else 1.0
    odds = [infinite(x * exposure2, (1 - x) * exposure1) for x in (low, high)]
    return {
        "ratio": infinite(count1 * exposure2, count2 * exposure1),
        "p_two_sided_minlike": p("two-sided"),
        "p_greater": p("greater"),
        "p_less": p("less"),
        "ci": odds,
    }


def infinite(above, below):
    """A quotient; by the file's word where it is infinite."""
    return above / below if below else "inf"


def tested(one, method, alternative="two-sided"):
    arguments = [one[name] for name in ("count1", "exposure1", "count2", "exposure2")]
    return rates.test_poisson_2indep(*arguments, method=method, alternative=alternative)


def gu(case):
    inputs, expected = case["inputs"], {}
    for method in case["expected"]:
        above, both = tested(inputs, method, "larger"), tested(inputs, method)
        statistic = getattr(both, "statistic", None)
        is_number = statistic is not None and not math.isnan(statistic)
        expected[method] = {
            "p_greater": float(above.pvalue),
            "p_two_sided": float(both.pvalue),
            "statistic": float(statistic) if is_number else None,
        }
    arguments = [inputs[name] for name in ("count1", "exposure1", "count2", "exposure2")]
    score = rates.confint_poisson_2indep(*arguments, method="score", compare="ratio", alpha=0.1)
    return {
        "expected": expected,
        "conditional_exact": ratio(inputs),
        "confint90": {"score": [float(end) for end in score]},
    }


def small_counts(case):
    rows = []
    for row in case["expected"]:
        with numpy.errstate(divide="ignore"):  # A ratio to no event at all.
            score = float(tested(row, "etest-score").pvalue)
            mid = float(tested(row, "cond-midp").pvalue)
        rows.append(ratio(row) | {"etest_score_two_sided": score, "cond_midp_two_sided": mid})
    return {"expected": rows}


def known_prior(case):
    inputs = case["inputs"]
    shape, rate = inputs["prior_shape"], inputs["prior_rate_years"]
    return {"expected": [after(shape, rate, row, inputs["prior_mean"]) for row in case["expected"]]}


def after(shape, rate, row, prior_mean):
    count, exposure = row["count"], row["exposure_years"]
    a, b = shape + count, rate + exposure
    known = stats.gamma(a, scale=1 / b)
    return {
        "raw": count / exposure,
        "posterior_shape": a,
        "posterior_rate": b,
        "posterior_mean": a / b,
        "posterior_sd": math.sqrt(a) / b,
        "ci90": [float(known.ppf(0.05)), float(known.ppf(0.95))],
        "p_rate_above_prior_mean": float(known.sf(prior_mean)),
        "predictive_p_no_event_next_year": (b / (b + 1)) ** a,
        "predictive_p_no_event_scipy": float(stats.nbinom.pmf(0, a, b / (b + 1))),
    }


def units(case):
    inputs = case["inputs"]
    x, t = numpy.array(inputs["counts"], float), numpy.array(inputs["exposures_years"])
    mean = x.sum() / t.sum()
    seen = (t * (x / t - mean) ** 2).sum() / t.sum()
    between = float(seen - mean * len(x) / t.sum())
    chi2 = float(((x - mean * t) ** 2 / (mean * t)).sum())
    a, b, most = likeliest(x, t)
    found = {
        "pooled_rate": float(mean),
        "mom_between_variance": between,
        "ml_a": a,
        "ml_b": b,
        "ml_loglik": most,
        "poisson_loglik": float(stats.poisson.logpmf(x, mean * t).sum()),
        "pearson_dispersion_chi2": chi2,
        "pearson_df": len(x) - 1,
        "pearson_p": float(stats.chi2.sf(chi2, len(x) - 1)),
        "eb_means_ml": ((a + x) / (b + t)).tolist(),
    }
    if between > 0:
        shape, rate = mean**2 / between, mean / between
        found["eb_means_mom"] = ((shape + x) / (rate + t)).tolist()
    return {"expected": found}


def likeliest(x, t):
    def less(logs):
        a, b = numpy.exp(logs)
        return -stats.nbinom.logpmf(x, a, b / (b + t)).sum()

    options = {"xatol": 1e-10, "fatol": 1e-14, "maxiter": 10_000, "maxfev": 10_000}
    best = optimize.minimize(less, numpy.log([1.0, 1.0]), method="Nelder-Mead", options=options)
    a, b = numpy.exp(best.x)
    return float(a), float(b), float(-best.fun)


MAKERS = {
    "nist_8_4_5_2_power_law": nist_power_law,
    "nist_8_2_3_4_trend_tests": lambda case: {"expected": trends(case)},
    "reverse_arrangement_distribution": distribution,
    "dataplot_trend_test_hahn": dataplot,
    "rga_appendix_b_laplace_system1": reliawiki_laplace,
    "rga_crow_amsaa_example_1": crow_amsaa,
    "mil_grouped": grouped,
    "rga_crow_example_4": grouped,
    "reliawiki_mcf_five_machines": machines,
    "pooled_power_law_unequal_exposure": pooled,
    "garwood_exact_poisson_ci": garwood,
    "r_poisson_test_two_sample": lambda case: {"expected": ratio(case["inputs"])},
    "gu_2008_rate_ratio": gu,
    "rate_ratio_small_counts": small_counts,
    "gamma_poisson_tiny": known_prior,
    "gamma_poisson_fleet": units,
    "gamma_poisson_fleet_no_heterogeneity": units,
}


def document(committed):
    return {"cases": [MAKERS[case["id"]](case) for case in committed["cases"]]}


def unit(place, value):
    """The unit of the last digit: as printed where a page printed it, else of ten digits."""
    if PRINTED.search(place):
        return last_printed(value)
    if value == 0:
        return 1e-12
    digits = 4 if SOUGHT.search(place) else 10
    return 10.0 ** (math.floor(math.log10(abs(value))) - digits + 1)


def last_printed(value):
    mantissa, _, exponent = repr(value).partition("e")
    return 10.0 ** (int(exponent or 0) - len(mantissa.partition(".")[2]))
