"""Taking a thing out of a plan: what goes with it, and what waited for it waits for what it did.

The rule is that of `drop` in a way out: of A, B, C in a row without B remain A, C, and B's own
gaps and stages pass to C. Shots of a step that goes are gone too, and what only stood in for
them; a way out that named it names it no more, and goes if it then changes nothing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from episodes.files.editing import Edit, edited
from episodes.files.names import tables
from episodes.files.writing_links import Link, entry_replaced, gap_of, options_of, owner, passed_on
from episodes.files.writing_names import Mention, Register, episode_of, path_of, without_key
from episodes.files.writing_proof import require_gone
from episodes.files.writing_tables import take
from episodes.model.episode import Ref

_LINKS = frozenset(("after", "also_after"))
_CHANGES = ("parcel", "drop", "hands", "coat", "extra", "air", "where", "who", "use")
"""The keys by which a way out changes something."""

Thing = tuple[str, str]
"""What it is, and its id."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Removal:
    """What the removal of a thing does beside taking it out.

    Attributes:
        along: what goes with it, a job's own steps left out.
        waiting: ids of what waits for it and is bridged; `EPISODE:ID` in another episode.
        named: ids of the ways out that named it and name it no more.
    """

    along: tuple[Thing, ...]
    waiting: tuple[str, ...]
    named: tuple[str, ...]


def removal(texts: Mapping[str, str], file: str, kind: str, id: str) -> Removal:
    """What removing a thing would do; errors as `without`."""
    work = _Work(texts, file, kind, id)
    named = [each.id for each in work.to_mend if each.kind == "fallback"]
    waiting = [work.name_of(each) for each in work.to_mend if each.kind != "fallback"]
    text = texts[file]
    for step, before in work.next_in_row():
        if work.follows(text, step, before) != text:
            # Who follows by the file's order alone goes on doing so without a word.
            waiting.append(f"{work.episode}:{step}")
    here = f"{work.episode}:"
    return Removal(
        along=tuple(each for each in work.gone if each != (kind, id)),
        waiting=tuple(dict.fromkeys(each.removeprefix(here) for each in waiting)),
        named=tuple(dict.fromkeys(id for id in named if ("fallback", id) not in work.gone)),
    )


def without(texts: Mapping[str, str], file: str, kind: str, id: str) -> dict[str, str]:
    """The season's files without a thing of the episode in `file`.

    Raises:
        EditError: it is not there, or something is written in a way that cannot be edited.
        PlanError: a file is no TOML.
    """
    return _Work(texts, file, kind, id).done()


class _Work:
    """One removal: the things that go, the names that meant them, what stands for those.

    Attributes:
        gone: the tables that go.
        to_mend: every name, elsewhere, of something that goes.
    """

    def __init__(self, texts: Mapping[str, str], file: str, kind: str, id: str) -> None:
        self.register = Register(texts)
        path_of(texts[file], kind, id)
        self.file = file
        self.episode = episode_of(file)
        self._data = self.register.data[file]
        self._jobs = {
            str(job.get("id")): [dict(step) for _, step in tables(job, "step")]
            for _, job in tables(self._data, "job")
        }
        named = [(each, self.register.meaning(each)) for each in self.register.mentions()]
        self._named = [(each, ref) for each, ref in named if ref is not None]
        self.gone: list[Thing] = []
        self._refs: set[Ref] = set()
        self._let_go(kind, id)
        while self._take_along():
            pass
        self.to_mend = [
            each for each, ref in self._named if ref in self._refs and not self._goes(each)
        ]
        for way in self._idle_ways():
            self.gone.append(("fallback", way))

    # -- what goes

    def _let_go(self, kind: str, id: str) -> None:
        self.gone.append((kind, id))
        if kind == "job":
            self._refs.add(Ref("job", self.episode, id))
            names = [f"{id}.{step.get('id')}" for step in self._jobs.get(id, ())]
            self._refs |= {Ref("step", self.episode, name) for name in names}
        elif kind == "step" or kind == "parcel" or kind == "shot":
            self._refs.add(Ref(kind, self.episode, id))  # type: ignore[arg-type]

    def _take_along(self) -> bool:
        """Lets go what has nothing left to show or do: a shot, a job; whether there was one."""
        for job, steps in self._jobs.items():
            ids = [f"{job}.{step.get('id')}" for step in steps]
            left = [id for id in ids if Ref("step", self.episode, id) not in self._refs]
            if ids and not left and ("job", job) not in self.gone:
                self.gone = [each for each in self.gone if each[1] not in ids]
                self._let_go("job", job)
                return True
        for mention, ref in self._named:
            if mention.key in ("of", "covers") and ref in self._refs and not self._goes(mention):
                self._let_go("shot", mention.id)
                return True
        return False

    def _goes(self, mention: Mention) -> bool:
        """Whether the thing that names goes itself."""
        if mention.file != self.file:
            return False
        job = mention.id.partition(".")[0]
        owner = (mention.kind, mention.id)
        return owner in self.gone or (mention.kind == "step" and ("job", job) in self.gone)

    def _idle_ways(self) -> list[str]:
        """Ways out that change nothing once they name nothing that goes."""
        idle = []
        for _, way in tables(self._data, "fallback"):
            id = str(way.get("id"))
            lost = [each for each in self.to_mend if (each.kind, each.id) == ("fallback", id)]
            left = 0
            for key in _CHANGES:
                value = way.get(key)
                if value:
                    size = len(value) if isinstance(value, list | dict) else 1
                    left += max(size - sum(each.key == key for each in lost), 0)
            if lost and not left:
                idle.append(id)
        return idle

    # -- what it waited for

    def _waits_for(self, ref: Ref) -> list[Link]:
        """What a thing that goes waits for, in the order of the file."""
        found: list[Link] = []
        if ref.kind == "job":
            for step in self._jobs.get(ref.id, ()):
                found += self._waits_for(Ref("step", self.episode, f"{ref.id}.{step.get('id')}"))
            return [each for each in dict.fromkeys(found) if each.ref not in self._refs]
        found += self._links_of(ref.kind, ref.id)
        if ref.kind == "step":
            before = self._before_in_row(ref.id)
            if before is not None:
                found.insert(0, Link(Ref("step", self.episode, before)))
            elif not self._has_own_order(ref.id):
                found += self._links_of("job", ref.id.partition(".")[0])
        if ref.kind == "shot" and self._when(ref.id) == "after":
            found += [
                Link(of)
                for mention, of in self._named
                if (mention.file, mention.kind, mention.id) == (self.file, "shot", ref.id)
                and mention.key == "of"
            ]
        for mention, meant in self._named:
            if mention.key == "before" and meant == ref:
                found.append(Link(owner(mention)))
        return list(dict.fromkeys(found))

    def _when(self, shot: str) -> str:
        table = next(each for _, each in tables(self._data, "shot") if each.get("id") == shot)
        return str(table.get("when", "after"))

    def _links_of(self, kind: str, id: str) -> list[Link]:
        found = []
        for mention, ref in self._named:
            if (mention.file, mention.kind, mention.id) == (self.file, kind, id) and (
                mention.key in _LINKS
            ):
                found.append(Link(ref, options_of(self._data, mention)))
        return found

    def _step(self, id: str) -> dict[str, Any]:
        job, _, own = id.partition(".")
        return next((each for each in self._jobs.get(job, ()) if each.get("id") == own), {})

    def _has_own_order(self, id: str) -> bool:
        """Whether a step names one of its own job to come before it."""
        job = f"{id.partition('.')[0]}."
        links = self._links_of("step", id)
        return any(link.ref.kind == "step" and link.ref.id.startswith(job) for link in links)

    def _before_in_row(self, id: str) -> str | None:
        """The step that the file's order puts before it; None where it says itself, or is first."""
        job, _, own = id.partition(".")
        if "after" in self._step(id):
            return None
        ids = [str(each.get("id")) for each in self._jobs.get(job, ())]
        at = ids.index(own) if own in ids else 0
        return f"{job}.{ids[at - 1]}" if at else None

    def _instead(self, ref: Ref, gap: int = 0) -> list[Link]:
        """What is waited for in the place of something that goes, `gap` minutes after it."""
        found: list[Link] = []
        seen: set[Ref] = set()

        def follow(ref: Ref, gap: int) -> None:
            if ref in seen:
                return
            seen.add(ref)
            for link in self._waits_for(ref):
                if link.ref in self._refs:
                    follow(link.ref, gap + gap_of(link.options))
                else:
                    passed = Link(link.ref, passed_on(link.options, gap))
                    if passed not in found:
                        found.append(passed)

        follow(ref, gap)
        return found

    # -- who waits by the file's order alone

    def next_in_row(self) -> list[tuple[str, str]]:
        """(step, the step that goes before it) for steps that follow by the file's order alone."""
        found = []
        for job, steps in self._jobs.items():
            if ("job", job) in self.gone:
                continue
            last = ""
            for step in steps:
                id = f"{job}.{step.get('id')}"
                if Ref("step", self.episode, id) in self._refs:
                    last = id
                elif last:
                    if "after" not in step:
                        found.append((id, last))
                    last = ""
        return found

    # -- the texts

    def done(self) -> dict[str, str]:
        texts = dict(self.register.texts)
        for mention in reversed(self.to_mend):
            if (mention.kind, mention.id) not in self.gone:
                texts[mention.file] = self._mended(texts[mention.file], mention)
        for id, before in self.next_in_row():
            texts[self.file] = self.follows(texts[self.file], id, before)
        texts = self._what_it_came_before(texts)
        for kind, id in self.gone:
            path = path_of(texts[self.file], kind, id)
            index = path[-1]
            assert isinstance(index, int)
            texts[self.file], _ = take(texts[self.file], path[:-1], index, file=self.file)
        gone = {f"{kind} {id}" for kind, id in self.gone}
        before = self.register.texts[self.file]
        require_gone(before, texts[self.file], gone, " ".join(self.gone[0]), self.file)
        return texts

    def _mended(self, text: str, mention: Mention) -> str:
        """The text with what is waited for now in the place of a name that goes."""
        if mention.is_key:
            return without_key(text, mention)
        if mention.key in _LINKS:
            ref = self.register.meaning(mention)
            assert ref is not None
            links = self._instead(ref, gap_of(options_of(self._data_of(mention), mention)))
            new = self._entries(mention, links, self._others(mention))
        elif mention.key == "replaces":
            edit = Edit(kind="parcel", id=mention.id, key="replaces", value=None)
            return edited(text, [edit], file=mention.file)
        else:
            new = []
        keeps = mention.kind == "step" and mention.key == "after"
        first = not keeps or self._kept_before(mention.id, mention.file) is None
        return entry_replaced(text, mention, new, keeps_empty=not first)

    def _others(self, mention: Mention) -> set[Ref]:
        """What the same list waits for beside this, without more ado."""
        return {
            ref
            for each, ref in self._named
            if each.at[:4] == mention.at[:4] and ref not in self._refs and len(each.rest) == 1
        }

    def _entries(self, mention: Mention, links: Iterable[Link], there: set[Ref]) -> list[Any]:
        """Entries of a list for these links, spelled for its place; what is there is left out."""
        entries: list[Any] = []
        own = owner(mention)
        for link in links:
            if link.ref == own or (not link.options and link.ref in there):
                continue
            name = self.register.spelling(mention, link.ref)
            entry = {"step": name, **dict(link.options)} if link.options else name
            if entry not in entries:
                entries.append(entry)
        return entries

    def follows(self, text: str, id: str, before: str) -> str:
        """A step that followed one that goes by the file's order follows what that one did."""
        job = id.partition(".")[0]
        links = self._instead(Ref("step", self.episode, before))
        kept = self._kept_before(id, self.file)
        at_hand = Link(Ref("step", self.episode, kept)) if kept else None
        mention = Mention(self.file, "step", id, "also_after", (0,), "", job)
        there = {ref for each, ref in self._named
                 if each.at[:4] == mention.at[:4]}  # fmt: skip
        if at_hand is None:
            # It is the job's first step now, and the job's own `after` holds for it anyway.
            anyway = set() if self._has_own_order(id) else set(self._links_of("job", job))
            links = [link for link in links if link not in anyway]
        elif at_hand in links:
            links = [link for link in links if link != at_hand]
        else:
            entries = self._entries(mention, links, there)
            edit = Edit(kind="step", id=id, key="after", value=entries)
            return edited(text, [edit], file=self.file)
        for entry in self._entries(mention, links, there):
            edit = Edit(kind="step", id=id, key="also_after", value=entry, add=True)
            text = edited(text, [edit], file=self.file)
        return text

    def _kept_before(self, id: str, file: str) -> str | None:
        """The step before it in its job of those that stay."""
        job, _, own = id.partition(".")
        before = None
        for _, table in tables(self.register.data[file], "job"):
            for _, step in tables(table, "step") if table.get("id") == job else ():
                name = f"{job}.{step.get('id')}"
                if step.get("id") == own:
                    return before
                if Ref("step", episode_of(file), name) not in self._refs:
                    before = name
        return before

    def _what_it_came_before(self, texts: dict[str, str]) -> dict[str, str]:
        """What a step that goes named in its `before` waits for what that one waited for."""
        for mention, ref in self._named:
            goes = mention.key == "before" and mention.kind == "step" and self._goes(mention)
            if goes and ref not in self._refs and ref.kind != "release":
                links = self._instead(Ref("step", self.episode, mention.id))
                texts = self._let_wait(texts, ref, links)
        return texts

    def _let_wait(self, texts: dict[str, str], ref: Ref, links: Iterable[Link]) -> dict[str, str]:
        file = next(name for name in self.register.data if episode_of(name) == ref.episode)
        key = "after"
        if ref.kind == "step":
            job, _, own = ref.id.partition(".")
            data = next(each for _, each in tables(self.register.data[file], "job")
                        if each.get("id") == job)  # fmt: skip
            step = next(each for _, each in tables(data, "step") if each.get("id") == own)
            key = "after" if "after" in step else "also_after"
        job = ref.id.partition(".")[0] if ref.kind == "step" else ""
        mention = Mention(file, ref.kind, ref.id, key, (0,), "", job)
        there = {meant for each, meant in self._named if each.at[:4] == mention.at[:4]}
        for entry in self._entries(mention, links, there):
            edit = Edit(kind=ref.kind, id=ref.id, key=key, value=entry, add=True)  # type: ignore[arg-type]
            texts = {**texts, file: edited(texts[file], [edit], file=file)}
        return texts

    def _data_of(self, mention: Mention) -> Mapping[str, Any]:
        return self.register.data[mention.file]

    def name_of(self, mention: Mention) -> str:
        """The thing that names, as EPISODE:ID."""
        return f"{episode_of(mention.file)}:{mention.id}"
