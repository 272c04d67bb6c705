"""The values of a plan file as they are typed into a field, and back: the file's words, no quotes.

`host, builder` is `["host", "builder"]`, `glue gap 2h, lumber` is `[{ step = "glue", gap = "2h" },
"lumber"]`. What a text could not be is left as it is typed, so that the reader of the files says
what is wrong with it, in its own words; nothing is judged here.
"""

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

LINK_WORDS = ("gap", "within", "or_after", "from", "to", "stage")
"""Keys of an entry of `after`, in the order in which they are shown."""
_DATE = re.compile(r"(\d{4}-\d\d-\d\d)(?:[T ](\d\d:\d\d)(:\d\d)?(\S*))?", re.ASCII)
_PAIR = re.compile(r"\s*=\s*")
_BLANKS = re.compile(r"[ \t]+")
ANY_OF = "any_of"
NOBODY = "nobody"


@dataclass(frozen=True, slots=True)
class Form:
    """How one kind of value is typed.

    Attributes:
        read: the value of a text; the empty text is no value at all and never comes here.
        show: the text of a value, such that reading it again gives the same value.
    """

    read: Callable[[str], Any]
    show: Callable[[Any], str]

    def value(self, text: str) -> Any:
        """The value of a text as typed, None for an empty one."""
        return self.read(text) if text.strip() else None

    def text(self, value: Any) -> str:
        """The text of a value as the file has it; "" for none."""
        return "" if value is None else self.show(value)


def shown(value: Any) -> str:
    """Any value of a file, also one that does not belong there, as it would be typed."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, list):
        return ", ".join(map(shown, value))
    if isinstance(value, Mapping):
        return ", ".join(f"{key} = {shown(inner)}" for key, inner in value.items())
    return str(value)


def listed(text: str) -> list[str]:
    """The parts between commas, each trimmed; empty ones left out."""
    return [part.strip() for part in text.split(",") if part.strip()]


# ---------------------------------------------------------------------------- single values


def _read_number(text: str) -> Any:
    """A number as TOML reads it; what is none stays a text, for the reader to say so."""
    try:
        value = tomllib.loads(f"x = {text.strip()}")["x"] if "\n" not in text else text
    except (ValueError, RecursionError):
        return text
    return value if isinstance(value, int | float) and not isinstance(value, bool) else text


def _read_moment(text: str) -> Any:
    """A date or an instant as TOML has them (seconds may be left out), else text: `release-14d`."""
    match = _DATE.fullmatch(text.strip())
    if match is None:
        return text.strip()
    day, clock, seconds, offset = match.groups()
    written = day if clock is None else f"{day}T{clock}{seconds or ':00'}{offset or ''}"
    try:
        return tomllib.loads(f"x = {written}")["x"]
    except ValueError:
        return text.strip()


def _show_moment(value: Any) -> str:
    if isinstance(value, datetime):
        seconds = value.second or value.microsecond
        local = value.replace(tzinfo=None).isoformat(sep=" ")
        return (local if seconds else local[:16]) + value.isoformat()[len(local) :]
    return shown(value)


def _read_flag(text: str) -> Any:
    word = text.strip().lower()
    return {"true": True, "yes": True, "false": False, "no": False}.get(word, text)


# ---------------------------------------------------------------------------- lists


def _read_who(text: str) -> Any:
    word = text.strip()
    if word == NOBODY:
        return []
    if word.startswith(f"{ANY_OF} "):
        return {ANY_OF: listed(word.removeprefix(ANY_OF))}
    return listed(text)


def _show_who(value: Any) -> str:
    if value == []:
        return NOBODY
    if isinstance(value, Mapping) and set(value) == {ANY_OF}:
        return f"{ANY_OF} {shown(value[ANY_OF])}"
    return shown(value)


def _read_counts(text: str) -> Any:
    """`camera` or `clamps = 4, camera`: a list where every count is left out."""
    parts = [_PAIR.split(part, maxsplit=1) for part in listed(text)]
    if all(len(part) == 1 for part in parts):
        return [part[0] for part in parts]
    return {part[0]: _read_number(part[1]) if len(part) > 1 else 1 for part in parts}


def _read_pairs(text: str) -> Any:
    """`touch = 1h, recoat = 4h`; `window = 1h and 24h` is a list of two."""
    pairs = {}
    for part in listed(text):
        key, *value = _PAIR.split(part, maxsplit=1) if "=" in part else part.split(None, 1)
        worded = value[0] if value else ""
        both = re.split(r"\s+and\s+", worded)
        pairs[key] = both if len(both) > 1 else worded
    return pairs


def _show_pairs(value: Any) -> str:
    if not isinstance(value, Mapping):
        return shown(value)
    return ", ".join(
        f"{key} = {' and '.join(map(shown, inner)) if isinstance(inner, list) else shown(inner)}"
        for key, inner in value.items()
    )


def _read_links(text: str) -> Any:
    return [read_link(part) for part in listed(text)]


def read_link(text: str) -> Any:
    """An entry of `after`: a name alone, or one with `gap 2h`, `within 1h`, `stage cure` ..

    >>> read_link("lumber"), read_link("glue gap 2h")
    ('lumber', {'step': 'glue', 'gap': '2h'})
    """
    name, *words = _BLANKS.split(text.strip())
    if not words:
        return name
    entry = {"step": name}
    for at in range(0, len(words), 2):
        entry[words[at].rstrip("=")] = words[at + 1] if at + 1 < len(words) else ""
    return entry


def _show_links(value: Any) -> str:
    if not isinstance(value, list):
        return shown(value)
    return ", ".join(map(show_link, value))


def show_link(entry: Any) -> str:
    """An entry of `after` as it is typed; back is `read_link`."""
    if not isinstance(entry, Mapping):
        return shown(entry)
    rest = [key for key in (*LINK_WORDS, *entry) if key in entry and key != "step"]
    words = [str(entry.get("step", "")), *(f"{key} {entry[key]}" for key in dict.fromkeys(rest))]
    return " ".join(words)


def _read_orders(text: str) -> Any:
    """`lumber = 1..2..3 workdays by post`: a new order, and who brings it if somebody else."""
    orders: dict[str, Any] = {}
    for name, value in _read_pairs(text).items():
        lead, by, carrier = value.rpartition(" by ") if isinstance(value, str) else ("", "", "")
        orders[name] = {"lead": lead.strip(), "carrier": carrier.strip()} if by else value
    return orders


def _show_orders(value: Any) -> str:
    if not isinstance(value, Mapping):
        return shown(value)
    parts = []
    for name, order in value.items():
        said = shown(order)
        if isinstance(order, Mapping) and set(order) == {"lead", "carrier"}:
            said = f"{order['lead']} by {order['carrier']}"
        parts.append(f"{name} = {said}")
    return ", ".join(parts)


def _read_whos(text: str) -> Any:
    """`bench.cut = host and builder`: who does a step instead."""
    pairs = _read_pairs(text)
    return {name: who if isinstance(who, list) else [who] for name, who in pairs.items()}


def _read_extra(text: str) -> Any:
    """`builder 2027-04-25 09:00-17:00`: a person, a day, hours."""
    pairs = [part.split(None, 1) for part in listed(text)]
    return [{"person": pair[0], "at": pair[1] if len(pair) > 1 else ""} for pair in pairs]


def _show_extra(value: Any) -> str:
    if not isinstance(value, list):
        return shown(value)
    return ", ".join(
        f"{each.get('person')} {each.get('at')}" if isinstance(each, Mapping) else shown(each)
        for each in value
    )


def _read_air(text: str) -> Any:
    """`workshop celsius 20 humidity 50`."""
    air: dict[str, Any] = {}
    for part in listed(text):
        name, *words = _BLANKS.split(part)
        air[name] = {
            words[at]: _read_number(words[at + 1] if at + 1 < len(words) else "")
            for at in range(0, len(words), 2)
        }
    return air


def _show_air(value: Any) -> str:
    if not isinstance(value, Mapping):
        return shown(value)
    return ", ".join(
        " ".join([name, *(f"{key} {shown(it)}" for key, it in air.items())])
        if isinstance(air, Mapping)
        else f"{name} {shown(air)}"
        for name, air in value.items()
    )


TEXT = Form(
    read=lambda text: text,
    show=lambda value: value if isinstance(value, str) else shown(value),
)
WORD = Form(read=lambda text: text.strip(), show=shown)
NUMBER = Form(read=_read_number, show=shown)
MOMENT = Form(read=_read_moment, show=_show_moment)
FLAG = Form(read=_read_flag, show=shown)
NAMES = Form(read=listed, show=shown)
WHO = Form(read=_read_who, show=_show_who)
COUNTS = Form(read=_read_counts, show=shown)
PAIRS = Form(read=_read_pairs, show=_show_pairs)
LINKS = Form(read=_read_links, show=_show_links)
ORDERS = Form(read=_read_orders, show=_show_orders)
WHOS = Form(read=_read_whos, show=_show_pairs)
EXTRA = Form(read=_read_extra, show=_show_extra)
AIR = Form(read=_read_air, show=_show_air)
