"""Plain tables as TOML text: arrays of tables for what repeats, inline tables for the rest."""

from datetime import date, datetime, time
from typing import Any

REPEATED = {"person", "space", "gear", "carrier", "parcel", "job", "step", "shot", "fallback"}


def dump(table: dict[str, Any], path: str = "") -> str:
    """A table and the tables repeated in it, as lines of TOML."""
    lines = [
        f"{key} = {value(entry)}"
        for key, entry in table.items()
        if not (key in REPEATED and _tables(entry))
    ]
    for key, entries in table.items():
        if key in REPEATED and _tables(entries):
            name = f"{path}.{key}" if path else key
            lines += [f"\n[[{name}]]\n{dump(entry, name)}" for entry in entries]
    return "\n".join(lines)


def _tables(entry: Any) -> bool:
    return isinstance(entry, list) and bool(entry) and isinstance(entry[0], dict)


def value(entry: Any) -> str:
    if isinstance(entry, bool):
        return "true" if entry else "false"
    if isinstance(entry, str):
        return '"' + entry.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(entry, datetime | date | time):
        return entry.isoformat()
    if isinstance(entry, dict):
        inside = ", ".join(f"{_key(key)} = {value(item)}" for key, item in entry.items())
        return f"{{ {inside} }}"
    if isinstance(entry, list | tuple):
        return "[" + ", ".join(value(item) for item in entry) + "]"
    return repr(entry)


def _key(key: str) -> str:
    return key if key.replace("-", "").replace("_", "").isalnum() else value(key)
