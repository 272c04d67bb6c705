"""A strict look at a page, written from the HTML standard and WCAG 2.2 for what the sheet uses.

It shares no code with the writer: the standard library's tokenizer and a stack. Whatever is not on
the list of elements and attributes is a fault, so that nothing which could run, fetch or send can
hide in a page. Sections of the standard are named where a fault is told.
"""

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = frozenset({"meta", "br"})
GLOBAL = frozenset({"id", "class", "aria-labelledby", "aria-label", "tabindex"})
SHAPE = frozenset(
    {
        *("x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "width", "height", "fill", "stroke"),
        *("stroke-width", "stroke-dasharray", "text-anchor", "font-size", "font-weight"),
    }
)
ELEMENTS: dict[str, frozenset[str]] = {
    "html": frozenset({"lang"}),
    "meta": frozenset({"charset", "http-equiv", "name", "content"}),
    "th": frozenset({"scope", "colspan"}),
    "a": frozenset({"href", "rel"}),
    "svg": frozenset({"xmlns", "viewbox", "width", "height", "role", "font-family", "font-size"}),
    "pattern": frozenset({"width", "height", "patternunits", "patterntransform"}),
    **dict.fromkeys(("rect", "circle", "line", "text"), SHAPE),
    **dict.fromkeys(
        (
            *("head", "title", "style", "body", "header", "main", "footer", "section"),
            *("h1", "h2", "h3", "p", "span", "ul", "li", "br"),
            *("table", "caption", "thead", "tbody", "tr", "td", "g", "defs", "desc"),
        ),
        frozenset(),
    ),
}
PARENTS = {
    "tr": {"thead", "tbody"},
    "td": {"tr"},
    "th": {"tr"},
    "caption": {"table"},
    "thead": {"table"},
    "tbody": {"table"},
    "li": {"ul"},
}
"""HTML section 4.9 and 4.4.8: what may stand only where."""


@dataclass
class Element:
    """An element; a piece of text is one too, without a name."""

    name: str
    attributes: dict[str, str] = field(default_factory=dict)
    own: str = ""
    content: "list[Element]" = field(default_factory=list)

    @property
    def parts(self) -> "list[Element]":
        return [part for part in self.content if part.name]

    @property
    def text(self) -> str:
        """The text directly within."""
        return "".join(part.own for part in self.content if not part.name)

    def all(self, name: str) -> "list[Element]":
        found = [part for part in self.parts if part.name == name]
        for part in self.parts:
            found += part.all(name)
        return found

    @property
    def words(self) -> str:
        """All text within, in its order, one space between."""
        inner = [part.words if part.name else part.own for part in self.content]
        return " ".join(" ".join(inner).split())


class Page(HTMLParser):
    """A page taken apart; `faults` says what is wrong with it."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.faults: list[str] = []
        self.root = Element("root")
        self.stack = [self.root]
        self.doctype = ""
        self.feed(text)
        self.close()
        if len(self.stack) > 1:
            self.faults.append(f"<{self.stack[-1].name}> has no end")
        self._document()

    def all(self, name: str) -> list[Element]:
        return self.root.all(name)

    # ------------------------------------------------------------ tokens, HTML section 13

    def handle_decl(self, decl: str) -> None:
        self.doctype = decl

    def unknown_decl(self, data: str) -> None:
        self.faults.append(f"a declaration in the text: {data[:30]}")

    def handle_pi(self, data: str) -> None:
        self.faults.append(f"an instruction in the text: {data[:30]}")

    def handle_comment(self, data: str) -> None:
        self.faults.append(f"a comment: {data[:30]}")

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._open(tag, attrs)
        if tag in VOID:
            self.stack.pop()

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._open(tag, attrs)
        if not any(element.name == "svg" for element in self.stack):
            self.faults.append(f"<{tag}/> closes itself outside a picture (13.1.2.1)")
        self.stack.pop()

    def _open(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if tag not in ELEMENTS:
            self.faults.append(f"<{tag}> is not on the list")
        for name in names:
            if name not in GLOBAL and name not in ELEMENTS.get(tag, frozenset()):
                self.faults.append(f"{name} on <{tag}> is not on the list")
        if len(set(names)) < len(names):
            self.faults.append(f"an attribute twice on <{tag}> (13.1.2.3)")
        if tag in PARENTS and self.stack[-1].name not in PARENTS[tag]:
            self.faults.append(f"<{tag}> inside <{self.stack[-1].name}> (4.9)")
        element = Element(tag, {name: value or "" for name, value in attrs})
        self.stack[-1].content.append(element)
        self.stack.append(element)

    def handle_endtag(self, tag: str) -> None:
        if len(self.stack) < 2 or self.stack[-1].name != tag:
            self.faults.append(f"</{tag}> ends <{self.stack[-1].name}> (13.1.2.2)")
            if not any(element.name == tag for element in self.stack[1:]):
                return
            while self.stack[-1].name != tag:
                self.stack.pop()
        self.stack.pop()

    def handle_data(self, data: str) -> None:
        self.stack[-1].content.append(Element("", own=data))
        if any(ord(sign) < 0x20 and sign not in "\n\t" for sign in data):
            self.faults.append("a control character (13.1.3)")

    # ------------------------------------------------------------ the document

    def _document(self) -> None:
        if self.doctype.lower() != "doctype html":
            self.faults.append("no doctype (13.1.1)")
        (html,) = self.all("html") or [Element("html")]
        if not html.attributes.get("lang"):
            self.faults.append("no language (WCAG 3.1.1)")
        heads = [
            title for head in self.all("head") for title in head.parts if title.name == "title"
        ]
        if len(heads) != 1 or not heads[0].words:
            self.faults.append("no title (WCAG 2.4.2)")
        for name in ("main", "h1"):
            if len(self.all(name)) != 1:
                self.faults.append(f"{len(self.all(name))} <{name}> (WCAG 1.3.1)")
        self._ids()
        self._headings()
        self._tables()
        for link in self.all("a"):
            href = link.attributes.get("href", "")
            if not href.startswith(("http://", "https://", "#")):
                self.faults.append(f"a link to {href[:30]}")
            if not link.words:
                self.faults.append("a link without a name (WCAG 2.4.4)")

    def _ids(self) -> None:
        ids = [
            element.attributes["id"] for element in _every(self.root) if "id" in element.attributes
        ]
        self.faults += [f"id {id} twice (3.2.6)" for id in set(ids) if ids.count(id) > 1]
        for element in _every(self.root):
            named = element.attributes.get("aria-labelledby", "").split()
            target = element.attributes.get("href", "")
            named += [target[1:]] if target.startswith("#") else []
            self.faults += [f"no element has the id {id}" for id in named if id not in ids]

    def _headings(self) -> None:
        level = 0
        for element in _every(self.root):
            if element.name in ("h1", "h2", "h3"):
                here = int(element.name[1])
                if here > level + 1:
                    self.faults.append(f"<h{here}> below level {level} (WCAG 1.3.1)")
                if not element.words:
                    self.faults.append("an empty heading (WCAG 2.4.6)")
                level = here

    def _tables(self) -> None:
        for table in self.all("table"):
            if not table.parts or table.parts[0].name != "caption" or not table.parts[0].words:
                self.faults.append("a table without a caption (4.9.2)")
            for head in table.all("th"):
                if head.attributes.get("scope") not in ("col", "rowgroup", "row"):
                    self.faults.append("a table header without scope (WCAG 1.3.1)")
                if not head.words:
                    self.faults.append("an empty table header (WCAG 1.3.1)")
            widths = {
                sum(int(cell.attributes.get("colspan", "1")) for cell in row.parts)
                for row in table.all("tr")
            }
            if len(widths) != 1:
                self.faults.append(f"rows of {sorted(widths)} cells (4.9.12)")
        for picture in self.all("svg"):
            names = [part.name for part in picture.parts[:2]]
            if picture.attributes.get("role") != "img" or names != ["title", "desc"]:
                self.faults.append("a picture without a text in its place (WCAG 1.1.1)")


def _every(element: Element) -> list[Element]:
    """All elements in the document's order."""
    found = []
    for part in element.parts:
        found += [part, *_every(part)]
    return found
