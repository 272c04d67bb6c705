"""The strict reader's look at RELATED-TO, from RFC 9253 and RFC 5545 section 3.8.4.5.

A link in time stands in the predecessor and names the successor (RFC 9253 section 4); the GAP
between them (section 6.2) must fit the times that the file itself gives. Beyond the standards:
nothing is said twice, nothing points to or from what is cancelled, and a parent has no parent.
"""

from datetime import timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.reference.rfc5545 import Component, Property, Reader

TEMPORAL = {
    "FINISHTOSTART": ("end", "start"),
    "FINISHTOFINISH": ("end", "end"),
    "STARTTOSTART": ("start", "start"),
    "STARTTOFINISH": ("start", "end"),
}
"""The point of the bearer, then the point of the one it names."""

RELTYPES = frozenset({"PARENT", "CHILD", "SIBLING", "FIRST", "NEXT", "DEPENDS-ON"})


def look(reader: "Reader", part: "Component", entries: "dict[str, Component]") -> None:
    """Report every fault in one component's relations to the reader."""
    said: set[tuple[str, str]] = set()
    parents = 0
    for related in part.all("RELATED-TO"):
        kind = related.parameters.get("RELTYPE", "PARENT")
        other = entries.get(related.text)
        if other is None:
            reader.fault(related.line, "3.8.4.5", f"related to {related.text}, not here")
            continue
        if (kind, related.text) in said:
            reader.fault(related.line, "project", f"{kind} of {related.text} is said twice")
        said.add((kind, related.text))
        if other is part:
            reader.fault(related.line, "3.8.4.5", "related to itself")
        if "CANCELLED" in (part.text("STATUS"), other.text("STATUS")):
            reader.fault(related.line, "project", "related to or from what is cancelled")
        if kind == "PARENT":
            parents += 1
            if any(_kind(one) == "PARENT" for one in other.all("RELATED-TO")):
                reader.fault(related.line, "project", "a parent that has a parent")
        if kind in TEMPORAL:
            _in_time(reader, related, part, other)
        elif kind not in RELTYPES:
            reader.fault(related.line, "RFC 9253 5", f"RELTYPE {kind}")
        elif "GAP" in related.parameters:
            reader.fault(related.line, "RFC 9253 6.2", f"GAP on a {kind}")
    if parents > 1:
        reader.fault(part.line, "project", f"{parents} parents")


def _kind(related: "Property") -> str:
    return related.parameters.get("RELTYPE", "PARENT")


def _in_time(reader: "Reader", related: "Property", part: "Component", other: "Component") -> None:
    gap = timedelta()
    if "GAP" in related.parameters:
        written = type(related)("GAP", {}, related.parameters["GAP"], related.line)
        gap = reader.duration(written) or timedelta()
        if not gap:
            reader.fault(related.line, "project", "a GAP of nothing")
    first, second = TEMPORAL[_kind(related)]
    before, after = getattr(part, first), getattr(other, second)
    if before is not None and after is not None and before + gap > after:
        reader.fault(related.line, "RFC 9253 4", f"{_kind(related)} that the times contradict")
