"""What `schema` says: of each table of the plan files its keys, their form and their meaning."""

from collections.abc import Sequence

from episodes.exports.text_words import columns

Table = tuple[str, Sequence[tuple[str, str, str]]]
"""How a table is written; of each key its name, the form of its value, its meaning."""

_WIDEST_FORM = 40


def schema_text(tables: Sequence[Table]) -> str:
    """The tables one after another."""
    lines: list[str] = []
    for written, keys in tables:
        lines += ["", written]
        rows: list[tuple[str, ...]] = []
        for key, form, meaning in keys:
            if len(form) > _WIDEST_FORM:
                # A long form would push every meaning to the right.
                rows += [(key, form), ("", "", meaning)]
            else:
                rows.append((key, form, meaning))
        lines += columns(rows)
    return "\n".join(lines[1:])
