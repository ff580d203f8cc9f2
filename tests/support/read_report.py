"""Reads a report with Python's html.parser and fails for anything a report must not contain.
   read_report.py REPORT.html [TEXT that it must contain]"""
import base64
import hashlib
import html.parser
import sys

VOID = {"meta", "br", "path", "circle", "rect", "input"}
ALLOWED = {
    "html", "head", "meta", "title", "style", "body", "header", "main", "nav", "article", "section", "footer",
    "h1", "h2", "h3", "p", "ul", "ol", "li", "dl", "dt", "dd", "div", "small", "span", "br", "a", "time", "figure",
    "figcaption", "table", "caption", "thead", "tbody", "tr", "th", "td", "svg", "desc", "g", "text", "tspan",
    "rect", "path", "circle", "b", "button", "input", "script"}


class Reader(html.parser.HTMLParser):
    def __init__(self):
        super().__init__()
        self.policy = ""
        self.open, self.text, self.levels, self.ids, self.links = [], [], [], set(), []

    def handle_startendtag(self, tag, attributes):
        self.take(tag, attributes)

    def handle_starttag(self, tag, attributes):
        self.take(tag, attributes)
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open and self.open[-1] == tag, (tag, self.open, self.getpos())
        self.open.pop()

    def take(self, tag, attributes):
        assert tag in ALLOWED, tag
        names = [name for name, _ in attributes]
        assert len(set(names)) == len(names), names
        for name, value in attributes:
            assert not name.startswith("on") and name not in ("src", "style", "action"), name
            if name == "href":
                assert value.startswith("#"), value
                self.links.append(value[1:])
            if name == "id":
                assert value not in self.ids, value
                self.ids.add(value)
        if tag[0] == "h" and tag[1:].isdigit():
            self.levels.append(int(tag[1:]))
        if dict(attributes).get("http-equiv") == "Content-Security-Policy":
            self.policy = dict(attributes)["content"]
        if tag == "script":
            assert attributes == [("type", "module")], attributes
        if tag == "svg":
            assert dict(attributes).get("role") == "img"

    def handle_data(self, data):
        # A script is one that the document's own policy names.
        if self.open and self.open[-1] == "script":
            named = base64.b64encode(hashlib.sha256(data.encode()).digest()).decode()
            assert f"script-src 'sha256-{named}'" in self.policy, named
            return
        if not self.open or self.open[-1] != "style":
            self.text.append(data)


document = open(sys.argv[1], encoding="utf-8").read()
assert document.startswith("<!DOCTYPE html>")
reader = Reader()
reader.feed(document)
reader.close()
assert reader.open == [], reader.open
assert reader.levels[0] == 1 and reader.levels.count(1) == 1, reader.levels
assert all(b - a <= 1 for a, b in zip(reader.levels, reader.levels[1:])), reader.levels
assert set(reader.links) <= reader.ids
style = document[document.index("<style>"):document.index("</style>")]
assert "url(" not in style and "@import" not in style
for wanted in sys.argv[2:]:
    assert wanted in "".join(reader.text), wanted
