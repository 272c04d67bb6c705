"""The plan format as a list to read: of each table its keys, the form of each, what it means."""

from collections.abc import Mapping
from typing import Any

from episodes.files.key_meanings import EVERYWHERE, TABLES, Meaning, everywhere, meanings
from episodes.files.schema_json import DIALECT, TOML, Fragment, plan_schema

Row = tuple[str, str, str]
"""A key, the form of its value, its meaning."""

__all__ = ["DIALECT", "described_schema", "listed_tables"]


def described_schema() -> Fragment:
    """The JSON Schema of the plan files, each key with what it means."""
    known = _meanings(plan_schema())
    return plan_schema({key: _in_words(meaning) for key, meaning in known.items()})


def listed_tables() -> list[tuple[str, list[Row]]]:
    """Of each table, in the files' order, how it is written and its keys; last those of any."""
    schema = plan_schema()
    known = _meanings(schema)
    tables = [
        (
            written,
            [
                (key, form(fragment), _in_words(known[name, key]))
                for key, fragment in _properties(schema, name).items()
                if key not in EVERYWHERE
            ],
        )
        for name, (written, _) in TABLES.items()
    ]
    anywhere = _properties(schema, "StepTable")
    return [
        *tables,
        ("in any table", [(key, form(anywhere[key]), text) for key, text in everywhere()]),
    ]


def _meanings(schema: Fragment) -> dict[tuple[str, str], Meaning]:
    return meanings({name: list(_properties(schema, name)) for name in TABLES})


def _properties(schema: Fragment, name: str) -> Mapping[str, Any]:
    table = schema["$defs"][name]
    # Some tables may also stand as one text.
    found: Mapping[str, Any] = (table["anyOf"][1] if "anyOf" in table else table)["properties"]
    return found


def _in_words(meaning: Meaning) -> str:
    if not meaning.left_out or meaning.left_out.startswith(("required", "needed")):
        return f"{meaning.text} ({meaning.left_out})" if meaning.left_out else meaning.text
    return f"{meaning.text} (if left out: {meaning.left_out})"


def form(fragment: Fragment) -> str:
    """How a value is written, in TOML, by way of an example."""
    if "$ref" in fragment:
        name = fragment["$ref"].rpartition("/")[2]
        return TABLES[name][0].partition(" = ")[2] or TABLES[name][0]
    if "anyOf" in fragment:
        return " or ".join(dict.fromkeys(form(each) for each in fragment["anyOf"]))
    if "enum" in fragment:
        return " | ".join(f'"{each}"' for each in fragment["enum"])
    if "examples" in fragment:
        bare = TOML in fragment
        return " or ".join(each if bare else f'"{each}"' for each in fragment["examples"])
    kind = fragment.get("type")
    if kind == "array":
        items = fragment["items"]
        if "$ref" in items:
            inner = form(items)
            return inner if inner.startswith("[[") else f"[{inner}, ...]"
        return f"[{form(items)}, ...]"
    if kind == "object":
        by_name = fragment.get("additionalProperties")
        if isinstance(by_name, dict) and by_name:
            return f"{{ NAME = {form(by_name).partition(' or ')[0]} }}"
        if "any_of" in fragment.get("properties", {}):
            return '{ any_of = ["text", ...] }'
        return "a table"
    return {"boolean": "true | false", "integer": "a whole number", "number": "a number"}.get(
        str(kind), '"text"'
    )
