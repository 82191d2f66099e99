"""Holds a bill of materials against what cargo links: bill.py BILL.cdx.json LINKED.

LINKED has one line a package, 'name version'. Every one of them must stand in the bill with its
version, a licence and (but for our own) a check sum; else this ends with 1 and says what is wrong.
The bill may name more: its maker also takes up parts of libraries that nobody asked for.
"""

import json
import sys


def main(bill_file: str, linked_file: str) -> int:
    with open(bill_file, encoding="utf-8") as file:
        bill = json.load(file)
    with open(linked_file, encoding="utf-8") as file:
        linked = {tuple(line.split()) for line in file if line.strip()}
    described = [bill["metadata"]["component"], *bill["components"]]
    listed = {(part["name"], part["version"]): part for part in described}

    wrong = [f"not in the bill: {name} {version}" for name, version in sorted(linked - listed.keys())]
    for (name, version), part in sorted(listed.items()):
        if not part.get("licenses"):
            wrong.append(f"no licence: {name} {version}")
        ours = name.startswith("sponson-")
        if not ours and not any(each["alg"] == "SHA-256" for each in part.get("hashes", [])):
            wrong.append(f"no check sum: {name} {version}")
    for line in wrong:
        print(line, file=sys.stderr)
    more = len(listed.keys() - linked)
    print(f"{bill_file}: {len(linked)} packages are linked, {more} more are named, {len(wrong)} faults")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2]))
