"""Pages as a reader of HTML has them: it keeps every rule, and takes no page that breaks one."""

from typing import Any
from xml.etree.ElementTree import Element

import html5lib
from html5lib.html5parser import HTMLParser

HTML = "{http://www.w3.org/1999/xhtml}"


def read(page: str) -> Any:  # noqa: ANN401 -- what html5lib makes has no type of its own
    """Return the tree of a page that keeps every rule of HTML."""
    return HTMLParser(tree=html5lib.getTreeBuilder("etree"), strict=True).parse(page)


def words(page: str) -> str:
    """Return the text of a page."""
    return " ".join(" ".join(read(page).find(f"{HTML}body").itertext()).split())


def of_class(page: str, name: str) -> list[Element]:
    """Return the elements of a class."""
    return [one for one in read(page).iter() if name in one.attrib.get("class", "").split()]
