"""A form over a thing that is in the files: only what is typed in it is written."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from episodes.screens.forms.desk import Desk, Refused
from episodes.screens.forms.fields import Field, Typed
from episodes.screens.forms.form import Form, Outcome

if TYPE_CHECKING:
    from episodes.files.writing import Kind, Op


class EditForm(Form):
    """A thing that is there: a field for each of its keys, with what the file says in it."""

    def __init__(
        self,
        desk: Desk,
        file: str,
        kind: "Kind | str",
        id: str,
        title: str,
        fields: Sequence[Field],
        *,
        inherited: Mapping[str, str] | None = None,
    ) -> None:
        """Raises Refused where the file has no such thing."""
        table = desk.table(file, kind, id)
        typed = [Typed(field, table.get(field.key)) for field in fields]
        for each in typed:
            each.inherited = (inherited or {}).get(each.field.key, "")
        super().__init__(desk, file, title, typed)
        self.kind = kind
        self.id = id

    def subjects(self) -> frozenset[str]:
        new = self.new_id
        return frozenset({self.id, new, new.rpartition(".")[2]})

    @property
    def whose(self) -> str:
        return f'{self.kind} "{self.new_id}"'

    @property
    def new_id(self) -> str:
        """Its id with what is typed."""
        own = self.text("id")
        if self.kind == "episode" or not own:
            return self.id
        job, dot, _ = self.id.rpartition(".")
        return f"{job}{dot}{own}"

    def ops(self) -> "list[Op]":
        from episodes.files.writing import Put, Rename

        found: list[Op] = []
        rename: list[Op] = []
        for each in self.fields:
            if not each.changed:
                continue
            key, value = each.field.key, each.value
            if key == "id" and self.kind != "episode":
                new = each.text.strip()
                rename.append(Rename(kind=self.kind, id=self.id, new=new))  # type: ignore[arg-type]
            else:
                found.append(Put(kind=self.kind, id=self.id, key=key, value=value))  # type: ignore[arg-type]
        # What is removed goes first: of `hands` and `wait` only one may stand at a time.
        found.sort(key=lambda op: not (isinstance(op, Put) and op.value is None))
        return found + rename

    def in_words(self) -> str:
        changed = [each.field.shown for each in self.fields if each.changed]
        return f"{self.name}: {', '.join(changed)}"

    @property
    def name(self) -> str:
        """What the thing is called."""
        return self.text("title") or self.new_id

    def outcome(self) -> Outcome:
        from episodes.files.writing_names import episode_of

        return Outcome(
            said=self.in_words(),
            episode=episode_of(self.file),
            kind="episode" if self.kind in ("episode", "job", "fallback") else self.kind,  # type: ignore[arg-type]
            id="" if self.kind in ("episode", "job", "fallback") else self.new_id,
        )

    def changed_outside(self) -> str:
        try:
            table: dict[str, Any] = self.desk.table(self.file, self.kind, self.id)
        except Refused as error:
            return f"Changed outside meanwhile: {error}."
        taken, both = [], []
        for each in self.fields:
            now = table.get(each.field.key)
            if now == each.was:
                continue
            if each.take_over(now):
                taken.append(each.field.shown)
            else:
                said = each.field.form.text(now) or "empty"
                both.append(f"{each.field.shown} is {said} there now")
        if both:
            return f"Changed outside meanwhile: {'; '.join(both)}. Enter writes yours over it."
        if taken:
            return f"Changed outside meanwhile, and taken over here: {', '.join(taken)}."
        return ""
