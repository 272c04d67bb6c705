"""Lines of text as steps: what a list typed or pasted says, one step a line.

`Cut parts, 2h..3h..6h, builder, @workshop, after lumber`: the parts stand between commas,
semicolons, tabs or two blanks; a part is a length, a person, a place behind `@`, `after` and a
name, `wait` and a length, `with` and gear, `coat` and a product, or words of the title. Marks that
a list begins its lines with are left out. What is not understood goes into the step's note, so
that nothing is lost, and is said.
"""

import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from episodes.amounts import parse_estimate
from episodes.files.writing_words import read_link

USUAL = "30min..1h..2h"
"""The length of a step that none was given for: a guess, and said to be one."""
MOST_LINES = 200
_LONGEST_ID = 32
_BULLET = re.compile(r"^\s*(?:[-*+•–—>]|\d{1,3}[.)]|[a-z]\))?\s*(?:\[[ xX]?\]\s*)?")
_WIDE = re.compile(r"\s{3,}")
_PARTS = re.compile(r"\s*[,;\t]\s*|\s{2,}|\s+[|–—]\s+")
_NUMBER = r"(?<!\d)\d{1,6}(?:[.,]\d{1,3})?"
_UNIT = r"(?:min(?:ute)?s?|h(?:(?:ou)?rs?)?|d(?:ays?)?|w(?:eeks?)?)\b"
_AMOUNT = rf"{_NUMBER}\s?{_UNIT}(?:\s?\d{{1,2}}(?:\s?min)?)?|(?<!\d)\d{{1,6}}h\d{{1,2}}(?:min)?"
_LENGTH = re.compile(
    # `2h..3h..6h`, `2h - 3h`, `30-45 min`: a number without a unit stands close to its dash.
    rf"(?:~|ca\.?\s?|about\s)?(?:{_NUMBER}[-–]|(?:(?:{_AMOUNT})\s?(?:\.\.|-|–|to)\s?){{0,2}})"
    rf"(?:{_AMOUNT})",
    re.IGNORECASE | re.ASCII,
)
_ONE = re.compile(
    r"(\d{1,6})(?:[.,](\d{1,3}))?\s?(min|h|d|w)[a-z]{0,6}\s?(\d{1,2})?(?:\s?min)?",
    re.IGNORECASE | re.ASCII,
)


@dataclass(slots=True, kw_only=True)
class LineStep:
    """One line as a step.

    Attributes:
        entries: its keys and values, as they will stand in the file.
        guessed: no length was given.
        unread: the parts that were not understood, kept in the note.
    """

    entries: dict[str, Any]
    guessed: bool = False
    unread: list[str] = field(default_factory=list)

    @property
    def id(self) -> str:
        return str(self.entries["id"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """The names that a line may use, each with its title."""

    people: Mapping[str, str]
    spaces: Mapping[str, str]
    gear: Mapping[str, str]


def steps_of(text: str, known: Known, taken: Collection[str] = ()) -> list[LineStep]:
    """The steps that lines of text say; blank lines and headings of only marks are left out.

    Args:
        taken: own ids of the job's steps that are there.
    """
    borne = set(taken)
    found = []
    for line in text.splitlines():
        step = step_of(line, known, borne)
        if step is not None:
            borne.add(step.id)
            found.append(step)
    return found


def step_of(line: str, known: Known, taken: Collection[str] = ()) -> LineStep | None:
    """One line as a step; None for a line with nothing on it.

    >>> known = Known(people={"builder": "Builder"}, spaces={"shed": "Shed"}, gear={})
    >>> step_of("- Cut it, 2h, builder, @shed", known).entries
    {'id': 'cut-it', 'title': 'Cut it', 'hands': '2h', 'where': 'shed', 'who': ['builder']}
    """
    line = _BULLET.sub("", _WIDE.sub("  ", line), count=1).strip()
    parts = [part for part in _PARTS.split(line) if part.strip()]
    if not any(char.isalnum() for part in parts for char in part):
        return None
    step = LineStep(entries={})
    title: list[str] = []
    who: list[str] = []
    after: list[Any] = []
    gear: list[str] = []
    for number, part in enumerate(parts):
        if not number:
            part = _length_at_the_end(part, step)
            if part:
                title.append(part)
        elif not _understood(part, step, known, who, after, gear):
            step.unread.append(part)
    entries = step.entries
    if not title:
        title = [step.unread.pop(0)] if step.unread else ["Step"]
    id = free_id(" ".join(title), taken)
    said = {"id": id, "title": title[0]}
    if "hands" not in entries and "wait" not in entries:
        said["hands"] = USUAL
        step.guessed = True
    lists = {"who": who, "gear": gear, "after": after}
    step.entries = {**said, **entries, **{key: value for key, value in lists.items() if value}}
    if step.unread:
        step.entries["note"] = ", ".join(step.unread)
    return step


def _understood(
    part: str, step: LineStep, known: Known, who: list[str], after: list[Any], gear: list[str]
) -> bool:
    """Takes one part into the step; False where it is none that is known."""
    entries = step.entries
    word, _, rest = part.partition(" ")
    word, rest = word.lower(), rest.strip()
    if part.startswith("@"):
        space = _named(part[1:], known.spaces)
        entries["where"] = space or part[1:].strip()
        return True
    if word == "wait" and rest:
        length = length_of(rest, hands=False)
        if length is not None and "hands" not in entries:
            entries["wait"] = length
            return True
        return False
    if word == "after" and rest:
        after.append(read_link(rest))
        return True
    if word == "coat" and rest:
        entries["coat"] = rest
        return True
    if word in ("with", "gear") and rest and _named(rest, known.gear):
        gear.append(_named(rest, known.gear) or rest)
        return True
    length = length_of(part)
    if length is not None and "hands" not in entries and "wait" not in entries:
        entries["hands"] = length
        return True
    people = [_named(name, known.people) for name in re.split(r"\s*(?:\+|&|\band\b)\s*", part)]
    if all(people):
        who.extend(id for id in people if id is not None and id not in who)
        return True
    return False


def _length_at_the_end(part: str, step: LineStep) -> str:
    """The title without a length behind it: `Cut parts 2h`, `Cut parts (2h)`, `Cut parts: 2h`."""
    found = list(_LENGTH.finditer(part))
    if not found:
        return part
    last = found[-1]
    closed = part[last.end() :].strip(" )].")
    length = None if closed else length_of(last[0])
    if length is None or (last.start() and part[last.start() - 1].isalnum()):
        return part
    step.entries["hands"] = length
    return part[: last.start()].rstrip(" ([:-=")


def length_of(text: str, *, hands: bool = True) -> str | None:
    """A length as a plan file writes it, of one as people do: `90 min`, `1.5 h`, `2-3h`, `1 h 30`.

    None where it is none.

    >>> length_of("1.5 h"), length_of("2h to 3h"), length_of("2h..3h..6h")
    ('1h30', '2h..3h', '2h..3h..6h')
    """
    text = text.strip(" ()[]~")
    try:
        parse_estimate(text, hands=hands)
        return text
    except ValueError:
        pass
    text = re.sub(r"^(?:ca\.?|about)\s*", "", text, flags=re.IGNORECASE)
    parts = re.split(r"\s*(?:\.\.|–|-|\bto\b)\s*", text)
    unit = re.search(r"[a-z]+\s*$", parts[-1], re.IGNORECASE)
    lengths = []
    for part in parts:
        if re.fullmatch(r"\d+(?:[.,]\d+)?", part) and unit:
            part += unit[0]
        one = _one_length(part)
        if one is None:
            return None
        lengths.append(one)
    written = "..".join(lengths)
    try:
        parse_estimate(written, hands=hands)
    except ValueError:
        return None
    return written


def _one_length(text: str) -> str | None:
    match = _ONE.fullmatch(text.strip())
    if match is None:
        return None
    whole, part, unit, more = match.groups()
    unit = unit[0].lower()
    if unit in "dw":
        return None if part or more else f"{whole}{unit}"
    minutes = int(whole) * (60 if unit == "h" else 1)
    if part:
        minutes += round(float(f"0.{part}") * (60 if unit == "h" else 1))
    if more:
        if unit != "h":
            return None
        minutes += int(more)
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest}min"
    return f"{hours}h{rest:02d}" if rest else f"{hours}h"


def _named(text: str, titles: Mapping[str, str]) -> str | None:
    """The id that a text names, by id or title, whatever its capitals."""
    low = text.strip().lower()
    for id, title in titles.items():
        if low in (id, title.lower()):
            return id
    return None


def free_id(title: str, taken: Iterable[str]) -> str:
    """An id for a title that nothing bears yet: `Cut parts` is `cut-parts`, or `cut-parts-2`.

    >>> free_id("Cut parts", ["cut-parts"])
    'cut-parts-2'
    """
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    wanted = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    if len(wanted) > _LONGEST_ID:
        wanted = wanted[:_LONGEST_ID].rpartition("-")[0] or wanted[:_LONGEST_ID]
    wanted = wanted or "step"
    borne = set(taken)
    id, number = wanted, 1
    while id in borne:
        number += 1
        id = f"{wanted}-{number}"
    return id
