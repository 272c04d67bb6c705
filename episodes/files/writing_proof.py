"""Proof that an edit of the text did what it was to do and nothing else: both texts read again."""

import tomllib
from collections.abc import Collection
from typing import Any

from episodes.files.editing import EditError

Thing = tuple[str, Any]
"""A name, `step bench.cut` or `parcel lumber`, and what the file says of it."""


def things(text: str) -> list[Thing]:
    """Every table of an episode with its name, each job without its steps; single keys too."""
    found: list[Thing] = []
    for kind, value in tomllib.loads(text, parse_float=str).items():
        if not isinstance(value, list):
            found.append((kind, value))
            continue
        for index, table in enumerate(value):
            if not isinstance(table, dict):
                found.append((f"{kind} {index}", table))
                continue
            id = table.get("id", index)
            if kind == "job":
                steps = table.get("step", ())
                found += [
                    (f"step {id}.{step.get('id', at)}", step) for at, step in enumerate(steps)
                ]
                table = {key: inner for key, inner in table.items() if key != "step"}
            found.append((f"{kind} {id}", table))
    return found


def require_one_more(before: str, after: str, name: str, file: str) -> None:
    """What was there is there as it was, and one thing more.

    Raises:
        EditError: it is not.
    """
    left = _read(after)
    for thing in things(before):
        if thing in left:
            left.remove(thing)
        else:
            left = []
            break
    if [each[0] for each in left] != [name]:
        raise EditError(f'{file}: "{_id(name)}" cannot be put in there; edit the file by hand')


def require_moved(before: str, after: str, name: str, new: str, file: str) -> None:
    """All things are as they were, one of them under another name perhaps.

    Raises:
        EditError: they are not.
    """
    was = [(new if each == name else each, table) for each, table in things(before)]
    now = _read(after)
    if len(was) != len(now) or any(thing not in now for thing in was):
        raise EditError(f'{file}: "{_id(name)}" cannot be moved there; edit the file by hand')


def require_gone(before: str, after: str, gone: Collection[str], name: str, file: str) -> None:
    """These names are gone, with the steps of the jobs among them, and no other.

    Raises:
        EditError: they are not.
    """
    jobs = tuple(f"step {_id(each)}." for each in gone if each.startswith("job "))

    def goes(each: str) -> bool:
        return each in gone or (bool(jobs) and each.startswith(jobs))

    left = sorted(each for each, _ in things(before) if not goes(each))
    # An array of which nothing is left may stay as an empty one.
    now = sorted(each for each, table in _read(after) if table != [] or each in left)
    if left != now:
        raise EditError(f'{file}: "{_id(name)}" cannot be taken out; edit the file by hand')


def _read(text: str) -> list[Thing]:
    try:
        return things(text)
    except ValueError:
        return []


def _id(name: str) -> str:
    return name.partition(" ")[2]
