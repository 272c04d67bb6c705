"""The text of a new episode's file: head, shots, parcels, work, with comments on what to change."""

from collections.abc import Sequence

from episodes.files.plan_text import Block, array_text, block_text, comment_words, section, written
from episodes.files.setting import Composed

HEAD = """\
# {title}. Written by `episodes new`; from here on it is yours.
# Hours are a first-timer's guess, good day..likely..bad day. `episodes check` says whether it
# holds, `episodes recipes` what else there is to build, `episodes add` puts it in here.
"""

PARCELS_SAY = """\
# Leads are usual ones: put in what you are told. `episodes ordered ID --promised DAY` writes it
# down when you order; a `cost` counts against `budget`.
"""


def episode_text(title: str, room: str, composed: Composed, *, budget: str = "") -> str:
    """The whole file.

    Args:
        budget: as written; "" for none yet.
    """
    lines = [
        HEAD.format(title=comment_words(title).rstrip(".")),
        f"title = {written(title)}\n",
        f"room = {written(room)}\n",
    ]
    if budget:
        lines.append(f"budget = {budget}\n")
    else:
        lines.append("# budget = 900   # what it may cost; give the parcels below a `cost`\n")
    lines.append('# may_start = "release-6w"   # no work and no shot before that day\n')
    if composed.shots:
        lines += [
            "\n",
            section("what is filmed"),
            "# `once` cannot be taken again; `during` runs with its step, camera left running.\n",
            array_text("shot", composed.shots),
        ]
    if composed.parcels:
        lines += [
            "\n",
            section("what must come"),
            PARCELS_SAY,
            _blocks(composed.parcels),
        ]
    if composed.jobs:
        lines += ["\n", section("the work"), _blocks(composed.jobs)]
    return "".join(lines)


def _blocks(blocks: Sequence[Block]) -> str:
    return "\n".join(block_text(block) for block in blocks)
