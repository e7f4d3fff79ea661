"""The file itself: every object where its table says, every page found, everything told apart."""

from __future__ import annotations

import io
from typing import Any

import pypdf
import pypdfium2
import pytest
from pypdf.generic import IndirectObject

from app.papers.pdf_stream import PdfStream, text_string
from app.papers.register_pages import RegisterForm
from tests.papers.register_making import a_row, register


def reader_of(data: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(data), strict=True)


def test_it_is_written_forwards_only_and_each_piece_once() -> None:
    """A sink that can do nothing but take bytes is enough."""
    pieces: list[bytes] = []
    pdf = PdfStream(pieces.append)
    page, pages, root, info = (pdf.reserve() for _ in range(4))
    pdf.put(page, b"<</Type/Page/Parent %d 0 R/MediaBox[0 0 9 9]>>" % pages)
    pdf.put_packed([(pages, b"<</Type/Pages/Count 1/Kids[%d 0 R]>>" % page)])
    pdf.put(root, b"<</Type/Catalog/Pages %d 0 R>>" % pages)
    pdf.put(info, b"<</Title%b>>" % text_string("Ñandú"))
    pdf.finish(root, info)
    found = reader_of(b"".join(pieces))
    assert len(found.pages) == 1
    assert found.metadata is not None
    assert found.metadata.title == "Ñandú"


@pytest.mark.parametrize("count", [0, 1, 400])
def test_other_programs_read_every_object(count: int) -> None:
    data = register(map(a_row, range(count)))
    found = reader_of(data)
    size: Any = found.trailer["/Size"]
    for number in range(1, int(size)):
        assert found.get_object(IndirectObject(number, 0, found)) is not None
    drawn = pypdfium2.PdfDocument(data)
    assert len(drawn) == len(found.pages)
    drawn.close()


def test_every_text_of_a_page_is_told_what_it_is_in_the_order_in_which_it_is_read() -> None:
    """Document, heading, table, row, cell: each with its parent, each mark found by its page."""
    found = reader_of(register(map(a_row, range(60)), RegisterForm(rows="large")))
    catalog: Any = found.trailer["/Root"]
    assert catalog["/MarkInfo"]["/Marked"]
    tree = catalog["/StructTreeRoot"]
    parents = tree["/ParentTree"]["/Nums"]
    for at, page in enumerate(found.pages):
        assert page["/StructParents"] == at == parents[2 * at]
        holders = [one.get_object() for one in parents[2 * at + 1].get_object()]
        assert [one["/K"] for one in holders] == list(range(len(holders)))
        assert all(one["/Pg"].get_object() == page.get_object() for one in holders)
        content = page.get_contents()
        assert content is not None
        data = content.get_data()
        assert data.count(b"BDC") + data.count(b"BMC") == data.count(b"EMC")
    document = tree["/K"].get_object()
    kinds = [one.get_object()["/S"] for one in document["/K"]]
    assert kinds == ["/H1", "/Table", "/P", "/P"]
    table = document["/K"][1].get_object()
    bodies = [one.get_object() for one in table["/K"]]
    assert [one["/S"] for one in bodies] == ["/THead"] + ["/TBody"] * len(found.pages)
    rows = [row.get_object() for body in bodies[1:] for row in body["/K"]]
    assert len(rows) == 60
    assert all([cell.get_object()["/S"] for cell in row["/K"]] == ["/TD"] * 5 for row in rows)


def test_the_font_within_has_only_the_letters_used() -> None:
    small, large = register([a_row(1)]), register([a_row(1, name="Ждщ Ωμέγα Đặng")])
    assert len(small) < 40_000
    assert len(small) < len(large) < len(small) + 8_000
