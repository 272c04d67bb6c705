"""The form of a way out that the host would accept, and its price."""

from episodes.files import writing_words as words
from episodes.screens.forms.add_form import AddTableForm, borne
from episodes.screens.forms.desk import Desk
from episodes.screens.forms.edit_form import EditForm
from episodes.screens.forms.fields import Field
from episodes.screens.forms.offers import Names


def fallback_fields(names: Names) -> list[Field]:
    """The fields of a way out, in the order in which they are asked for."""
    return [
        Field(key="title", form=words.TEXT, hint="What would be done: Pay for express."),
        Field(key="id", hint="Its name in the plan: lower-case letters, digits, -."),
        Field(key="cost", form=words.NUMBER, hint="What it costs more, all in all."),
        Field(key="loses", form=words.NUMBER, hint="What the film loses by it, 0 to 10."),
        Field(key="parcel", form=words.ORDERS, many=True, offers=names.of("parcels"),
              head="What it changes",
              hint="A new order: lumber = 1..2..3 workdays, or with by post."),
        Field(key="drop", form=words.NAMES, offers=names.of("things"), many=True,
              hint="What is left out: bench.wax, glue-up."),
        Field(key="hands", form=words.PAIRS, many=True, offers=names.of("steps"),
              hint="Other hands-on times: bench.cut = 1h."),
        Field(key="coat", form=words.PAIRS, many=True, offers=names.of("steps"),
              hint="Other products: bench.seal-1 = waterborne-polyurethane."),
        Field(key="where", form=words.PAIRS, many=True, offers=names.of("steps"),
              hint="Other places: bench.sand = laundry."),
        Field(key="who", form=words.WHOS, many=True, offers=names.of("steps"),
              hint="Somebody else: bench.cut = host and builder."),
        Field(key="extra", form=words.EXTRA, many=True, offers=names.of("people"),
              hint="Hours more: builder 2027-04-25 09:00-17:00."),
        Field(key="air", form=words.AIR, many=True, offers=names.of("spaces"),
              hint="Other air: workshop celsius 20 humidity 50."),
        Field(key="use", form=words.NAMES, offers=names.of("things"), many=True,
              hint="What is fallback_only and takes part then."),
        Field(key="note", form=words.TEXT, hint="A note of your own."),
    ]  # fmt: skip


class EditFallback(EditForm):
    """A way out that is there."""

    def __init__(self, desk: Desk, file: str, id: str) -> None:
        """Raises Refused where the file has no such way out."""
        fields = fallback_fields(Names(desk.season, desk.episode(file)))
        super().__init__(desk, file, "fallback", id, "Way out", fields)


class AddFallback(AddTableForm):
    """A way out more."""

    what = "way out"
    kind = "fallback"

    def __init__(self, desk: Desk, file: str) -> None:
        episode = desk.episode(file)
        super().__init__(
            desk, file, "New: a way out", fallback_fields(Names(desk.season, episode)),
            taken=borne(episode),
        )  # fmt: skip
