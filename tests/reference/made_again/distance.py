"""Distances on WGS 84 by geographiclib, and on a sphere for the size of that error."""

import math

from geographiclib.geodesic import Geodesic
from geographiclib.test.test_geodesic import GeodesicTest

from .table import Table

MEAN_RADIUS_M = 6371008.8


def haversine(lat1, lon1, lat2, lon2):
    """Metres on a sphere of the earth's mean radius."""
    lat1, lon1, lat2, lon2 = map(math.radians, (lat1, lon1, lat2, lon2))
    half = math.sin((lat2 - lat1) / 2) ** 2
    half += math.cos(lat1) * math.cos(lat2) * math.sin((lon2 - lon1) / 2) ** 2
    return 2 * MEAN_RADIUS_M * math.asin(math.sqrt(half))


def ends(row):
    return [float(row[name]) for name in ("lat1", "lon1", "lat2", "lon2")]


def distance(row):
    line = Geodesic.WGS84.Inverse(*ends(row))
    return {"geodesic_m": line["s12"], "haversine_m": haversine(*ends(row))}


def published(row):
    """The published line as the library carries it; the library must also solve it."""
    lat1, lon1, lat2, lon2 = ends(row)
    carried = {(line[0], line[1], line[3], line[4]): line for line in GeodesicTest.testcases}
    _, _, azi1, _, _, azi2, s12, a12, *_ = carried[lat1, lon1, lat2, lon2]
    solved = Geodesic.WGS84.Inverse(lat1, lon1, lat2, lon2)
    for name, value, allowed in (("s12", s12, 1e-7), ("azi1", azi1, 1e-9), ("azi2", azi2, 1e-9)):
        if abs(solved[name] - value) > allowed:
            raise ValueError(f"{name} is solved as {solved[name]}, published {value}")
    error = (haversine(lat1, lon1, lat2, lon2) / s12 - 1) * 100
    remade = {"azi1": azi1, "azi2": azi2, "s12_m": s12, "a12_deg": a12}
    return remade | {"haversine_error_pct": error}


TABLES = {
    "geodesic-distance.csv": Table(
        "lat1 lon1 lat2 lon2", {"geodesic_m": 3, "haversine_m": 3}, distance
    ),
    "geodesic-published.csv": Table(
        "lat1 lon1 lat2 lon2",
        {
            "azi1": "as printed",
            "azi2": "as printed",
            "s12_m": "as printed",
            "a12_deg": "as printed",
            "haversine_error_pct": 4,
        },
        published,
    ),
}
