"""Dry air and its units, by CoolProp, for the tables of tubes and cylinders."""

from CoolProp.CoolProp import PropsSI

PSI, MBAR, BAR, ATM = 6894.757293168361, 100.0, 1e5, 101325.0
UNIT_PA = {"psi": PSI, "mbar": MBAR, "bar": BAR, "atm": ATM}


def kelvin(celsius):
    return float(celsius) + 273.15


def pressure(quantity, unit):
    return float(quantity) * UNIT_PA[unit]


def density(absolute_pa, temperature_k, substance="Air", quantity="D"):
    return PropsSI(quantity, "P", absolute_pa, "T", temperature_k, substance)


def real_closed(absolute_pa, before_k, after_k):
    """Absolute pressure of a closed rigid charge after a temperature change, real dry air."""
    return PropsSI("P", "D", density(absolute_pa, before_k), "T", after_k, "Air")
