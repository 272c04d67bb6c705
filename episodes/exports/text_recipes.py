"""What `recipes` says: the list by groups, or one recipe worked out for its sizes."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

from episodes.amounts import length_in_words
from episodes.exports.safe_text import clean
from episodes.exports.text_words import columns, listed
from episodes.trade.builds import Build, BuiltStep, Purchase, build, decimal, sized_name, unit_words
from episodes.trade.recipes import Coming, Recipe

_CREW = {"host": "host", "one": "anyone", "pair": "two", "licensed": "licensed"}


def recipes_text(recipes: Iterable[Recipe]) -> str:
    """Every recipe with its sizes and likely hours, by groups."""
    lines = ["Recipes, with their usual sizes and likely hours of work:"]
    for group, members in groupby(recipes, key=lambda recipe: recipe.group):
        rows = []
        for recipe in members:
            built = build(recipe)
            likely = built.hands.likely
            hours = length_in_words(likely) if likely else f"{len(built.shots)} shots"
            rows.append((sized_name(built, asked=True), recipe.title, hours))
        lines += ["", group, *columns(rows)]
    lines += ["", "One of them: episodes recipes NAME  (NAME:size=V for your sizes)"]
    return "\n".join(lines)


def recipe_text(
    built: Build, comings: Mapping[str, Coming], cautions: Mapping[str, Sequence[str]]
) -> str:
    """One recipe: sizes, steps, shots, what to buy, what can hurt, where the numbers come from.

    Args:
        comings: usual ways for things to come, by id.
        cautions: by step id, what can hurt there.
    """
    recipe, hands = built.recipe, built.hands
    lines = [f"{recipe.title} ({recipe.id})"]
    if hands.likely:
        low, likely, high = (
            length_in_words(each) for each in (hands.low, hands.likely, hands.high)
        )
        lines.append(f"Likely {likely} of work; a good run {low}, a bad one {high}.")
    if built.note:
        lines.append(clean(built.note))
    rows = [
        (
            size.id,
            f"{decimal(built.sizes[size.id])}{unit_words(size)}",
            f"{size.title}, {decimal(size.lowest)} to {decimal(size.highest)}",
        )
        for size in recipe.sizes
    ]
    lines += _part("Sizes", rows)
    lines += _part("Steps", [_step(step) for step in built.steps])
    lines += _part("To film", [
        (shot.recipe.title, _moment(shot.recipe.when, shot.recipe.of or "the room"),
         "once only" if shot.recipe.once else "")
        for shot in built.shots
    ])  # fmt: skip
    lines += _part("To buy", [_purchase(each, comings) for each in built.purchases])
    tools = dict.fromkeys(tool for step in built.steps for tool in step.recipe.tools)
    if tools:
        lines += ["", f"Lay ready: {', '.join(tools)}"]
    warned: dict[str, list[str]] = {}
    for step in built.steps:
        for caution in cautions.get(step.id, ()):
            warned.setdefault(caution, []).append(step.id)
    lines += _part("Take care", [(f"{text} ({listed(ids, 4)})",) for text, ids in warned.items()])
    if warned:
        lines.append("  Your local code, your lease and the product's own sheet come before this.")
    lines += _part("Where the numbers come from", sorted(recipe.source.items()))
    return "\n".join(lines)


def _step(step: BuiltStep) -> tuple[str, ...]:
    recipe = step.recipe
    if step.hands is None:
        length, who = f"waits {recipe.wait}", ""
    else:
        length, who = length_in_words(step.hands.likely), _CREW[recipe.who]
    more = [recipe.coat] if recipe.coat else []
    more += [f"{id} {count}" if count > 1 else id for id, count in step.gear]
    more += recipe.makes
    return step.id, recipe.title, length, who, ", ".join(more)


def _moment(when: str, of: str) -> str:
    return f"{when} {of}"


def _purchase(purchase: Purchase, comings: Mapping[str, Coming]) -> tuple[str, ...]:
    coming = comings[purchase.buy.kind]
    notes = [purchase.buy.note] if purchase.buy.note else []
    notes += [f"cut {purchase.cuts}"] if purchase.cuts else []
    return purchase.words, f"{coming.title}, {coming.lead}", "; ".join(notes)


def _part(title: str, rows: Iterable[Iterable[str]]) -> list[str]:
    rows = list(rows)
    return ["", title, *columns(rows)] if rows else []
