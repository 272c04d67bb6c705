"""A form for a new thing: its id comes from its title until one is typed."""

from abc import abstractmethod
from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from episodes.screens.forms.desk import Desk
from episodes.screens.forms.fields import Field, Typed
from episodes.screens.forms.form import Form, Outcome

if TYPE_CHECKING:
    from episodes.files.writing import Kind, Op
    from episodes.model.episode import Episode, Fallback, Job, Parcel, Shot
    from episodes.screens.page import TargetKind


class AddForm(Form):
    """A new thing of an episode.

    Attributes:
        kind: what it is in the plan file; `what` in a word.
    """

    enters = "add"
    kind: "Kind"
    what = "thing"

    def __init__(
        self,
        desk: Desk,
        file: str,
        title: str,
        fields: Sequence[Field],
        *,
        taken: Collection[str],
        start: Mapping[str, str] | None = None,
        inherited: Mapping[str, str] | None = None,
    ) -> None:
        """
        Args:
            taken: ids that are borne.
            start: what stands in fields to begin with.
            inherited: by key, what holds while a field is empty.
        """
        given = start or {}
        typed = [Typed(field, None, start=given.get(field.key)) for field in fields]
        for each in typed:
            each.inherited = (inherited or {}).get(each.field.key, "")
        super().__init__(desk, file, title, typed)
        self.taken = frozenset(taken)
        self._start = {each.field.key: each.text for each in typed}
        self.typed()

    @property
    def touched(self) -> bool:
        return any(each.text != self._start[each.field.key] for each in self.fields)

    def typed(self) -> None:
        super().typed()
        self["id"].inherited = self.id

    @property
    def id(self) -> str:
        """Its own id: as typed, else made from the title."""
        from episodes.files.writing_lines import free_id

        return self.text("id") or free_id(self.text("title") or self.what, self.taken)

    @property
    def full_id(self) -> str:
        """Its id in the episode."""
        return self.id

    def subjects(self) -> frozenset[str]:
        return frozenset({self.full_id, self.id})

    @property
    def whose(self) -> str:
        return f'{self.kind} "{self.full_id}"'

    def entries(self) -> dict[str, Any]:
        """The table as it will stand in the file: the id first, what is empty left out."""
        given = {each.field.key: each.value for each in self.fields if each.field.key != "id"}
        return {"id": self.id, **{key: value for key, value in given.items() if value is not None}}

    @abstractmethod
    def ops(self) -> "list[Op]":
        """The changes that what is typed comes to."""

    def in_words(self) -> str:
        return f"{self.text('title') or self.id}: new {self.what}"

    def outcome(self) -> Outcome:
        from episodes.files.writing_names import episode_of

        kinds: dict[str, TargetKind] = {"step": "step", "box": "parcel", "shot": "shot"}
        kind = kinds.get(self.what, "episode")
        return Outcome(
            said=self.in_words(),
            episode=episode_of(self.file),
            kind=kind,
            id="" if kind == "episode" else self.full_id,
        )


class AddTableForm(AddForm):
    """A parcel, shot or way out more."""

    def ops(self) -> "list[Op]":
        from episodes.files.writing import AddTable

        return [AddTable(kind=self.kind, entries=self.entries())]


def borne(episode: "Episode | None") -> frozenset[str]:
    """The ids that jobs, parcels, shots and ways out of an episode share."""
    if episode is None:
        return frozenset({"release"})
    things: list[Job | Parcel | Shot | Fallback] = [*episode.jobs, *episode.parcels]
    things += [*episode.shots, *episode.fallbacks]
    return frozenset({"release", *(each.id for each in things)})
