"""The form of a link: what must be over before something, and how far apart."""

from typing import TYPE_CHECKING, Any

from episodes.files import writing_words as words
from episodes.screens.forms.desk import Desk, Refused
from episodes.screens.forms.fields import Field, Typed
from episodes.screens.forms.form import Form, Outcome
from episodes.screens.forms.offers import Names

if TYPE_CHECKING:
    from episodes.files.writing import Op
    from episodes.problems import Problem
    from episodes.screens.page import TargetKind

_KINDS = ("step", "parcel", "shot", "job")


class AddLinkForm(Form):
    """One more entry of what a step, parcel, shot or job waits for."""

    enters = "add"

    def __init__(self, desk: Desk, file: str, kind: str, id: str) -> None:
        """Raises Refused where there is no such thing."""
        table = desk.table(file, kind, id)
        episode = desk.episode(file)
        self.kind = kind
        self.id = id
        # On top of the file's order, unless the step has an order of its own.
        self.key = "also_after" if kind == "step" and "after" not in table else "after"
        self._name = str(table.get("title", id))
        job = id.partition(".")[0] if kind == "step" else ""
        names = Names(desk.season, episode, job)
        fields = [
            Field(key="waits for", offers=names.of("awaited"),
                  hint="What must be over first: lumber, bench.cut, 2027-06-porch:bench.cut."),
            Field(key="gap", hint="At least so long between: 2h."),
            Field(key="within", hint="Starts no later than so long after: 1h."),
            Field(key="or_after", hint="With within: inside it, or not before this: 24h."),
            Field(key="stage", choices=("touch", "recoat", "handle", "cure"),
                  hint="Of a coat: the drying stage that is waited for."),
            Field(key="from", choices=("start", "finish"), hint="Counts from its start or finish."),
            Field(key="to", choices=("start", "finish"), hint="Bounds its start or its finish."),
        ]  # fmt: skip
        typed = [Typed(field, None) for field in fields]
        super().__init__(desk, file, f"{self._name} waits for ..", typed)
        self["from"].inherited = "finish"
        self["to"].inherited = "start"

    def subjects(self) -> frozenset[str]:
        return frozenset({self.id})

    def entry(self) -> Any:
        """The entry as it will stand in the file."""
        name = self.text("waits for")
        more = {each.field.key: each.text.strip() for each in self.fields[1:] if each.text.strip()}
        return {"step": name, **more} if more else name

    def ops(self) -> "list[Op]":
        from episodes.files.writing import AddLink

        if not self.text("waits for"):
            return []
        return [AddLink(kind=self.kind, id=self.id, key=self.key, value=self.entry())]  # type: ignore[arg-type]

    def nothing(self) -> Outcome | None:
        self.said = "Name what it waits for; Esc leaves."
        return None

    def field_of(self, problem: "Problem") -> str:
        key = super().field_of(problem)
        return "waits for" if key in ("after", "also_after") else key

    @property
    def whose(self) -> str:
        return f'{self.kind} "{self.id}"'

    def in_words(self) -> str:
        return f"{self._name}: waits for {words.show_link(self.entry())}"

    def outcome(self) -> Outcome:
        from episodes.files.writing_names import episode_of

        kinds: dict[str, TargetKind] = {"step": "step", "parcel": "parcel", "shot": "shot"}
        kind = kinds.get(self.kind, "episode")
        return Outcome(
            said=self.in_words(), episode=episode_of(self.file), kind=kind,
            id=self.id if kind != "episode" else "",
        )  # fmt: skip


def kind_of(desk: Desk, file: str, id: str) -> str:
    """What an id of an episode is. Raises Refused where it is nothing that waits."""
    for kind in _KINDS:
        try:
            desk.table(file, kind, id)
        except Refused:
            continue
        return kind
    raise Refused(f'"{id}" waits for nothing here')
