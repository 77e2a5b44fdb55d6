"""Pages laid over pages, each kept as it was written: as a form of the page it is laid on, so that
nothing of either is read anew.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pypdf import PageObject, PdfWriter
    from pypdf.generic import DictionaryObject, IndirectObject, StreamObject


def laid(
    book: PdfWriter, page: PageObject, others: Iterable[tuple[PageObject, float, float]]
) -> None:
    """Lay pages of other books over a page of this one, each with its lower left corner so many
    points to the right of and above the page's.
    """
    from pypdf.generic import ArrayObject, NameObject

    forms = _inside(_inside(page, "/Resources"), "/XObject")
    said = []
    for other, right, up in others:
        name = f"/Over{len(forms)}"
        forms[NameObject(name)] = _kept(book, _form(other))
        said.append(f"q 1 0 0 1 {right:.4f} {up:.4f} cm {name} Do Q")
    after = _kept(book, _stream("\n".join(said).encode()))
    own = page.get("/Contents")
    if own is None:
        page[NameObject("/Contents")] = after
        return
    own = own.get_object()
    pieces = list(own) if isinstance(own, ArrayObject) else [page.raw_get("/Contents")]
    before, closed = (_kept(book, _stream(word)) for word in (b"q\n", b"\nQ\n"))
    page[NameObject("/Contents")] = ArrayObject([before, *pieces, closed, after])


def _inside(holder: DictionaryObject, name: str) -> DictionaryObject:
    """A dictionary in another, made where there is none."""
    from pypdf.generic import DictionaryObject, NameObject

    found = holder.setdefault(NameObject(name), DictionaryObject()).get_object()
    assert isinstance(found, DictionaryObject)
    return found


def _kept(book: PdfWriter, stream: StreamObject) -> IndirectObject:
    """A stream taken into the book, with what it refers to."""
    return book._add_object(stream.clone(book))  # the library has no open name for it


def _stream(data: bytes) -> StreamObject:
    from pypdf.generic import StreamObject

    made = StreamObject()
    made.set_data(data)
    return made.flate_encode()


def _form(page: PageObject) -> StreamObject:
    """A page's content as a form with its own fonts and pictures."""
    from pypdf.generic import ArrayObject, FloatObject, NameObject

    content = page.get_contents()
    form = _stream(b"" if content is None else content.get_data())
    form[NameObject("/Type")] = NameObject("/XObject")
    form[NameObject("/Subtype")] = NameObject("/Form")
    form[NameObject("/BBox")] = ArrayObject(map(FloatObject, page.mediabox))
    form[NameObject("/Resources")] = page["/Resources"]
    return form
