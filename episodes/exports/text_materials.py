"""What `materials` says: a list of products by kind, or one of them with all that is known."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from episodes.amounts import Estimate, length_in_words
from episodes.calendars.working_time import NEVER
from episodes.exports.safe_text import clean
from episodes.exports.text_words import columns, counted, length
from episodes.trade.air import coldest_surface, degrees
from episodes.trade.drying import REFERENCE_CELSIUS, REFERENCE_HUMIDITY
from episodes.trade.wood import DAMPEST, DRIEST, equilibrium_moisture_content

if TYPE_CHECKING:
    from episodes.answers.materials import Closed, InAir, Material

_KINDS = {
    "coat": "Coats",
    "glue": "Glues",
    "filler": "Fillers",
    "sealant": "Sealants",
    "mortar": "Mortars",
    "film": "Tapes and films",
}
_MEANING = {
    "coat": ("dust sticks no longer", "next coat", "careful use", "washing, rugs, full load"),
    "glue": ("clamps off", "scrape, plane, sand", "load it", "full strength"),
}
_LAW = {
    "water": "dries by losing water: damp and cold air hold it up",
    "moisture": "cures with the air's moisture: cold and dry air hold it up",
    "oxidation": "hardens with oxygen: cold holds it up",
    "reaction": "hardens by reaction: cold holds it up",
    "solvent": "dries by losing solvent: cold holds it up",
    "none": "does not wait for the air",
}
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
LAST_WORD = (
    "Where the tin says otherwise, the tin is right: write its times under `dries`. Local code, "
    "the lease and licensed practice come before all of this."
)


def materials_text(materials: "Sequence[Material]", *, fahrenheit: bool = False) -> str:
    """One product in full, several as a list.

    Args:
        materials: in the order of the table; all with air or none.
        fahrenheit: the unit that the studio reads.
    """
    if len(materials) == 1:
        return "\n".join([*_one(materials[0], fahrenheit), "", LAST_WORD])
    return "\n".join([*_list(materials, fahrenheit), "", LAST_WORD])


def _list(materials: "Sequence[Material]", fahrenheit: bool) -> list[str]:
    air = materials[0].air if materials else None
    head = f"{counted(len(materials), 'product')}, likely times"
    if air is None:
        reference = degrees(REFERENCE_CELSIUS, fahrenheit=fahrenheit)
        lines = [f"{head} in air of {reference} and {REFERENCE_HUMIDITY:g} %."]
    else:
        lines = [f"{head}. {_air(air, fahrenheit)}"]
    for kind, title in _KINDS.items():
        rows = [_row(each) for each in materials if each.product.kind == kind]
        if rows:
            lines += ["", title, *columns(rows)]
    return lines


def _row(material: "Material") -> list[str]:
    product, air = material.product, material.air
    times = product.coating.times if air is None else air.times
    cells = [product.id]
    cells += [f"{stage} {_length(time.likely)}" for stage, time in times.items()]
    closed = air.closed_today if air is not None else None
    return [*cells, closed.why.replace("-", " ") if closed is not None else ""]


def _one(material: "Material", fahrenheit: bool) -> list[str]:
    product, air = material.product, material.air
    coating = product.coating
    names = ", ".join((product.id, *product.aliases))
    lines = [f"{clean(product.title)} ({names}), {product.kind}", ""]
    reference = degrees(REFERENCE_CELSIUS, fahrenheit=fahrenheit)
    lines.append(f"In air of {reference} and {REFERENCE_HUMIDITY:g} %: low, likely, high")
    meaning = _MEANING.get(product.kind, ("",) * 4)
    lines += columns(
        (stage, _range(time), meant)
        for (stage, time), meant in zip(coating.times.items(), meaning, strict=False)
    )
    if air is not None:
        lines += ["", _air(air, fahrenheit), *_in_air(air)]
        lines += [f"  {line}" for line in _closed_lines(air, fahrenheit)]
    lines += ["", *columns(_facts(material, fahrenheit))]
    for caution in material.cautions:
        lines.append(f"  caution: {clean(caution.text)} ({clean(caution.authority)})")
    lines += [f"  note: {clean(each)}" for each in material.advice]
    if product.note:
        lines.append(f"  note: {clean(product.note)}")
    lines += ["", "Sources", *columns((key, clean(text)) for key, text in product.source.items())]
    return lines


def _facts(material: "Material", fahrenheit: bool) -> list[tuple[str, str]]:
    product = material.product
    coating = product.coating
    rows = [("law", _LAW[coating.dries_by])]
    if coating.recoat_by is not None:
        rows.append(("recoat by", f"{length(coating.recoat_by)}, or sand first"))
    if coating.window_until is not None:
        second = length(coating.times["recoat"].likely)
        rows.append(
            ("window", f"next coat within {length(coating.window_until)}, or after {second}")
        )
    limits = []
    if coating.lowest_celsius is not None:
        limits.append(f"from {degrees(coating.lowest_celsius, fahrenheit=fahrenheit)}")
    if coating.highest_celsius is not None:
        limits.append(f"to {degrees(coating.highest_celsius, fahrenheit=fahrenheit)}")
    if coating.highest_humidity is not None:
        limits.append(f"at most {coating.highest_humidity:g} % humidity")
    if limits:
        rows.append(("air", f"{', '.join(limits)}, from its start until touch dry"))
    use = []
    if product.coats is not None:
        use.append(counted(product.coats, "coat"))
    if product.m2_per_litre is not None:
        use.append(f"{product.m2_per_litre:g} m2 a litre")
    if product.sand_between is not None:
        use.append(f"grit {product.sand_between} between coats")
    if use:
        rows.append(("use", ", ".join(use)))
    makes = [word for word, does in (("fumes", coating.fumes), ("dust", coating.dusty)) if does]
    if makes:
        until = " until touch dry" if coating.fumes else " while it is worked"
        rows.append(("makes", " and ".join(makes) + until))
    if product.fumes_for is not None:
        rows.append(("smells for", length(product.fumes_for)))
    return rows


def _air(air: "InAir", fahrenheit: bool) -> str:
    text = (
        f"{clean(air.space.title)}, {_day(air.day)}: "
        f"{degrees(air.celsius, fahrenheit=fahrenheit)}, {air.humidity:g} %"
    )
    if air.humidity > 0:
        surface = degrees(coldest_surface(air.celsius, air.humidity), fahrenheit=fahrenheit)
        text += f"; no surface colder than {surface} is coated"
    if DRIEST <= air.humidity <= DAMPEST:
        moisture = equilibrium_moisture_content(air.celsius, air.humidity)
        text += f"; boards come to rest at {moisture:.1f} % moisture"
    return text + "."


def _in_air(air: "InAir") -> list[str]:
    return columns((stage, _range(time)) for stage, time in air.times.items())


def _closed_lines(air: "InAir", fahrenheit: bool) -> list[str]:
    lines = [_closed(each, fahrenheit) for each in air.closed]
    if air.changes_before_touch is not None:
        lines.insert(
            0, f"finished at noon it is not touch dry by {_day(air.changes_before_touch)}, when "
            "the air turns"
        )  # fmt: skip
    return lines or ["no day of the coming year is closed to it"]


def _closed(closed: "Closed", fahrenheit: bool) -> str:
    if closed.why == "too-damp":
        is_, limit = f"{closed.is_:g} %", f"{closed.limit:g} %"
    else:
        is_ = degrees(closed.is_, fahrenheit=fahrenheit)
        limit = degrees(closed.limit, fahrenheit=fahrenheit)
    when = f"from {_day(closed.first)} on" if closed.last is None else (
        f"{_day(closed.first)} to {_day(closed.last)}"
    )  # fmt: skip
    needs = "needs" if closed.why == "too-cold" else "bears"
    return f"closed {when}: {closed.why.replace('-', ' ')}, {is_} there and it {needs} {limit}"


def _range(time: Estimate) -> str:
    if time.low == time.high:
        return _length(time.likely)
    return f"{_length(time.low)} .. {_length(time.likely)} .. {_length(time.high)}"


def _length(minutes: int) -> str:
    return "never" if minutes >= NEVER else length_in_words(minutes)


def _day(day: date) -> str:
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]} {day.year}"
