"""What is what on the pages of a PDF, for programs that read aloud (ISO 32000-1, 14.7 and 14.8).

Elements that stand on one page go out with it; only those that reach over pages are kept.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from app.papers.pdf_stream import PdfStream, reference, references

_COLUMN = b"/A<</O/Table/Scope/Column>>"


@dataclass(slots=True)
class Element:
    """An element by its object's number. `kids` are numbers of elements under it."""

    number: int
    kind: bytes
    parent: int
    kids: list[int] = field(default_factory=list)


class Tags:
    """The elements of one document: each page is begun, filled and closed in turn."""

    def __init__(self, pdf: PdfStream) -> None:
        self._pdf = pdf
        self.root = pdf.reserve()
        self._document = Element(pdf.reserve(), b"Document", self.root)
        self._long: list[Element] = [self._document]
        self._page = 0
        # The elements of this page that hold its marked content, in order.
        self._holders: list[int] = []
        self._whole: list[tuple[int, bytes]] = []
        self._rows: list[Element] = []
        self._parents: list[int] = []

    def begin_page(self, page: int) -> None:
        """`page` is the number of the page's object."""
        self._page, self._holders, self._whole, self._rows = page, [], [], []

    def close_page(self) -> int:
        """The key under which the page finds its elements; everything of it goes out."""
        self._whole += [(row.number, _body(row)) for row in self._rows]
        listed = self._pdf.reserve()
        self._pdf.put_packed([*self._whole, (listed, references(self._holders))])
        self._parents.append(listed)
        return len(self._parents) - 1

    def long(self, kind: bytes, under: Element | None = None) -> Element:
        """An element that may reach over pages."""
        element = self._under(kind, under or self._document)
        self._long.append(element)
        return element

    def part(self, kind: bytes, under: Element) -> Element:
        """An element on this page with elements under it: a row, or the rows of a page."""
        element = self._under(kind, under)
        self._rows.append(element)
        return element

    def content(self, kind: bytes, under: Element | None = None, about: bytes = b"") -> bytes:
        """What opens marked content of an element of its own on this page; `EMC` closes it."""
        element = self._under(kind, under or self._document)
        mark = len(self._holders)
        self._holders.append(element.number)
        head = b"<</S/%b/P %b/Pg %b" % (kind, reference(element.parent), reference(self._page))
        self._whole.append((element.number, head + b"/K %d%b>>" % (mark, about)))
        return b"/%b<</MCID %d>>BDC\n" % (kind, mark)

    def heading_cell(self, row: Element) -> bytes:
        return self.content(b"TH", row, _COLUMN)

    def finish(self) -> None:
        """Everything that was kept, and where each page finds its elements."""
        for element in self._long:
            self._pdf.put(element.number, _body(element))
        pages = b" ".join(b"%d %b" % (key, reference(at)) for key, at in enumerate(self._parents))
        body = b"<</Type/StructTreeRoot/K %b" % reference(self._document.number)
        body += b"/ParentTree<</Nums[%b]>>/ParentTreeNextKey %d>>" % (pages, len(self._parents))
        self._pdf.put(self.root, body)

    def _under(self, kind: bytes, parent: Element) -> Element:
        element = Element(self._pdf.reserve(), kind, parent.number)
        parent.kids.append(element.number)
        return element


def _body(element: Element) -> bytes:
    return b"<</S/%b/P %b/K%b>>" % (
        element.kind,
        reference(element.parent),
        references(element.kids),
    )
