"""What is said about each table: its columns, and how a row is made again. Reads no file."""

from typing import Callable, NamedTuple


class Table(NamedTuple):
    """`decimals` of a column made again: how many digits stand after the point, "as printed", or
    None for a text. `quoted` columns come from a page or another program."""

    given: str
    decimals: dict
    remake: Callable
    quoted: str = ""
