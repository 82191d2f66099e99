"""Tubes: the gauge after a change of temperature or altitude, by the gas law and by CoolProp, and
the standard atmosphere by fluids, ambiance and its closed form. Rigid and dry, but for the bound
for moist air and the illustration of stretch."""

from ambiance import Atmosphere
from CoolProp.CoolProp import PropsSI
from fluids.atmosphere import ATMOSPHERE_1976
from scipy.optimize import brentq

from .air import ATM, MBAR, PSI, kelvin, pressure, real_closed
from .table import Table

TRIPLE_POINT_K = 273.16


def tube_temperature(row):
    gauge, ambient = pressure(row["gauge_in"], row["gauge_unit"]), float(row["ambient_pa"])
    before, after = kelvin(row["t_in_c"]), kelvin(row["t_out_c"])
    ideal = (gauge + ambient) * after / before - ambient
    real = real_closed(gauge + ambient, before, after) - ambient
    return {
        "gauge_in_pa": gauge,
        "ideal_gauge_out_pa": ideal,
        "ideal_gauge_out_psi": ideal / PSI,
        "ideal_gauge_out_mbar": ideal / MBAR,
        "real_gauge_out_pa": real,
        "real_gauge_out_psi": real / PSI,
        "real_minus_ideal_pa": real - ideal,
    }


def tube_altitude(row):
    gauge = pressure(row["gauge_in"], row["gauge_unit"])
    absolute, outside = gauge + float(row["ambient_from_pa"]), float(row["ambient_to_pa"])
    before, after = kelvin(row["t_in_c"]), kelvin(row["t_out_c"])
    ideal = absolute * after / before - outside
    return {
        "ideal_gauge_out_pa": ideal,
        "ideal_gauge_out_psi": ideal / PSI,
        "ideal_change_psi": (ideal - gauge) / PSI,
        "real_gauge_out_pa": real_closed(absolute, before, after) - outside,
    }


def saturation(temperature_k):
    """Saturation pressure of water; 0 degC lies just below the model's lowest temperature."""
    return PropsSI("P", "T", max(temperature_k, TRIPLE_POINT_K), "Q", 0, "Water")


def moist_bound(row):
    absolute = pressure(row["gauge_in"], row["gauge_unit"]) + ATM
    before, after = kelvin(row["t_in_c"]), kelvin(row["t_out_c"])
    vapour = float(row["rh_in_tube_at_fill"]) * saturation(before)
    cooled = vapour * after / before
    kept = min(cooled, saturation(after))
    dry, humid = absolute * after / before, (absolute - vapour) * after / before + kept
    return {
        "dry_gauge_out_pa": dry - ATM,
        "humid_gauge_out_pa": humid - ATM,
        "humid_minus_dry_pa": humid - dry,
        "condenses": str(kept < cooled),
    }


def manual_rule(row):
    gauge = float(row["gauge_in_mbar"]) * MBAR
    after = (gauge + ATM) * kelvin(row["t_out_c"]) / kelvin(row["t_in_c"]) - ATM
    return {
        "ideal_gauge_out_mbar": after / MBAR,
        "ideal_change_mbar": (after - gauge) / MBAR,
    }


def stretch(row):
    """The tube's volume grows by the assumed share from 0 to 3 psi, in a straight line."""
    growth, gauge = float(row["assumed_growth_0_to_3psi"]), float(row["gauge_in_psi"])

    def volume(psi):
        return 1 + growth * psi / 3

    def held(psi, ambient=ATM):
        return (psi * PSI + ambient) * volume(psi)

    if row["kind"].startswith("topup"):
        litres = (held(3.0) - held(gauge)) / ATM * 1000 / volume(gauge)
        return {"gauge_out_psi": 3.0, "free_air_l_per_1000l_101325": litres}
    ambient, share = ATM, 1.0
    if row["kind"].startswith("temperature"):
        share = kelvin(row["t_out_c"]) / kelvin(row["t_in_c"])
    else:
        ambient = 84300.0
    after = brentq(lambda psi: held(psi, ambient) - held(gauge) * share, -5, 20)
    return {"gauge_out_psi": after, "free_air_l_per_1000l_101325": ""}


def closed_form(height_m):
    """US Standard Atmosphere 1976 below 11 km, geopotential height."""
    exponent = 9.80665 * 28.9644 / (8314.32 * 0.0065)
    return ATM * (1 - 0.0065 * height_m / 288.15) ** exponent


def atmosphere(row):
    height = float(row["alt_m"])
    geopotential = 6356766 * height / (6356766 + height)
    return {
        "fluids_geometric_pa": ATMOSPHERE_1976(height).P,
        "ambiance_geometric_pa": Atmosphere(height).pressure[0],
        "closedform_us76_geometric_pa": closed_form(geopotential),
        "ambiance_geopotential_pa": Atmosphere(Atmosphere.geop2geom_height(height)).pressure[0],
        "closedform_us76_geopotential_pa": closed_form(height),
    }


TABLES = {
    "tube-pressure-temperature.csv": Table(
        "ambient_pa gauge_unit gauge_in t_in_c t_out_c",
        {
            "gauge_in_pa": 2,
            "ideal_gauge_out_pa": 2,
            "ideal_gauge_out_psi": 5,
            "ideal_gauge_out_mbar": 4,
            "real_gauge_out_pa": 2,
            "real_gauge_out_psi": 5,
            "real_minus_ideal_pa": 3,
        },
        tube_temperature,
    ),
    "tube-pressure-altitude.csv": Table(
        "gauge_unit gauge_in t_in_c t_out_c ambient_from_pa ambient_to_pa ambient_to_label",
        {
            "ideal_gauge_out_pa": 2,
            "ideal_gauge_out_psi": 5,
            "ideal_change_psi": 5,
            "real_gauge_out_pa": 2,
        },
        tube_altitude,
    ),
    "tube-pressure-moist-air-bound.csv": Table(
        "gauge_unit gauge_in t_in_c t_out_c rh_in_tube_at_fill",
        {
            "dry_gauge_out_pa": 1,
            "humid_gauge_out_pa": 1,
            "humid_minus_dry_pa": 1,
            "condenses": None,
        },
        moist_bound,
    ),
    "tube-pressure-published-rules.csv": Table(
        "what gauge_in_mbar t_in_c t_out_c",
        {"ideal_gauge_out_mbar": 1, "ideal_change_mbar": 1},
        manual_rule,
        "published_text published_gauge_out_mbar published_change_mbar agreement source",
    ),
    "tube-stretch-illustration.csv": Table(
        "kind assumed_growth_0_to_3psi gauge_in_psi t_in_c t_out_c",
        {"gauge_out_psi": 5, "free_air_l_per_1000l_101325": 3},
        stretch,
    ),
    "standard-atmosphere.csv": Table(
        "alt_m",
        {
            "fluids_geometric_pa": 2,
            "ambiance_geometric_pa": 2,
            "closedform_us76_geometric_pa": 2,
            "ambiance_geopotential_pa": 2,
            "closedform_us76_geopotential_pa": 2,
        },
        atmosphere,
        "iso2533_geometric_hpa iso2533_geopotential_hpa engtoolbox_bar",
    ),
}
