"""Why a start is where it is: each kind of reason on a season made for it, told by name.

Monday 1 March 2027 is now; evenings are 18:00 to 21:30; UTC.
"""

from pathlib import Path

import pytest

from episodes.answers.check import answer
from episodes.answers.planning import Planning, plan_season
from episodes.answers.rows import StepRow
from episodes.answers.waiting import Waiting
from episodes.answers.why import WhyAnswer, explain
from episodes.files.reading import read_season
from tests.asking import MATERIALS
from tests.reference import generate, referee
from tests.small_season import minutes, season

ROOM = "2027-04-test"
BUILDER = '[[person]]\nid = "builder"\nhours = { daily = ["18:00-21:30"] }\n'
WORKSHOP = '[[space]]\nid = "workshop"\ntitle = "Workshop"\n'
OIL = 'coat = "some-oil"\ndries = { touch = "2h", recoat = "4h", handle = "24h" }\n'


def steps(*lines: str, job: str = "one", more: str = "") -> str:
    inside = "".join(f"[[job.step]]\n{line}\n" for line in lines)
    return f'[[job]]\nid = "{job}"\n{more}\n{inside}'


def asked(text: str, id: str, **more: str) -> WhyAnswer:
    planning = plan_season(season(text, **more))
    return explain(planning, answer(planning), ROOM, id)


def last(text: str, id: str, **more: str) -> str:
    """The sentence of the thing itself."""
    return asked(text, id, **more).chain[-1].text


def test_the_chain_goes_from_now_to_the_start_and_each_link_waits_for_the_one_before() -> None:
    text = steps('id = "a"\nhands = "2h"', 'id = "b"\nwait = "1d"', 'id = "c"\nhands = "1h"')
    chain = asked(text, "one.c").chain
    assert [(link.id, link.start, link.text) for link in chain] == [
        ("one.a", minutes(1, 18), "until host's next open hours"),
        ("one.b", minutes(1, 20), "waits for a to be over"),
        ("one.c", minutes(2, 20), "waits for b to be over"),
    ]
    assert {link.episode for link in chain} == {ROOM}


# -- people, gear, places --------------------------------------------------------------------------


def test_a_person_is_named_with_what_keeps_them_in_whichever_room() -> None:
    """The nearer room's three hours come first on Monday."""
    near = 'title = "Attic: a bed"\nroom = "room"\n' + steps(
        'id = "a"\ntitle = "Saw"\nhands = "3h"'
    )
    text = steps('id = "b"\nhands = "30min"')
    planning = plan_season(season(text, name="2027-05-test", others={"2027-04-attic": near}))
    found = explain(planning, answer(planning), "2027-05-test", "one.b")
    assert found.start == minutes(1, 21)
    assert [(link.episode, link.id) for link in found.chain] == [
        ("2027-04-attic", "one.a"),
        ("2027-05-test", "one.b"),
    ]
    assert found.chain[-1].text == (
        "until host's next open hours, then until host is done with Saw (Attic)"
    )


def test_a_person_who_is_wanted_before_work_goes_on_leaves_it_off() -> None:
    """Six hours begun on Monday with the builder, who is off on Tuesday: then host is free.

    The talk of an hour waits for Monday's session alone, not for the end of the work.
    """
    builder = BUILDER.replace("daily", "mon").replace("builder", "builder")
    both = steps('id = "a"\ntitle = "Lift"\nhands = "6h"\nwho = ["host", "builder"]')
    talk = steps('id = "b"\nhands = "1h"\nnot_before = 2027-03-01T18:30:00', job="two")
    found = asked(both + talk, "two.b", people=builder)
    assert found.start == minutes(2, 18)
    assert "until host leaves off Lift" in found.chain[-1].text


def test_gear_is_named_with_who_gives_it_up_and_how_much_is_wanted() -> None:
    """Glued from 18:00 to 19:00 with four of six clamps, which stay on for 24 h."""
    gear = '[[gear]]\nid = "clamps"\ntitle = "Bar clamps"\ncount = 6\n'
    text = steps(
        'id = "glue"\nhands = "1h"\ngear = { clamps = 4 }',
        'id = "set"\ntitle = "Glue sets"\nwait = "24h"\ngear = { clamps = 4 }',
    ) + steps(
        'id = "more"\nhands = "1h"\ngear = { clamps = 3 }\nnot_before = 2027-03-01T18:30:00',
        job="two",
    )
    found = asked(text, "two.more", people=gear)
    assert found.start == minutes(2, 19)
    assert found.chain[-1].text.endswith("until Glue sets gives up Bar clamps (3 of 6 wanted)")
    assert found.chain[-2].id == "one.set"


def test_a_full_place_is_named_with_what_is_over_in_it_or_can_be_handled() -> None:
    """The workshop holds one: first a wait of a day, then an oiled board that dries for one."""
    wait = steps(
        'id = "rest"\ntitle = "Boards rest"\nwait = "1d"\nat = 2027-03-01T12:00:00',
        more='where = "workshop"',
    )
    then = steps('id = "saw"\nhands = "1h"', job="two", more='where = "workshop"')
    spaces = WORKSHOP + "holds = 1\n"
    found = asked(wait + then, "two.saw", spaces=spaces)
    assert found.chain[-1].text.endswith(
        "until there is a place in Workshop: Boards rest is over, then until host's next open hours"
    )
    oiled = steps(f'id = "oil"\ntitle = "Oil it"\nhands = "1h"\n{OIL}', more='where = "workshop"')
    late = steps(
        'id = "saw"\nhands = "1h"\nnot_before = 2027-03-01T19:00:00',
        job="two",
        more='where = "workshop"',
    )
    found = asked(oiled + late, "two.saw", spaces=spaces)
    assert found.start == minutes(2, 19)
    assert found.chain[-1].text.endswith(
        "until there is a place in Workshop: Oil it can be handled"
    )
    assert found.chain[-2].id == "one.oil.dry"


def test_who_must_be_alone_waits_for_the_place_to_be_empty() -> None:
    rest = 'id = "rest"\nwait = "1d"\nat = 2027-03-01T12:00:00'
    wait = steps(rest, more='where = "workshop"')
    alone = steps('id = "spray"\nhands = "1h"\nalone = true', job="two", more='where = "workshop"')
    assert "until Workshop is empty: rest is over" in last(
        wait + alone, "two.spray", spaces=WORKSHOP
    )


# -- air -------------------------------------------------------------------------------------------


def test_a_wet_coat_waits_for_the_dust_of_a_named_step_to_settle() -> None:
    sand = steps(
        'id = "sand"\ntitle = "Sand the frame"\nhands = "1h"\nmakes = ["dust"]\n'
        "at = 2027-03-01T18:00:00"
    )
    coat = steps(f'id = "oil"\nhands = "30min"\nwho = ["builder"]\n{OIL}', job="two")
    found = asked(sand + coat, "two.oil", people=BUILDER, room='lingers = { dust = "1h30" }')
    assert found.start == minutes(1, 20, 30)
    assert found.chain[-1].text.endswith(
        "until the dust of Sand the frame has gone, 1 h 30 after it: "
        "its wet coat needs air without dust"
    )
    assert found.chain[-2].id == "one.sand"


def test_dusty_work_waits_for_a_named_coat_to_be_touch_dry() -> None:
    """Oiled from 18:00 to 18:30, touch dry at 20:30; next door shares the air."""
    coat = steps(f'id = "oil"\ntitle = "Oil it"\nhands = "30min"\n{OIL}')
    sand = steps(
        'id = "sand"\nhands = "30min"\nwho = ["builder"]\nwhere = "workshop"\nmakes = ["dust"]\n'
        "not_before = 2027-03-01T18:10:00",
        job="two",
    )
    spaces = WORKSHOP + 'shares_air_with = ["room"]\n'
    found = asked(coat + sand, "two.sand", people=BUILDER, spaces=spaces)
    assert found.start == minutes(1, 20, 30)
    assert found.chain[-1].text.endswith("until Oil it is touch dry: dust would spoil the wet coat")


def test_speech_waits_for_a_named_noise_to_end_and_noise_for_named_speech() -> None:
    saw = steps(
        'id = "saw"\ntitle = "Saw"\nhands = "1h"\nwho = ["builder"]\nmakes = ["noise"]',
        more='where = "workshop"',
    )
    talk = '[[shot]]\nid = "talk"\ntitle = "To camera"\nhands = "30min"\n'
    talk += 'needs_air = ["quiet"]\nafter = ["two"]\n'
    short = steps('id = "sweep"\nhands = "10min"', job="two")
    spaces = WORKSHOP + 'hears = ["room"]\n'
    found = asked(saw + short + talk, "talk", people=BUILDER, spaces=spaces)
    assert found.start == minutes(1, 19)
    assert "until the noise of Saw is over: it needs quiet" in found.chain[-1].text
    late = saw.replace('hands = "1h"', 'hands = "1h"\nnot_before = 2027-03-01T18:15:00')
    found = asked(
        late + talk.replace('after = ["two"]\n', ""), "one.saw", people=BUILDER, spaces=spaces
    )
    assert found.start == minutes(1, 18, 30)
    assert found.chain[-1].text.endswith(
        "until To camera is over, which needs quiet: this makes noise"
    )


def test_work_with_a_flame_waits_for_a_named_coat_to_give_off_no_more_fumes() -> None:
    coat = steps('id = "seal"\ntitle = "Seal"\nhands = "30min"\ncoat = "shellac"')
    heat = steps(
        'id = "torch"\nhands = "30min"\nwho = ["builder"]\nneeds_air = ["fresh"]\n'
        "not_before = 2027-03-01T18:10:00",
        job="two",
    )
    found = asked(coat + heat, "two.torch", people=BUILDER)
    assert "until Seal is touch dry and gives off no more fumes: it needs air without fumes" in (
        found.chain[-1].text
    )


def test_a_coat_that_waits_for_warmth_says_how_cold_it_is_and_what_it_needs() -> None:
    cold = "air = { celsius = 6, humidity = 50 }\n"
    cold += 'air_by_month = { "04" = { celsius = 20 } }'
    text = steps('id = "seal"\nhands = "30min"\ncoat = "waterborne-polyurethane"')
    found = asked(text, "one.seal", room=cold)
    assert found.start == minutes(1, 18, month=4)
    assert (
        "until the air allows it: room is at 6 °C, 4 degrees too cold for "
        "waterborne-polyurethane, which needs 10 °C"
    ) in found.chain[-1].text


# -- light and hours -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("light", "hours", "said"),
    [
        ("day", 'daily = ["07:00-21:30"]', "until there is daylight"),
        ("dark", 'daily = ["10:00-21:30"]', "until it is dark"),
    ],
)
def test_light_is_waited_for_by_its_name(light: str, hours: str, said: str) -> None:
    text = f'[[shot]]\nid = "s"\nhands = "30min"\nlight = "{light}"\n'
    found = asked(
        text,
        "s",
        hours=hours,
        as_of="2027-03-01T08:00:00" if light == "day" else "2027-03-01T12:00:00",
    )
    assert found.chain[-1].text.endswith(said)


def test_two_people_wait_for_hours_that_both_have() -> None:
    text = steps('id = "lift"\nhands = "1h"\nwho = ["host", "builder"]')
    people = '[[person]]\nid = "builder"\nhours = { sat = ["18:00-20:00"] }\n'
    assert last(text, "one.lift", people=people, as_of="2027-03-01T18:30:00").endswith(
        "until host and builder are open together"
    )


def test_a_closed_place_and_forbidden_noise_are_told_apart() -> None:
    text = steps('id = "saw"\nhands = "1h"\nmakes = ["noise"]\nwhere = "workshop"')
    closed = WORKSHOP + 'hours = { daily = ["19:00-22:00"] }\n'
    loud = WORKSHOP + 'noise_hours = { daily = ["20:00-21:30"] }\n'
    at_six = "2027-03-01T18:00:00"
    assert last(text, "one.saw", spaces=closed, as_of=at_six).endswith("until Workshop opens")
    assert last(text, "one.saw", spaces=loud, as_of=at_six).endswith(
        "until noise is allowed in Workshop"
    )


def test_work_in_one_go_waits_for_an_opening_that_is_long_enough() -> None:
    text = steps('id = "a"\nhands = "2h"\none_go = true')
    assert last(text, "one.a", as_of="2027-03-01T20:00:00").endswith("until host has 2 h in one go")


# -- links, windows, dates -------------------------------------------------------------------------


def test_gaps_starts_and_stages_are_said_as_they_are_asked_for() -> None:
    text = steps(
        f'id = "oil"\ntitle = "First coat"\nhands = "30min"\n{OIL}',
        f'id = "oil-2"\ntitle = "Second coat"\nhands = "30min"\n{OIL}',
        'id = "hang"\nhands = "30min"',
        'id = "rest"\nwait = "2h"\nafter = [{ step = "hang", gap = "3h" }]',
        'id = "look"\nwait = "1h"\nafter = [{ step = "rest", from = "start", gap = "1h" }]',
        'id = "last"\nwait = "1h"\nafter = [{ step = "rest", to = "finish" }]',
    )
    said = {link.id: link.text for link in asked(text, "one.look").chain}
    assert said["one.oil-2"] == (
        "waits for First coat to be ready for the next coat, then until host's next open hours"
    )
    assert (
        said["one.oil-2.dry"]
        == "begins when the coat is on; dries until it is dry enough to handle"
    )
    assert said["one.hang"].startswith("waits for Second coat to be dry enough to handle")
    assert said["one.rest"] == "waits until 3 h after hang"
    assert said["one.look"] == "waits until 1 h after rest starts"
    assert last(text, "one.last") == "must not end before rest is over"


def test_a_parcel_is_waited_for_until_it_has_settled_and_is_ordered_now() -> None:
    text = '[[parcel]]\nid = "boards"\ntitle = "Boards"\nlead = "3d"\nsettle = "48h"\n'
    text += steps('id = "cut"\nhands = "1h"\nafter = ["boards"]')
    chain = asked(text, "one.cut").chain
    assert [link.text for link in chain] == [
        "can be ordered now",
        "waits for Boards, 2 d after it comes (it settles), then until host's next open hours",
    ]
    ordered = text.replace('lead = "3d"', 'lead = "3d"\nordered = 2027-02-27')
    assert asked(ordered, "one.cut").chain[0].text == "on its way"
    here = text.replace('lead = "3d"', "arrived = 2027-02-28T12:00:00")
    assert asked(here, "one.cut").chain[0].text == "in hand, and settles"


def test_the_second_side_of_a_window_is_named_with_its_first() -> None:
    """The next coat inside the first hour or a day later; the builder's visit takes the hour."""
    text = steps(
        'id = "a"\ntitle = "First coat"\nhands = "1h"',
        'id = "b"\nhands = "3h"\none_go = true\n'
        'after = [{ step = "a", within = "1h", or_after = "24h" }]',
    )
    found = asked(text, "one.b")
    assert found.start == minutes(2, 19) or found.start == minutes(3, 18)
    assert (
        "until the second side of the window after First coat: 1 h were over"
        in found.chain[-1].text
    )


def test_work_that_must_be_followed_soon_starts_late_enough_for_it() -> None:
    text = steps(
        'id = "mix"\nwait = "10min"',
        'id = "pour"\ntitle = "Pour"\nhands = "1h"\nafter = [{ step = "mix", within = "30min" }]',
    )
    found = asked(text, "one.mix")
    assert found.start == minutes(1, 17, 20)
    assert found.chain[-1].text == "late enough for Pour to follow within 30 min"


@pytest.mark.parametrize(
    ("line", "head", "said"),
    [
        ("at = 2027-03-09T18:00:00", "", "has its own fixed moment"),
        ("not_before = 2027-03-09T18:00:00", "", "not before its own date"),
        ("", "may_start = 2027-03-09T18:00:00\n", "no work on this room may start earlier"),
        ('after = ["2027-03-zoo:release"]', "", "waits for the release of Zoo"),
    ],
)
def test_dates_are_told_apart(line: str, head: str, said: str) -> None:
    other = 'title = "Zoo"\nrelease = 2027-03-09T18:00:00\n'
    text = head + steps(f'id = "a"\nhands = "1h"\n{line}')
    found = asked(text, "one.a", others={"2027-03-zoo": other})
    assert found.start == minutes(9, 18)
    assert found.chain[-1].text == said


def test_facts_end_the_chain() -> None:
    text = steps(
        'id = "a"\nhands = "1h"\ndone = 2027-02-28',
        'id = "b"\nhands = "1h"\nstarted = 2027-02-28T18:00:00',
        'id = "c"\nhands = "1h"',
    )
    chain = asked(text, "one.c").chain
    assert [link.text for link in chain][:1] == ["has begun and goes on from now"]
    assert asked(text, "one.a").chain[0].text == "done"


# -- any season ------------------------------------------------------------------------------------

VAGUE = ("until the air in", "until its window opens", "until the next open hours")


@pytest.mark.parametrize("seed", range(300, 304))
def test_every_reason_of_a_generated_season_has_a_name(seed: int, tmp_path: Path) -> None:
    products = referee.products(MATERIALS)
    folder = generate.write(seed, 20, tmp_path / "season", products)
    planning = plan_season(read_season(folder, clock=0))
    judged = answer(planning)
    rows = {(episode.id, row.id): row for episode in judged.episodes for row in episode.steps}
    told = 0
    for key, row in rows.items():
        if row.state == "open" and row.kind in ("hands", "wait", "shot") and row.start is not None:
            chain = explain(planning, judged, *key).chain
            assert chain[-1].start == row.start
            assert not [link for link in chain if any(vague in link.text for vague in VAGUE)]
            told += _by_name(planning, rows, row, Waiting(planning, judged, rows))
    assert told > 0


def _by_name(
    planning: Planning, rows: dict[tuple[str, str], StepRow], row: StepRow, waiting: Waiting
) -> int:
    """How many reasons of people, gear and places a row has, each with a row behind it."""
    index = planning.network.index.get((row.episode, row.id), -1)
    placed = None if index < 0 else planning.plan.placed[index]
    kinds = [] if placed is None else [r.kind for r, _ in placed.reasons]
    held = [kind for kind in kinds if kind in ("person", "gear", "space")]
    if held and placed is not None:
        text, before = waiting.sentence(row, planning.network.activities[index], placed)
        assert before is not None, text
        assert (before.episode, before.id) in rows
    return len(held)
