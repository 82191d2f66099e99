"""Cylinders: the free air in them, their gauge after a change of temperature, what is left after
topping up, and how far two models of real air differ. CoolProp."""

import re

from CoolProp.CoolProp import PropsSI

from .air import ATM, BAR, MBAR, PSI, density, kelvin, pressure, real_closed
from .table import Table

CUBIC_FOOT_L = 28.316846592
# Free air is stated at 15 degC and at 70 degF.
REFERENCE_K = {"15": 288.15, "21.11": (70 + 459.67) / 1.8}


def cylinder_air(row):
    gauge, temperature = pressure(*row["charge"].split()), kelvin(row["temp_c"])
    absolute, water = gauge + ATM, float(row["water_volume_l"])
    remade = {
        "gauge_pa": gauge,
        "abs_pa": absolute,
        "Z": density(absolute, temperature, quantity="Z"),
        "naive_pV_l": water * gauge / BAR,
    }
    for reference, reference_k in REFERENCE_K.items():
        free = density(ATM, reference_k)
        real = water * density(absolute, temperature) / free
        remade[f"real_free_l_at_{reference}C"] = real
        ideal = water * absolute / ATM * reference_k / temperature
        remade[f"ideal_free_l_at_{reference}C"] = ideal
    remade["real_free_cuft_at_21.11C"] = remade["real_free_l_at_21.11C"] / CUBIC_FOOT_L
    # The committed share was taken from the printed litres.
    printed = round(remade["ideal_free_l_at_15C"], 1) / round(remade["real_free_l_at_15C"], 1)
    remade["ideal_overstates_pct"] = (printed - 1) * 100
    return remade


def cylinder_temperature(row):
    absolute = pressure(*row["charge"].split()) + ATM
    before, after = kelvin(row["t_fill_c"]), kelvin(row["t_now_c"])
    real = real_closed(absolute, before, after) - ATM
    ideal = absolute * after / before - ATM
    remade = {}
    for name, gauge in (("real", real), ("ideal", ideal)):
        remade[f"{name}_gauge_pa"] = gauge
        remade[f"{name}_gauge_psi"] = gauge / PSI
        remade[f"{name}_gauge_bar"] = gauge / BAR
    return remade


def top_up(row):
    ambient, temperature = float(row["ambient_pa"]), kelvin(row["temp_c"])
    tubes, water = float(row["tube_set_l"]), float(row["cylinder_water_l"])
    low, high = float(row["from_mbar"]) * MBAR, float(row["to_mbar"]) * MBAR
    grams = tubes * (density(ambient + high, temperature) - density(ambient + low, temperature))
    full = density(float(row["cylinder_gauge_bar"]) * BAR + ambient, temperature)
    left = PropsSI("P", "D", full - grams / water, "T", temperature, "Air") - ambient
    return {
        "air_g": grams,
        "free_air_l": grams / density(ATM, temperature),
        "ideal_free_l": tubes * (high - low) / ATM,
        "cylinder_after_bar": left / BAR,
    }


def model_spread(row):
    absolute, temperature = pressure(*row["charge"].split()) + ATM, kelvin(row["temp_c"])
    mixture = "HEOS::Nitrogen[0.7812]&Oxygen[0.2096]&Argon[0.0092]"
    air = density(absolute, temperature, quantity="Dmolar")
    mixed = density(absolute, temperature, mixture, "Dmolar")
    return {
        "air_heos_mol_m3": air,
        "mixture_heos_mol_m3": mixed,
        "mixture_minus_air_pct": (mixed / air - 1) * 100,
    }


def published_cylinder(row):
    """The page's own conventions: absolute at 20 degC where the item says 10 L, else gauge at
    15 degC; a water volume is solved back at 70 degF."""
    item, room, mild, warm = row["item"], kelvin(20), REFERENCE_K["15"], REFERENCE_K["21.11"]
    numbers = [float(number) for number in re.findall(r"\d+\.?\d*", item)]
    if item.startswith("Z of air"):
        value = density(numbers[1] * BAR, numbers[0], quantity="Z")
    elif item.startswith("nominal"):
        value = numbers[0] * CUBIC_FOOT_L
    elif item.startswith("water volume"):
        full = density(numbers[1] * PSI + ATM, warm)
        value = numbers[0] * CUBIC_FOOT_L * density(ATM, warm) / full
    elif item.startswith("10 L"):
        unit = ATM if "atm" in item else BAR
        value = numbers[0] * density(numbers[1] * unit, room) / density(unit, room)
    else:
        value = numbers[0] * density(numbers[1] * BAR + ATM, mild) / density(ATM, mild)
    return {"computed": value}


TABLES = {
    "cylinder-free-air.csv": Table(
        "charge water_volume_l temp_c",
        {
            "gauge_pa": 0,
            "abs_pa": 0,
            "Z": 5,
            "real_free_l_at_15C": 1,
            "ideal_free_l_at_15C": 1,
            "real_free_l_at_21.11C": 1,
            "ideal_free_l_at_21.11C": 1,
            "real_free_cuft_at_21.11C": 2,
            "naive_pV_l": 1,
            "ideal_overstates_pct": 2,
        },
        cylinder_air,
    ),
    "cylinder-temperature.csv": Table(
        "charge t_fill_c t_now_c",
        {
            "real_gauge_pa": 0,
            "real_gauge_psi": 1,
            "real_gauge_bar": 2,
            "ideal_gauge_pa": 0,
            "ideal_gauge_psi": 1,
            "ideal_gauge_bar": 2,
        },
        cylinder_temperature,
    ),
    "top-up-air.csv": Table(
        "ambient_pa tube_set_l from_mbar to_mbar temp_c cylinder_water_l cylinder_gauge_bar",
        {"air_g": 3, "free_air_l": 3, "ideal_free_l": 3, "cylinder_after_bar": 3},
        top_up,
    ),
    "air-equation-of-state-spread.csv": Table(
        "charge temp_c",
        {"air_heos_mol_m3": 2, "mixture_heos_mol_m3": 2, "mixture_minus_air_pct": 3},
        model_spread,
    ),
    "cylinder-published-checks.csv": Table(
        "item unit",
        {"computed": "as printed"},
        published_cylinder,
        "published source note",
    ),
}
