"""Calendar steps by python-dateutil and sunrise and sunset by astral. java.time is not run here:
its column is quoted, and only its moment is held against dateutil's."""

import datetime
import zoneinfo

from astral import Observer
from astral.sun import sunrise, sunset
from dateutil.relativedelta import relativedelta

from .table import Table

# Time zones from the named package, not from the machine.
zoneinfo.reset_tzpath(to=())
UTC = datetime.timezone.utc


def stepped(start, add, unit):
    """The moment or date so many months, years, days or hours later."""
    if unit == "months_one_at_a_time":
        for _ in range(add):
            start += relativedelta(months=1)
        return start
    if unit == "hours":
        later = start.astimezone(UTC) + datetime.timedelta(hours=add)
        return later.astimezone(start.tzinfo)
    return start + relativedelta(**{unit: add})


def zoned_text(start, end):
    utc = end.astimezone(UTC)
    hours = (utc - start.astimezone(UTC)).total_seconds() / 3600
    return f"{end.isoformat()};utc={utc:%Y-%m-%dT%H:%M:%SZ};elapsed_h={hours}"


def calendar(row):
    add, unit = int(row["add"]), row["unit"]
    if row["kind"] == "date":
        start = datetime.date.fromisoformat(row["start"])
        remade = stepped(start, add, unit).isoformat()
        same = remade == row["java_time"]
    else:
        zone = zoneinfo.ZoneInfo(row["zone"])
        start = datetime.datetime.fromisoformat(row["start"]).replace(tzinfo=zone)
        remade = zoned_text(start, stepped(start, add, unit))
        same = remade.split(";")[1:] == row["java_time"].split(";")[1:]
    return {"dateutil": remade, "same_instant_or_date": str(same)}


def sun(row):
    """Whole seconds, as printed: what is left of the second is cut off."""
    observer = Observer(float(row["lat"]), float(row["lon"]))
    date = datetime.date.fromisoformat(row["date"])
    return {
        "sunrise_utc": f"{sunrise(observer, date, UTC):%Y-%m-%dT%H:%M:%SZ}",
        "sunset_utc": f"{sunset(observer, date, UTC):%Y-%m-%dT%H:%M:%SZ}",
    }


TABLES = {
    "calendar-intervals.csv": Table(
        "id kind start zone add unit note",
        {"dateutil": None, "same_instant_or_date": None},
        calendar,
        "java_time",
    ),
    "sunrise-sunset.csv": Table(
        "lat lon date", {"sunrise_utc": None, "sunset_utc": None}, sun
    ),
}
