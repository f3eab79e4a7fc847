"""Tables of files in the documents, written by the judges that make them."""

import re

BEGIN, END = "<!-- table of files: begin -->", "<!-- table of files: end -->"


def put(target, table):
    """Puts a Markdown table between the markers of a document."""
    text = open(target, encoding="utf-8").read()
    body = table.rstrip("\n")
    text = re.sub(f"{BEGIN}.*{END}", lambda _: f"{BEGIN}\n\n{body}\n\n{END}", text, flags=re.S)
    open(target, "w", encoding="utf-8").write(text)
