"""`recipes`: what can be built, how long it takes, what it needs."""

from typing import TYPE_CHECKING

import click

from episodes.commands.opening import json_option
from episodes.commands.printing import ExitCode, leave, say

if TYPE_CHECKING:
    from episodes.trade.builds import Build


@click.command("recipes")
@click.argument("name", required=False, metavar="[NAME:size=V,..]")
@json_option
def command(name: str | None, as_json: bool) -> None:
    """List the recipes, or show one: steps, hours, shots, what to buy, what can hurt.

    Sizes are metric; 12ft, 30in and 120sqft are understood too.
    """
    from episodes.files.recipe_files import load_comings, load_recipes

    if name is None:
        recipes = load_recipes().values()
        if as_json:
            from episodes.exports.recipe_records import recipes_record
            from episodes.exports.records import to_json

            say(to_json(recipes_record(recipes)))
        else:
            from episodes.exports.text_recipes import recipes_text

            say(recipes_text(recipes))
        leave(ExitCode.MET)
    from episodes.commands.recipe_words import build_of

    built = build_of(name, "metric")
    cautions = cautions_by_step(built)
    if as_json:
        from episodes.exports.recipe_records import recipe_record
        from episodes.exports.records import to_json

        say(to_json(recipe_record(built, load_comings(), cautions)))
    else:
        from episodes.exports.text_recipes import recipe_text

        say(recipe_text(built, load_comings(), cautions))
    leave(ExitCode.MET)


def cautions_by_step(built: "Build") -> dict[str, tuple[str, ...]]:
    """What the trade says of each step: of its product, of what it makes and does."""
    from episodes.files.cautions import brought_on_by, cautions_of
    from episodes.files.products import product_named
    from episodes.trade.cautions import shown

    found = {}
    for step in built.steps:
        recipe = step.recipe
        product = product_named(recipe.coat) if recipe.coat else None
        found[step.id] = shown(
            "",
            cautions_of(recipe.cautions),
            brought_on_by(recipe.makes, recipe.does),
            () if product is None else product.coating.cautions,
        )
    return found
