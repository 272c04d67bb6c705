"""The camera: shots by when they are planned, and after what each is gone for good."""

from dataclasses import replace

from tests.screens.hand_engine import HandEngine
from tests.screens.season_by_hand import season
from tests.screens.stand import stand


class Filmed(HandEngine):
    """One shot on a single card, one copied, one lost, besides those to take."""

    def shots(self, answer):
        first, second = super().shots(season())

        def like(id, **more):
            row = replace(first.row, id=id, title=id, state="done")
            return replace(first, row=row, **more)

        return (
            like("one-card", taken=True),
            like("safe", taken=True, backed_up=True),
            like("gone", lost=True),
            first,
            second,
        )


async def test_a_shot_that_cannot_be_taken_again_says_after_what_it_is_gone():
    async with stand(size=(100, 30)) as app:
        await app.press("5")
        assert "Mon 19 Apr 20:15" in app.row("Raw joints")
        assert app.foot[1] == "Gone when Tiled splash: Set the tiles starts."
        assert "can be retaken" in app.row("Reveal: wide")


async def test_what_is_on_one_card_only_stays_in_sight_and_what_is_copied_is_folded():
    async with stand(engine=Filmed()) as app:
        await app.press("5")
        assert "NO COPY" in app.row("one-card")
        assert "LOST" in app.row("◉ gone")
        assert "◉ safe" not in app.text
        await app.press("G", "enter")
        assert "◉ safe" in app.text


async def test_a_second_copy_and_a_loss_are_written():
    engine = Filmed()
    steps = engine.base.episodes[0].steps
    extra = tuple(line.row for line in engine.shots(engine.base)[:3])
    laundry = replace(engine.base.episodes[0], steps=steps + extra)
    engine.base = replace(engine.base, episodes=(laundry, *engine.base.episodes[1:]))
    async with stand(engine=engine) as app:
        await app.press("5", "b", "L")
        written = [(fact.id, fact.key, str(fact.value)) for facts, _ in app.notes.written
                   for fact in facts]  # fmt: skip
        assert written == [("one-card", "backed_up", "True"), ("one-card", "lost", "2027-04-13")]


async def test_a_shot_not_taken_can_be_neither_copied_nor_lost():
    async with stand() as app:
        await app.press("5", "b")
        assert app.foot[1] == "Only a shot that is taken can be copied or lost."
        assert app.notes.written == []


async def test_enter_opens_the_shot_on_the_run_up():
    async with stand() as app:
        await app.press("5", "enter")
        assert app.app.page.name == "runup"
        assert app.app.page.target().id == "raw-joints"
