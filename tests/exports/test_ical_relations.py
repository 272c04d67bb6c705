"""How entries are related: children of their release, and the plan's links in the earlier one.

The direction is RFC 9253 section 4's: the predecessor bears the property and names the successor.
"""

from dataclasses import replace

from episodes.answers.precedence import Precedence
from episodes.answers.rows import CheckAnswer
from episodes.exports.ical import CalendarFile, calendar_file
from episodes.exports.ical_entries import Options
from tests.exports.calendar_answers import NOW, answer, at, episode, hands, parcel, season
from tests.reference.rfc5545 import Component, read

ROOM = "2027-05-laundry"
TUESDAY = (at("2027-04-13 18:30"), at("2027-04-13 20:00"))
WEDNESDAY = (at("2027-04-14 18:30"), at("2027-04-14 20:00"))
THURSDAY = (at("2027-04-15 18:30"), at("2027-04-15 20:00"))
FRIDAY = (at("2027-04-16 18:30"), at("2027-04-16 20:00"))
BOARDS = at("2027-04-12 18:00")


def link(earlier: str, later: str, **more: object) -> Precedence:
    return Precedence(earlier=(ROOM, earlier), later=(ROOM, later), **more)  # type: ignore[arg-type]


def export(
    a: CheckAnswer,
    *links: Precedence,
    earlier: CalendarFile | None = None,
    options: Options | None = None,
) -> CalendarFile:
    made = calendar_file(
        a,
        season(),
        now=a.now,
        earlier=None if earlier is None else earlier.data,
        options=options,
        links=links,
    )
    assert read(made.data).faults == []
    return made


def said(made: CalendarFile) -> set[tuple[str, str, str, str]]:
    """(title of the bearer, RELTYPE, title of the one it names, GAP)."""
    entries = {entry.text("UID"): entry for entry in read(made.data).entries}
    return {
        (
            entry.text("SUMMARY"),
            related.parameters.get("RELTYPE", "PARENT"),
            entries[related.text].text("SUMMARY"),
            related.parameters.get("GAP", ""),
        )
        for entry in entries.values()
        for related in entry.all("RELATED-TO")
    }


def in_time(made: CalendarFile) -> set[tuple[str, str, str, str]]:
    return {one for one in said(made) if one[1] != "PARENT"}


def one(made: CalendarFile, text: str) -> Component:
    (found,) = [entry for entry in read(made.data).entries if text in entry.text("SUMMARY")]
    return found


def test_everything_but_the_release_is_its_child() -> None:
    boards = parcel("boards", order_by=NOW + 9000)
    made = export(answer(episode([hands("cut", TUESDAY, WEDNESDAY)], [boards])))
    assert said(made) == {
        (title, "PARENT", "Release: Laundry room", "")
        for title in (
            "Folding bench: Cut (1 of 2)",
            "Folding bench: Cut (2 of 2)",
            "Order by: The boards",
        )
    }


def test_the_last_session_of_the_earlier_one_names_the_first_of_the_later_one() -> None:
    rows = [hands("cut", TUESDAY, WEDNESDAY), hands("seal", THURSDAY, FRIDAY)]
    made = export(answer(episode(rows)), link("bench.cut", "bench.seal", gap_min=120))
    assert in_time(made) == {
        (
            "Folding bench: Cut (2 of 2)",
            "FINISHTOSTART",
            "Folding bench: Seal (1 of 2)",
            "PT2H",
        )
    }


def test_each_pair_of_points_has_its_own_type() -> None:
    rows = [hands("cut", TUESDAY), hands("seal", THURSDAY)]
    for from_, to, type_ in (
        ("start", "start", "STARTTOSTART"),
        ("finish", "finish", "FINISHTOFINISH"),
        ("start", "finish", "STARTTOFINISH"),
    ):
        made = export(answer(episode(rows)), link("bench.cut", "bench.seal", from_=from_, to=to))
        assert {one[1] for one in in_time(made)} == {type_}


def test_an_arrival_is_the_moment_at_which_it_begins_and_an_order_the_one_at_which_it_ends() -> (
    None
):
    boards = parcel("boards", state="started", ordered=NOW - 9, arrives=BOARDS)
    hinges = parcel("hinges", order_by=at("2027-04-14 20:00"))
    rows = [hands("cut", (BOARDS, BOARDS + 60)), hands("measure", WEDNESDAY)]
    made = export(
        answer(episode(rows, [boards, hinges])),
        link("boards", "bench.cut"),
        link("bench.measure", "hinges"),
        link("hinges", "bench.cut"),
    )
    # The order by is a last moment and no planned order: nothing waits for it.
    assert in_time(made) == {
        ("Arrives: The boards", "STARTTOSTART", "Folding bench: Cut", ""),
        ("Folding bench: Measure", "FINISHTOFINISH", "Order by: The hinges", ""),
    }


def test_a_coat_names_its_drying_where_waits_are_shown() -> None:
    dry = replace(
        hands("seal.dry", (TUESDAY[1], TUESDAY[1] + 600)), kind="dry", title="Drying", who=()
    )
    rows = [hands("seal", TUESDAY), dry, hands("seal-again", WEDNESDAY, title="Seal again")]
    made = export(
        answer(episode(rows)),
        link("bench.seal", "bench.seal-again", gap_min=600),
        options=Options(waits=True),
    )
    assert {(one[0], one[2], one[3]) for one in in_time(made)} == {
        ("Folding bench: Seal", "Folding bench: Drying", ""),
        ("Folding bench: Seal", "Folding bench: Seal again", "PT10H"),
    }


def test_a_link_out_of_the_file_is_left_out() -> None:
    rows = [hands("cut", TUESDAY), hands("seal", THURSDAY, who=("host",))]
    made = export(
        answer(episode(rows)),
        link("bench.cut", "bench.seal"),
        link("bench.cut", "bench.gone"),
        options=Options(person="builder"),
    )
    assert in_time(made) == set()


def test_a_link_that_facts_have_overtaken_is_left_out() -> None:
    cut = hands("cut", state="done", start=NOW - 200, finish=NOW - 100)
    seal = hands("seal", state="done", start=NOW - 400, finish=NOW - 300)
    made = export(answer(episode([cut, seal])), link("bench.cut", "bench.seal"))
    assert in_time(made) == set()


def test_a_private_file_has_no_relations() -> None:
    rows = [hands("cut", TUESDAY), hands("seal", THURSDAY)]
    a = answer(episode(rows))
    made = export(
        a, link("bench.cut", "bench.seal"), earlier=export(a), options=Options(private=True)
    )
    assert b"RELATED-TO" not in made.data


def test_a_changed_link_counts_as_a_change_of_the_one_that_bears_it_alone() -> None:
    rows = [hands("cut", TUESDAY), hands("seal", THURSDAY), hands("fit", FRIDAY)]
    a = answer(episode(rows))
    before = export(a, link("bench.cut", "bench.fit"))
    after = export(
        replace(a, now=NOW + 60),
        link("bench.cut", "bench.fit"),
        link("bench.cut", "bench.seal"),
        earlier=before,
    )
    assert str(after.counts) == "1 changed, 3 unchanged"
    assert one(after, "Cut").text("SEQUENCE") == "1"


def test_what_is_gone_is_named_by_nobody_any_more() -> None:
    rows = [hands("cut", TUESDAY), hands("seal", THURSDAY)]
    before = export(answer(episode(rows)), link("bench.cut", "bench.seal"))
    gone = replace(answer(episode(rows[:1])), now=NOW + 60)
    after = export(gone, link("bench.cut", "bench.seal"), earlier=before)
    assert in_time(after) == set()
    assert one(after, "Seal").text("STATUS") == "CANCELLED"
    assert one(after, "Seal").all("RELATED-TO") == []
    assert str(after.counts) == "1 changed, 1 cancelled, 1 unchanged"


def test_a_session_that_is_over_keeps_its_relations_byte_for_byte() -> None:
    rows = [hands("cut", TUESDAY), hands("seal", THURSDAY)]
    before = export(answer(episode(rows)), link("bench.cut", "bench.seal"))
    done = hands("cut", state="done", start=TUESDAY[0], finish=TUESDAY[1])
    later = answer(episode([done, rows[1]]), now=TUESDAY[1] + 60)
    after = export(later, link("bench.cut", "bench.seal"), earlier=before)
    assert after.data == before.data


def test_what_stays_of_another_episode_names_nothing_that_has_left_the_file() -> None:
    other = "2027-02-hall"
    out = at("2027-02-05 09:00")
    tidy = replace(hands("tidy", (out + 40 * 1440, out + 40 * 1440 + 60)), episode=other)
    past = episode([tidy], id=other, title="Hall", release=out)
    first = calendar_file(answer(past, now=out - 9), season(others=[other]), now=out - 9)
    now = out + 100 * 1440
    # Its release is long past and leaves the file; its last step does not yet.
    later = calendar_file(
        answer(episode(), now=now), season(others=[other]), now=now, earlier=first.data
    )
    found = read(later.data)
    assert found.faults == []
    titles = {entry.text("SUMMARY") for entry in found.entries}
    assert titles == {"bench: Tidy", "Release: Laundry room"}


def test_an_export_of_one_episode_keeps_the_links_into_another() -> None:
    other = "2027-06-porch"
    there = replace(hands("fit", FRIDAY), episode=other)
    both = answer(episode([hands("cut", TUESDAY)]), episode([there], id=other, title="Porch"))
    links = [Precedence(earlier=(ROOM, "bench.cut"), later=(other, "bench.fit"))]

    def made(a: CheckAnswer, earlier: CalendarFile | None = None) -> CalendarFile:
        return calendar_file(
            a,
            season(others=[other]),
            now=a.now,
            earlier=None if earlier is None else earlier.data,
            links=links,
        )

    whole = made(both)
    assert b"FINISHTOSTART" in whole.data
    assert made(answer(both.episodes[0]), whole).data == whole.data
    assert read(whole.data).faults == []
