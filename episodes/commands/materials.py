"""`materials`: the products that a `coat` may name, and what the air of a space makes of them."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.opening import Opened, json_option, open_season, season_options
from episodes.commands.printing import ExitCode, leave, say

if TYPE_CHECKING:
    from episodes.answers.materials import Material
    from episodes.model.studio import Space
    from episodes.trade.products import Product


@click.command("materials")
@click.argument("word", required=False)
@click.option("--at", "space_name", metavar="SPACE", help="In the air of this space.")
@click.option("--on", "day_text", metavar="DATE", help="On this day. Default: today.")
@season_options
@json_option
def command(
    word: str | None,
    space_name: str | None,
    day_text: str | None,
    season_option: Path | None,
    now_text: str | None,
    as_json: bool,
) -> None:
    """The products that a coat may name: how long until what, in which air, with what care.

    WORD is part of an id, a title or a kind (coat, glue, filler, sealant, mortar, film); the id
    of one product shows all that is known of it. No season is needed without --at.
    """
    if day_text is not None and space_name is None:
        raise click.UsageError("--on asks for the air of a day, and --at SPACE names no space")
    products = _matching(word)
    if space_name is None:
        found = [_known(product) for product in products]
        fahrenheit = False
    else:
        opened = open_season(None, season_option, now_text)
        fahrenheit = opened.season.studio.units == "us"
        found = _there(products, opened, space_name, day_text)
    if as_json:
        from episodes.exports.material_records import materials_record
        from episodes.exports.records import to_json

        say(to_json(materials_record(found)))
    else:
        from episodes.exports.text_materials import materials_text

        say(materials_text(found, fahrenheit=fahrenheit))
    leave(ExitCode.MET)


def _matching(word: str | None) -> "list[Product]":
    from episodes.files.products import load_products, product_named

    products = load_products()
    if word is None:
        return list(products.values())
    exact = product_named(word)
    if exact is not None:
        return [exact]
    part = word.casefold()
    found = [
        product
        for product in products.values()
        if any(
            part in text.casefold()
            for text in (product.id, product.title, product.kind, *product.aliases)
        )
    ]
    if not found:
        from difflib import get_close_matches

        names = [*products, *(alias for each in products.values() for alias in each.aliases)]
        near = get_close_matches(word, names, n=1, cutoff=0.5)
        hint = f'; did you mean "{near[0]}"?' if near else ""
        raise click.UsageError(f'no product has "{word}" in its name or kind{hint}')
    return found


def _known(product: "Product") -> "Material":
    from episodes.answers.materials import Material
    from episodes.files.cautions import load_advice

    advice = load_advice()
    return Material(
        product=product,
        cautions=tuple(sorted(product.coating.cautions, key=lambda each: each.weight)),
        advice=tuple(advice[tag] for tag in product.cautions if tag in advice),
    )


def _there(
    products: "list[Product]", opened: Opened, space_name: str, day_text: str | None
) -> "list[Material]":
    from dataclasses import replace

    from episodes.answers.materials import in_air
    from episodes.calendars.local_time import zone

    studio = opened.season.studio
    space = _space(studio.spaces, space_name)
    here = zone(studio.zone)
    day = _day(day_text) if day_text is not None else here.day(opened.season.now)
    return [
        replace(_known(product), air=in_air(product.coating, here, space, day))
        for product in products
    ]


def _space(spaces: "tuple[Space, ...]", name: str) -> "Space":
    part = name.casefold()
    exact = [space for space in spaces if name in (space.id, space.title)]
    found = exact or [
        space for space in spaces if part in space.id.casefold() or part in space.title.casefold()
    ]
    if len(found) == 1:
        return found[0]
    if found:
        raise click.UsageError(f'--at "{name}" could be {", ".join(space.id for space in found)}')
    known = ", ".join(space.id for space in spaces) or "none"
    raise click.UsageError(f'--at: no space is called "{name}"; studio.toml has {known}')


def _day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise click.BadParameter(
            f'"{text}" is not a day; write 2027-03-15', param_hint="--on"
        ) from None
    if not 1990 <= day.year <= 2199:
        raise click.BadParameter(f"{day.year} lies outside 1990 to 2199", param_hint="--on")
    return day
