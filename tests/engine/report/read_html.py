"""A document as the standard library's HTML parser sees it, which shares no code with what wrote it."""

from html.parser import HTMLParser

VOID = {"meta", "col", "img", "br", "link", "input", "hr", "base", "embed", "area", "source"}


class Read(HTMLParser):
    """Tags, attributes, the text as a person reads it, and the rows of all tables and terms of all lists."""

    def __init__(self, document: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.styles: list[str] = []
        self.rows: list[str] = []
        self.items: list[str] = []
        self.sections: list[str] = []
        self.headings: list[str] = []
        self.unclosed: list[str] = []
        self._pieces: list[str] = []
        self._open: list[tuple[str, int]] = []
        self.feed(document)
        self.close()
        self.unclosed += [tag for tag, _ in self._open]
        self.text = "".join(self._pieces)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in VOID:
            self._open.append((tag, len(self._pieces)))

    def handle_endtag(self, tag: str) -> None:
        opened, start = self._open.pop()
        assert opened == tag, f"</{tag}> closes <{opened}>"
        text = " ".join("".join(self._pieces[start:]).split())
        if tag == "tr":
            self.rows.append(text)
        elif tag == "li":
            self.items.append(text)
        elif tag == "section":
            self.sections.append(text)
        elif tag in ("h1", "h2", "h3"):
            self.headings.append(text)

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1][0] == "style":
            self.styles.append(data)
        else:
            self._pieces.append(data)
