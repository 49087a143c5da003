"""An article's text in its two parts: front matter between lines of dashes, and the body below."""

from dataclasses import dataclass, replace

from builder.saving.yaml_text import UnchangeableError

_FENCE = "---"


@dataclass(frozen=True, slots=True)
class ArticleText:
    """The lines of dashes, the front matter and the body. Joined again they give the very same text."""

    above: str
    head: str
    between: str
    body: str

    @property
    def text(self) -> str:
        return self.above + self.head + self.between + self.body

    def with_head(self, head: str) -> "ArticleText":
        """The article with other front matter."""
        return replace(self, head=self._as_in_the_file(head))

    def with_body(self, body: str) -> "ArticleText":
        """The article with another body: a form sends line ends of its own, and the file keeps its own."""
        return replace(self, body=self._as_in_the_file(body))

    def _as_in_the_file(self, text: str) -> str:
        line_end = "\r\n" if "\r\n" in self.text else "\n"
        lines = text.replace("\r\n", "\n").replace("\r", "\n")
        ended = lines if lines.endswith("\n") or not lines else f"{lines}\n"
        return ended.replace("\n", line_end)


def parts_of(text: str) -> ArticleText:
    """The parts of an article. UnchangeableError for a text without front matter."""
    lines = text.splitlines(keepends=True)
    ends = (n for n, line in enumerate(lines[1:], 1) if line.rstrip() == _FENCE)
    end = next(ends, None)
    if not lines or lines[0].rstrip() != _FENCE or end is None:
        raise UnchangeableError("This article has no front matter between two lines '---'.")
    return ArticleText(lines[0], "".join(lines[1:end]), lines[end], "".join(lines[end + 1 :]))
