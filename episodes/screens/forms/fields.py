"""The fields of a form: how each is called and its value typed, what it can be completed to."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from episodes.files.writing_words import ANY_OF, WORD, Form
from episodes.screens.forms.editor import Editor

MOST_OFFERED = 5
"""Completions shown at once."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A word that a field can be completed to, and what it stands for."""

    word: str
    means: str = ""


Offers = Callable[[], Sequence[Offer]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field.

    Attributes:
        key: the key of the plan file that it is the value of; of a field of another kind, its name.
        label: as it is shown; by default the key in words.
        form: how the value is typed.
        hint: what belongs here, in a line.
        choices: the words it may be; the arrow keys go through them.
        offers: what a name in it may be completed to.
        many: it takes several, between commas.
        head: a heading above it.
        fixed: it cannot be changed here; the hint says why.
    """

    key: str
    label: str = ""
    form: Form = WORD
    hint: str = ""
    choices: tuple[str, ...] = ()
    offers: Offers | None = None
    many: bool = False
    head: str = ""
    fixed: bool = False

    @property
    def shown(self) -> str:
        return self.label or self.key.replace("_", " ")


class Typed:
    """A field with what is typed in it.

    Attributes:
        was: the value in the file when the form was opened, or as last taken over from it.
        inherited: what holds while the field is empty, in words.
        faults: what the reader finds wrong with it.
        echo: what was understood of it.
    """

    def __init__(self, field: Field, was: Any, *, start: str | None = None) -> None:
        self.field = field
        self.was = was
        self.inherited = ""
        self.faults: tuple[str, ...] = ()
        self.echo = ""
        self.locked = field.fixed
        self._offered: list[Offer] = []
        self._taken = -1
        self._before = ""
        shown = field.form.text(was)
        if was not in (None, "") and field.form.value(shown) != was:
            # What cannot be typed here is left as it stands.
            self.locked = True
        self._was_shown = shown
        self.editor = Editor(shown if start is None else start)

    @property
    def text(self) -> str:
        return self.editor.text

    def rename(self, key: str) -> None:
        """Another key: a line that has moved among lines."""
        self.field = replace(self.field, key=key)

    @property
    def touched(self) -> bool:
        return not self.locked and self.text != self._was_shown

    @property
    def value(self) -> Any:
        """The value typed; the file's own where nothing was."""
        return self.field.form.value(self.text) if self.touched else self.was

    @property
    def changed(self) -> bool:
        """Whether another value is typed than the file has."""
        return self.touched and self.value != self.was

    def take_over(self, now: Any) -> bool:
        """Another value has come into the file; False where one is typed here that differs."""
        if now == self.was:
            return True
        mine, kept = self.value, self.touched
        self.was = now
        self._was_shown = self.field.form.text(now)
        if kept and mine != now:
            return False
        self.editor.set(self._was_shown)
        return True

    def put_back(self) -> None:
        """What the file has, again."""
        self.editor.set(self._was_shown)

    # -- choosing and completing

    def turn(self, by: int) -> None:
        """The next of the choices, or the one before."""
        words = ("", *self.field.choices)
        here = words.index(self.text) if self.text in words else 0
        self.editor.set(words[(here + by) % len(words)])

    def choose(self, letter: str) -> bool:
        """The next choice that begins with a letter."""
        words = self.field.choices
        here = words.index(self.text) if self.text in words else -1
        for word in (*words[here + 1 :], *words[: here + 1]):
            if word.startswith(letter.lower()):
                self.editor.set(word)
                return True
        return False

    @property
    def offered(self) -> tuple[Offer, ...]:
        """What the word at the cursor could become; nothing once it is one of them."""
        if self._taken >= 0:
            return tuple(self._offered)
        if self.field.offers is None or self.locked:
            return ()
        if self.editor.at != len(self.editor.letters):
            return ()
        word, _ = self._word()
        return tuple(matching(self.field.offers(), word)[:MOST_OFFERED])

    @property
    def taken(self) -> int:
        """Which of the offers stands in the field; -1 for none."""
        return self._taken

    def complete(self) -> bool:
        """Takes the first offer, or the next one; False where there is none to take."""
        if self._taken < 0:
            word, self._before = self._word()
            self._offered = list(self.offered) if word else []
        if not self._offered:
            return False
        self._taken = (self._taken + 1) % len(self._offered)
        self.editor.set(self._before + self._offered[self._taken].word)
        return True

    def settle(self) -> None:
        """What was completed stands; the next offers are for what is typed next."""
        self._taken = -1
        self._offered = []

    def _word(self) -> tuple[str, str]:
        """The word being typed, and what stands before it."""
        text = self.text
        cut = text.rfind(",") + 1 if self.field.many else 0
        rest = text[cut:]
        word = rest.strip()
        if " " in word and word.split(" ")[0] != ANY_OF:
            # Behind a name come words such as `gap 2h`: nothing to complete.
            return "\0", ""
        cut += rest.rfind(word) + (word.rfind(" ") + 1)
        before = text[:cut]
        return word.rpartition(" ")[2], before + (" " if before.endswith(",") else "")


def matching(offers: Sequence[Offer], word: str) -> list[Offer]:
    """The offers that a word could become: those that begin so first, then those with it inside.

    A word that is one of them already has none.
    """
    low = word.lower()
    if "\0" in low or any(each.word == word for each in offers):
        return []
    if not low:
        return list(offers)
    begun = [each for each in offers if each.word.lower().startswith(low)]
    inner = [
        each
        for each in offers
        if each not in begun and (low in each.word.lower() or low in each.means.lower())
    ]
    return begun + inner


def of_mapping(titles: Mapping[str, str]) -> list[Offer]:
    """Offers of ids with their titles."""
    return [Offer(id, title if title != id else "") for id, title in titles.items()]
