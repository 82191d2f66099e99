"""Makes the reference values of this folder again and compares them with the files.

What each column is stands in `made_again/`: some are given, some are quoted from a published page
or from a program that is not run here, and all others are made again from the given ones by the
libraries of requirements.txt. A number may differ by half a unit of its last printed digit, so a
changed digit shows. Prints one line per file and ends with 1 when anything differs.

It writes no file, it does not judge whether a quoted figure is right, and it runs nothing of the
project: the tests beside the code hold that against these files.

usage: python remake.py
"""

import csv
import json
import pathlib
import sys

sys.dont_write_bytecode = True  # This folder holds values: no compiled files beside them.

from made_again import cylinder, dates, distance, leak, recurrent, tree, tube, weather

# Half a unit of the last printed digit, and a little for a value that lies on the half.
HALF_A_DIGIT = 0.501
TABLES = tube.TABLES | cylinder.TABLES | dates.TABLES | distance.TABLES | leak.TABLES
TABLES |= weather.TABLES
DOCUMENTS = {
    "leak-rate.json": leak,
    "recurrent-events.json": recurrent,
    "signature-and-tree-vectors.json": tree,
}
NOT_AGAIN = {
    "leak-rate.json": "the readings of the noisy cases",
    "recurrent-events.json": "what pages and R printed; the interval of mover_jeff",
    "signature-and-tree-vectors.json": "the Ed25519 vectors, leaves and false claims",
}


class Comparison:
    """What was compared in one file, the number that differs most for its digits, and every value
    that differs too much."""

    def __init__(self):
        self.values, self.differing, self.largest = 0, [], None

    def names(self, committed, said):
        """What has no counterpart, in the file or here."""
        for name in sorted(set(committed) ^ set(said)):
            where = "in the file" if name in committed else "here"
            self.differing.append(f"{name}: only {where}")

    def text(self, place, committed, remade):
        self.values += 1
        if committed != remade:
            self.differing.append(f"{place}: {committed} in the file, made again {remade}")

    def number(self, place, committed, remade, unit):
        self.values += 1
        off, allowed = abs(float(committed) - remade), HALF_A_DIGIT * unit
        self.largest = max(self.largest or (0,), (off / allowed, off, allowed, place))
        if not off <= allowed:
            self.differing.append(
                f"{place}: {committed} in the file, made again {remade:.15g}, {allowed:.3g} allowed"
            )


def table_rows(path):
    """The rows as dictionaries; lines that begin with # say where the table comes from."""
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def last_digit(decimals, printed):
    if decimals == "as printed":
        decimals = len(printed.partition(".")[2])
    return 10.0**-decimals


def compare_table(path, table):
    """Compares every column that is made again; a column of which nothing is said differs."""
    rows, found = table_rows(path), Comparison()
    said = {*table.given.split(), *table.quoted.split(), *table.decimals}
    found.names(rows[0].keys(), said)
    for number, row in enumerate(rows, 1):
        try:
            compare_row(f"row {number}", row, table, found)
        except (KeyError, ValueError) as error:
            found.differing.append(f"row {number}: cannot be made again: {error!r}")
    return found, f"{len(rows)} rows, {len(table.decimals)} columns"


def compare_row(place, row, table, found):
    remade = table.remake(row)
    for column, decimals in table.decimals.items():
        value, printed = remade[column], row[column]
        if isinstance(value, str) or printed == "":
            found.text(f"{place} {column}", printed, value)
        else:
            found.number(f"{place} {column}", printed, value, last_digit(decimals, printed))


def leaves(value, place=""):
    """The single values of a document, each with its place."""
    if not isinstance(value, (dict, list)):
        yield place, value
        return
    for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
        yield from leaves(inner, f"{place}.{key}" if place else str(key))


def compare_document(path, subject):
    """Compares every value that is not given; a value too many or too few differs."""
    document, found = json.loads(path.read_text(encoding="utf-8")), Comparison()
    remade = dict(leaves(subject.document(document)))
    committed = {at: value for at, value in leaves(document) if not subject.GIVEN.search(at)}
    found.names(committed.keys(), remade.keys())
    for place in sorted(committed.keys() & remade):
        if isinstance(remade[place], float):
            unit = subject.unit(place, committed[place])
            found.number(place, committed[place], remade[place], unit)
        else:
            found.text(place, committed[place], remade[place])
    return found, f"{len(committed)} places"


def report(name, found, compared, not_again):
    """Prints the file's line and what differs in it."""
    line = f"{name}: {compared} made again, {found.values} values"
    if found.largest:
        _, off, allowed, place = found.largest
        line += f"; largest difference {off:.3g} of {allowed:.3g} allowed ({place})"
    else:
        line += ", texts only"
    if not_again:
        line += f"; not made again: {not_again}"
    print(line)
    for differing in found.differing:
        print(f"  DIFFERS {differing}")


def main(folder):
    """Compares every file of the folder; true when nothing differs and nothing is left out."""
    there = {path.name for path in [*folder.glob("*.csv"), *folder.glob("*.json")]}
    good = True
    for name in sorted(there | TABLES.keys() | DOCUMENTS.keys()):
        if name not in there:
            print(f"{name}: DIFFERS, made_again/ speaks of it and the file is not there")
            good = False
        elif name in TABLES:
            found, compared = compare_table(folder / name, TABLES[name])
            report(name, found, compared, ", ".join(TABLES[name].quoted.split()))
            good = good and not found.differing
        elif name in DOCUMENTS:
            found, compared = compare_document(folder / name, DOCUMENTS[name])
            report(name, found, compared, NOT_AGAIN[name])
            good = good and not found.differing
        else:
            print(f"{name}: DIFFERS, nothing in made_again/ makes it again")
            good = False
    return good


if __name__ == "__main__":
    sys.exit(0 if main(pathlib.Path(__file__).parent) else 1)
