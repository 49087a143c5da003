"""Templates of papers that a workspace lays over ours: what they may take of time, memory and output."""

from pathlib import Path
from socketserver import StreamRequestHandler, TCPServer
from threading import Thread

import pytest
from click.testing import CliRunner

from builder.cli import main
from builder.craft.setting_apart import PaperLimits
from builder.craft.typesetting import set_files, set_template
from builder.errors import FindingsError, HandoverError
from tests.dates import DAY

SMALL = PaperLimits(seconds=1, memory=1024 * 1024 * 1024, output=40_000)
NAMED = "site_templates/paper/walk.typ"
COUNTS = (
    "#for a in range(9000) { for b in range(9000) { for c in range(9000) { let d = a + b } } }\n"
)
FILLS = '#set document(title: "A")\n#("x" * 4000000000).len()\n'
PRINTS = '#set document(title: "A")\n#for a in range(400) [#lorem(60) #a #pagebreak()]\n'
CALLS = "#let again(number) = again(number + 1)\n#again(1)\n"
PLAIN = b'#set document(title: "A")\nOne page.\n'


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        (COUNTS, "It takes more than the 1 seconds of processor time that a paper may take."),
        (FILLS, "It takes more than the 1,024 MB of memory that a paper may take, or calls itself too deeply."),
        (PRINTS, "at most 0 MB are kept."),
    ],
    ids=["time", "memory", "output"],
)  # fmt: skip
def test_a_template_that_takes_too_much_is_a_finding_that_names_it(text: str, wrong: str) -> None:
    with pytest.raises(FindingsError) as stopped:
        set_files({"main": text.encode()}, f"'{NAMED}'", NAMED, SMALL)
    (found,) = stopped.value.findings
    assert (found.code, found.place.file) == ("template.limits", NAMED)
    assert wrong in found.wrong


def test_a_mistake_in_it_is_told_as_in_ours(tmp_path: Path) -> None:
    with pytest.raises(HandoverError, match=r"'site_templates/paper/walk\.typ' cannot be set: .*depth"):  # fmt: skip
        set_files({"main": CALLS.encode()}, f"'{NAMED}'", NAMED, SMALL)
    template = tmp_path / "site_templates/stickers/sheet.typ"
    template.parent.mkdir(parents=True)
    template.write_text("#nothing\n")
    with pytest.raises(HandoverError, match=r"sheet\.typ' cannot be set: .*unknown variable"):
        set_template(template, {}, "sheet", SMALL)


def test_a_template_fetches_nothing_from_a_network() -> None:
    """Not even where its name is put together as it runs."""
    fetching = b'#set document(title: "A")\n#import "@" + "preview/nothing:0.0.1": *\nOne page.\n'
    with pytest.raises(
        HandoverError, match="it imports a package, which would come from the network"
    ):
        set_files({"main": fetching}, f"'{NAMED}'", NAMED, SMALL)


def test_a_proxy_of_the_machine_is_not_asked_either(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = list[object]()

    class Proxy(StreamRequestHandler):
        def handle(self) -> None:
            asked.append(self.client_address)

    with TCPServer(("127.0.0.1", 0), Proxy) as proxy:
        Thread(target=proxy.serve_forever, daemon=True).start()
        monkeypatch.setenv("HTTPS_PROXY", f"http://127.0.0.1:{proxy.server_address[1]}")
        test_a_template_fetches_nothing_from_a_network()
        proxy.shutdown()
    assert asked == []


def test_what_is_set_apart_has_the_bytes_of_what_is_not() -> None:
    assert set_files({"main": PLAIN}, "a", NAMED, SMALL) == set_files({"main": PLAIN}, "a")


def test_a_sheet_of_a_workspace_is_bounded_too(
    cottage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a person meets it: the command ends with a finding that names the template, and no paper."""
    monkeypatch.chdir(cottage)
    own = cottage / "site_templates/demonstration/sheet.typ"
    own.parent.mkdir(parents=True)
    own.write_text(FILLS, encoding="utf-8")
    result = CliRunner().invoke(main, ["demonstration", "riverside/01", "--out", "walk", "--date", DAY.isoformat()])  # fmt: skip
    assert result.exit_code == 1
    assert "site_templates/demonstration/sheet.typ:1:1: error template.limits" in result.output
    assert "It takes more than the 3,072 MB of memory that a paper may take" in result.output
    assert not list((cottage / "walk").glob("*.pdf"))
