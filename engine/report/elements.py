"""Element trees: every text is escaped by construction, no markup is ever put together from strings."""

import re
from collections.abc import Iterable
from typing import cast
from xml.etree import ElementTree

Element = ElementTree.Element
Content = Element | str | None | Iterable["Content"]

# Characters that XML 1.0 forbids, and lone surrogates, which no encoding can write.
_FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(text: str) -> str:
    """The text with what no document may hold replaced by the replacement character. Unit: none. Section: none."""
    return _FORBIDDEN.sub("\ufffd", text)


def add(parent: Element, *content: Content) -> None:
    """Put text and elements into an element, in order. Unit: none. Section: none."""
    for item in content:
        if item is None:
            continue
        if isinstance(item, Element):
            parent.append(cast("Element", item))
        elif isinstance(item, str):
            if len(parent):
                parent[-1].tail = (parent[-1].tail or "") + clean(item)
            else:
                parent.text = (parent.text or "") + clean(item)
        else:
            add(parent, *item)


def element(tag: str, *content: Content, **attributes: str | None) -> Element:
    """One element with its attributes and content.

    In attribute names a trailing underscore falls away and the others stand for hyphens; None leaves one out.
    Unit: none. Section: none.
    """
    made = Element(tag)
    for name, value in attributes.items():
        if value is not None:
            made.set(name.rstrip("_").replace("_", "-"), clean(value))
    add(made, *content)
    return made


def free(text: str) -> Element:
    """Text that a person typed: kept apart, so that its writing direction cannot reorder ours. Unit: none. Section: none."""
    return element("bdi", text)


def as_html(root: Element) -> str:
    """A whole document. Unit: none. Section: none."""
    return (
        "<!DOCTYPE html>\n" + ElementTree.tostring(root, encoding="unicode", method="html") + "\n"
    )


def as_xml(root: Element) -> str:
    """A well-formed XML document without a declaration. Unit: none. Section: none."""
    return ElementTree.tostring(root, encoding="unicode", method="xml") + "\n"
