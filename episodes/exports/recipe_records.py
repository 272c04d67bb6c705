"""The JSON form of recipes and of a new episode."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from episodes.amounts import Estimate
from episodes.answers.rows import CheckAnswer
from episodes.exports.records import instants
from episodes.trade.builds import Build, Purchase
from episodes.trade.formulas import Value
from episodes.trade.recipes import Coming, Recipe

FORMAT = 1
Record = dict[str, Any]


def recipes_record(recipes: Iterable[Recipe]) -> Record:
    """`episodes recipes --json`: what there is and how it is sized."""
    return {
        "format": FORMAT,
        "recipes": [
            {
                "id": recipe.id,
                "title": recipe.title,
                "group": recipe.group,
                "sizes": [
                    {
                        "id": size.id,
                        "title": size.title,
                        "unit": size.unit,
                        "default": _number(size.default),
                        "from": _number(size.lowest),
                        "to": _number(size.highest),
                    }
                    for size in recipe.sizes
                ],
            }
            for recipe in recipes
        ],
    }


def recipe_record(
    built: Build, comings: Mapping[str, Coming], cautions: Mapping[str, Sequence[str]]
) -> Record:
    """`episodes recipes NAME --json`: one recipe worked out for its sizes."""
    recipe = built.recipe
    return {
        "format": FORMAT,
        "id": recipe.id,
        "title": recipe.title,
        "group": recipe.group,
        "note": built.note,
        "sizes": {id: _number(value) for id, value in built.sizes.items()},
        "hands_min": _estimate(built.hands),
        "steps": [
            {
                "id": step.id,
                "title": step.recipe.title,
                "hands_min": None if step.hands is None else _estimate(step.hands),
                "wait": step.recipe.wait,
                "who": None if step.hands is None else step.recipe.who,
                "coat": step.recipe.coat,
                "gear": dict(step.gear),
                "tools": list(step.recipe.tools),
                "makes": list(step.recipe.makes),
                "needs_air": list(step.recipe.needs_air),
                "does": list(step.recipe.does),
                "cautions": list(cautions.get(step.id, ())),
            }
            for step in built.steps
        ],
        "shots": [
            {
                "id": shot.id,
                "title": shot.recipe.title,
                "of": shot.recipe.of or None,
                "when": shot.recipe.when,
                "once": shot.recipe.once,
                "hands_min": None if shot.recipe.when == "during" else shot.hands,
            }
            for shot in built.shots
        ],
        "buy": [_purchase(each, comings) for each in built.purchases],
        "source": dict(recipe.source),
    }


def new_record(file: str, counts: Mapping[str, int], episode: str, answer: CheckAnswer) -> Record:
    """`episodes new --json`: what was written and whether it holds."""
    instant = instants(answer.zone)
    found = answer.episode(episode)
    return {
        "format": FORMAT,
        "file": file,
        **counts,
        "release": instant(found.release),
        "verdict": found.verdict,
        "proved": found.proved,
        "ready_by": instant(found.ready_by),
        "spare_min": found.spare_min,
    }


def _purchase(purchase: Purchase, comings: Mapping[str, Coming]) -> Record:
    buy = purchase.buy
    return {
        "id": buy.id,
        "title": buy.title,
        "amount": _number(purchase.amount),
        "unit": buy.unit or None,
        "cuts": purchase.cuts or None,
        "kind": buy.kind,
        "lead": comings[buy.kind].lead,
        "needed_for": buy.needed_for,
        "settle": buy.settle,
        "note": buy.note or None,
    }


def _estimate(value: Estimate) -> list[int]:
    return [value.low, value.likely, value.high]


def _number(value: Value) -> int | float:
    return int(value) if value.denominator == 1 else round(float(value), 4)
