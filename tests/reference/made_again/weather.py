"""Weather reports by python-metar, and the pressure at a station from an altimeter setting by the
published formula for the setting, solved the other way round."""

import calendar
import datetime
import re
import warnings

from metar.Metar import Metar
from scipy.optimize import brentq

from .table import Table

INCH_HPA = 33.86389


def moment(text):
    return datetime.datetime.fromisoformat(text.replace("Z", ""))


def made(report, asked):
    """The latest time of that day of the month that is not after the asked one."""
    day, hour, minute = re.search(r"\b(\d\d)(\d\d)(\d\d)Z", report.upper()).groups()
    year, month = asked.year, asked.month
    while True:
        if int(day) <= calendar.monthrange(year, month)[1]:
            at = datetime.datetime(year, month, int(day), int(hour), int(minute))
            if at <= asked:
                return at
        year, month = (year, month - 1) if month > 1 else (year - 1, 12)


def value(quantity, *unit):
    """The number, or an empty cell."""
    return "" if quantity is None or quantity.value(*unit) is None else quantity.value(*unit)


def sight(report, read):
    """The least distance. `0000` is less than 50 m; strokes alone are nothing, which the library
    takes for 10 km."""
    if "////" in report.upper().partition("RMK")[0].split():
        return ""
    least = [far.value("M") for far in (read.vis, read.max_vis) if far is not None]
    return max(min(least), 50.0) if least else ""


def taken(row):
    report, asked = row["report"], moment(row["asked_utc"])
    at = made(report, asked)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        read = Metar(report, month=at.month, year=at.year, strict=False)
    if read.time != at:
        raise ValueError(f"read as of {read.time}")
    return {
        "made_utc": at.strftime("%Y-%m-%dT%H:%MZ"),
        "air_c": value(read.temp, "C"),
        "dew_point_c": value(read.dewpt, "C"),
        "wind_m_s": value(read.wind_speed, "MPS"),
        "gust_m_s": value(read.wind_gust, "MPS"),
        "visibility_m": sight(report, read),
        "altimeter_hpa": value(read.press, "HPA"),
    }


def setting_hpa(station_hpa, elevation_m):
    """Altimeter setting from the pressure at a station (Smithsonian Meteorological Tables; so also
    the National Weather Service)."""
    raised = 1013.25**0.190284 * 0.0065 / 288.0 * elevation_m
    return (station_hpa - 0.3) * (1 + raised / (station_hpa - 0.3) ** 0.190284) ** (1 / 0.190284)


def station(row):
    setting, elevation = float(row["altimeter_inhg"]) * INCH_HPA, float(row["elevation_m"])
    solved = brentq(lambda hpa: setting_hpa(hpa, elevation) - setting, 300, 1200, xtol=1e-9)
    return {"altimeter_hpa": setting, "station_hpa": solved}


TABLES = {
    "weather-reports.csv": Table(
        "asked_utc report",
        {
            "made_utc": None,
            "air_c": 1,
            "dew_point_c": 1,
            "wind_m_s": 2,
            "gust_m_s": 2,
            "visibility_m": 0,
            "altimeter_hpa": 1,
        },
        taken,
        "source",
    ),
    "altimeter-station.csv": Table(
        "altimeter_inhg elevation_m", {"altimeter_hpa": 2, "station_hpa": 2}, station
    ),
}
