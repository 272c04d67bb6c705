"""The form of a parcel: something that must come."""

from typing import TYPE_CHECKING

from episodes.amounts import estimate_as_written
from episodes.files import writing_words as words
from episodes.screens.forms.add_form import AddTableForm, borne
from episodes.screens.forms.desk import Desk, Refused
from episodes.screens.forms.edit_form import EditForm
from episodes.screens.forms.fields import Field
from episodes.screens.forms.offers import Names
from episodes.screens.forms.step import DAY_OR, YES_NO

if TYPE_CHECKING:
    from episodes.files.writing import Op

USUAL_LEAD = "3..5..9 workdays"
"""A small box from a shop that has it: an estimate from memory."""


def parcel_fields(names: Names) -> list[Field]:
    """The fields of a parcel, in the order in which they are asked for."""
    return [
        Field(key="title", form=words.TEXT, hint="What comes, in a few words."),
        Field(key="id", hint="Its name in the plan: lower-case letters, digits, -. "
              "Renaming it renames it everywhere."),
        Field(key="lead", hint="From order to hand: 4..6..12 workdays, or elapsed, 3d..5d."),
        Field(key="carrier", offers=names.of("carriers"), hint="Who brings it."),
        Field(key="kind", choices=("delivery", "pickup", "made", "answer"),
              hint="A word for the screens: brought, fetched, made to order, a yes waited for."),
        Field(key="after", form=words.LINKS, offers=names.of("awaited"), many=True,
              hint="Not ordered before these are over: measure."),
        Field(key="cost", form=words.NUMBER, hint="What it costs; counts against the budget."),
        Field(key="settle", hint="Wait after it has come before it can be used: 48h."),
        Field(key="return_within", hint="How long it can be sent back, from arrival: 30d."),
        Field(key="replaces", offers=names.of("parcels"),
              hint="Takes the place of another parcel wherever that is waited for."),
        Field(key="optional", form=words.FLAG, choices=YES_NO,
              hint="The release does not wait for it."),
        Field(key="fallback_only", form=words.FLAG, choices=YES_NO,
              hint="Takes part only with a way out that uses it."),
        Field(key="not_before", form=words.MOMENT, hint=f"Ordered no earlier: {DAY_OR}."),
        Field(key="not_after", form=words.MOMENT, hint=f"In hand no later: {DAY_OR}."),
        Field(key="note", form=words.TEXT, hint="A note of your own."),
        Field(key="link", hint="Where to look: an address."),
    ]  # fmt: skip


def fact_fields() -> list[Field]:
    """What has happened to a parcel; for putting a slip of the pen right."""
    day = "A day or an instant, 2027-04-02 18:30"
    return [
        Field(key="ordered", form=words.MOMENT, head="Facts", hint=f"{day}."),
        Field(key="promised", form=words.MOMENT, hint=f"{day}: when it is to come."),
        Field(key="arrived", form=words.MOMENT, hint=f"{day}."),
        Field(key="failed", choices=("damaged", "wrong", "short"), hint="Why it can't be used."),
        Field(key="returned", form=words.MOMENT, hint=f"{day}: sent back."),
        Field(key="paid", form=words.NUMBER, hint="What it really cost."),
        Field(key="refunded", form=words.NUMBER, hint="What came back of it."),
        Field(key="dropped", form=words.MOMENT, hint="The day on which it was given up."),
    ]


class EditParcel(EditForm):
    """A parcel that is there."""

    def __init__(self, desk: Desk, file: str, id: str) -> None:
        """Raises Refused where the file has no such parcel."""
        episode = desk.episode(file)
        found = next((each for each in (episode.parcels if episode else ()) if each.id == id), None)
        inherited = {"kind": "delivery"}
        if found is not None:
            inherited |= {"kind": found.kind, "carrier": found.carrier or ""}
            if found.lead is not None:
                lead = estimate_as_written(found.lead.amount, workdays=found.lead.workdays)
                inherited["lead"] = lead
        fields = [*parcel_fields(Names(desk.season, episode)), *fact_fields()]
        super().__init__(desk, file, "parcel", id, "What must come", fields, inherited=inherited)


class AddParcel(AddTableForm):
    """A parcel more; with a step that waits for it, if one was selected."""

    what = "box"
    kind = "parcel"

    def __init__(self, desk: Desk, file: str, step: str = "") -> None:
        """
        Args:
            step: id of the step that is proposed to wait for it, "" for none.
        """
        episode = desk.episode(file)
        names = Names(desk.season, episode)
        waits = Field(key="needed by", offers=names.of("steps"), many=True, form=words.NAMES,
                      hint="The steps that wait for it: bench.cut, bench.fit.")  # fmt: skip
        fields = parcel_fields(names)
        fields.insert(3, waits)
        carriers = desk.season.studio.carriers
        start = {"lead": USUAL_LEAD, "needed by": step}
        if carriers:
            start["carrier"] = carriers[0].id
        super().__init__(
            desk, file, "New: what must come", fields, taken=borne(episode), start=start,
            inherited={"kind": "delivery"},
        )  # fmt: skip

    def entries(self) -> dict[str, object]:
        entries = super().entries()
        entries.pop("needed by", None)
        return entries

    def ops(self) -> "list[Op]":
        from episodes.files.writing import AddLink

        found = super().ops()
        for step in words.listed(self.text("needed by")):
            # A step with its own order gets it there, another one on top of the file's order.
            key = "after" if self._has_after(step) else "also_after"
            found.append(AddLink(kind="step", id=step, key=key, value=self.id))
        return found

    def _has_after(self, step: str) -> bool:
        try:
            return "after" in self.desk.table(self.file, "step", step)
        except Refused:
            return False
