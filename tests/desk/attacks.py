"""What somebody tries who should not get in: each try, and what must become of it.

``python -m tests.desk.attacks`` makes them all against a desk and prints the table.
"""

import io
import socket
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZIP_DEFLATED, ZipFile

import openpyxl
from httpx import Client, Response
from PIL import Image

from builder.desk.guard import LARGEST_BODY
from builder.digests import digest_of_file
from tests.desk.desks import COTTAGE, HERE, HOST, browsing, copy_of, desk_of, form_at

PLOT = "/plots/riverside/01"
OTHER = "https://elsewhere.example"


@dataclass(frozen=True)
class Attack:
    """One try: in which group, what it is, how it is made, and the status that answers it."""

    group: str
    what: str
    tried: Callable[[Client], Response]
    status: int


def _post(path: str, **headers: str | None) -> Callable[[Client], Response]:
    """A form sent with these headers in place of the browser's own; None takes one away."""

    def tried(client: Client) -> Response:
        request = client.build_request("POST", path, data={"act": "save", "option": "car-charger"})
        _set(request.headers, headers)
        return client.send(request)

    return tried


def _get(path: str, **headers: str | None) -> Callable[[Client], Response]:
    def tried(client: Client) -> Response:
        request = client.build_request("GET", path)
        _set(request.headers, headers)
        return client.send(request)

    return tried


def _set(target: object, headers: Mapping[str, str | None]) -> None:
    assert hasattr(target, "pop")
    for name, value in headers.items():
        spelled = name.replace("_", "-")
        if value is None:
            target.pop(spelled, None)
        else:
            target[spelled] = value  # type: ignore[index]


def _method(method: str, path: str) -> Callable[[Client], Response]:
    return lambda client: client.request(method, path)


def _upload(path: str, field: str, called: str, content: bytes, **also: str) -> Callable[[Client], Response]:  # fmt: skip
    return lambda client: client.post(path, files={field: (called, content)}, data=also)


def _as(role: str, path: str, /, **form: str) -> Callable[[Client], Response]:
    """A form sent in a role that may not send it."""

    def tried(client: Client) -> Response:
        client.post("/role", data={"role": role, "back": "/"})
        return client.post(path, data=form)

    return tried


def _two_roles(client: Client) -> Response:
    client.post("/role", data={"role": "editor", "back": "/"})
    return client.post(f"{PLOT}/publish", headers={"Cookie": "desk-role=editor; desk-role=editor; role=technical"})  # fmt: skip


def _owner(client: Client) -> Response:
    client.post("/role", data={"role": "site", "back": "/"})
    client.post("/role", data={"role": "owner", "back": "/"})
    return client.post(f"{PLOT}/publish")


def _raw(length: str) -> Callable[[Client], Response]:
    """A form of a length that no client would say."""

    def tried(client: Client) -> Response:
        return _answered(client, f"POST {_CHANGING} HTTP/1.1\r\nHost: {HOST}\r\nOrigin: {HERE}\r\nContent-Length: {length}\r\n\r\n")  # fmt: skip

    return tried


def _text(**sent: str) -> Callable[[Client], Response]:
    """An article with other words, tried and not saved."""

    def tried(client: Client) -> Response:
        page = "/articles/water-off/front-matter" if "head" in sent else "/articles/water-off"
        shown = form_at(client, page, "/articles/water-off")
        return client.post("/articles/water-off", data={**shown, **sent, "act": "try"})

    return tried


def _line(header: str, body: str = "role=") -> Callable[[Client], Response]:
    """A form with a header that no browser would send."""

    def tried(client: Client) -> Response:
        return _answered(client, f"POST {_CHANGING} HTTP/1.1\r\nHost: {HOST}\r\nOrigin: {HERE}\r\n{header}\r\n\r\n{body}")  # fmt: skip

    return tried


def _chunked(body: str) -> Callable[[Client], Response]:
    kind = "Content-Type: application/x-www-form-urlencoded"
    return _line(f"{kind}\r\nTransfer-Encoding: chunked", body)


def _both_lengths(client: Client) -> Response:
    """A form that says its length twice, so that what stands between may read another request in it."""
    request = f"POST {_CHANGING} HTTP/1.1\r\nHost: {HOST}\r\nOrigin: {HERE}\r\nContent-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\nGET / HTTP/1.1\r\n"  # fmt: skip
    return _answered(client, request)


def _two_hosts(client: Client) -> Response:
    return _answered(client, f"GET / HTTP/1.1\r\nHost: {HOST}\r\nHost: elsewhere.example\r\n\r\n")


def _answered(client: Client, request: str) -> Response:
    with socket.create_connection(("127.0.0.1", client.base_url.port or 0)) as line:
        line.sendall(request.encode())
        answer = line.recv(4_096).decode()
    return Response(int(answer.split()[1]), text=answer)


def workbook_with(sheet: bytes) -> bytes:
    """A workbook with another first sheet than the library would write."""
    written, packed = io.BytesIO(), io.BytesIO()
    openpyxl.Workbook().save(written)
    with ZipFile(written) as source, ZipFile(packed, "w", ZIP_DEFLATED) as made:
        for name in source.namelist():
            made.writestr(name, sheet if name == "xl/worksheets/sheet1.xml" else source.read(name))
    return packed.getvalue()


def _sheet(rows: bytes, before: bytes = b"") -> bytes:
    return workbook_with(b'<?xml version="1.0"?>' + before + b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>' + rows + b"</sheetData></worksheet>")  # fmt: skip


def _spreadsheet(content: Callable[[], bytes]) -> Callable[[Client], Response]:
    """A spreadsheet that is made when it is sent."""
    return lambda client: client.post("/spreadsheet", files={"spreadsheet": ("x.xlsx", content())}, data={"development": "riverside"})  # fmt: skip


def _cells() -> bytes:
    """A hundred kilobytes that unpack to more cells than a machine has memory for."""
    return _sheet(b"<row><c><v>1</v></c></row>" * 1_500_000)


def _laughs() -> bytes:
    """Nine names, each of ten of the one before: "Billion laughs" (CWE-776)."""
    names = b"".join(b'<!ENTITY n%d "%s">' % (n + 1, b"&n%d;" % n * 10) for n in range(9))
    return _sheet(b'<row><c t="inlineStr"><is><t>&n9;</t></is></c></row>', b'<!DOCTYPE x [<!ENTITY n0 "ha">' + names + b"]>")  # fmt: skip


def _reading_a_file() -> bytes:
    """A sheet that asks the reader for a file of its machine (CWE-611)."""
    return _sheet(b'<row><c t="inlineStr"><is><t>&f;</t></is></c></row>', b'<!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/passwd">]>')  # fmt: skip


def _bomb() -> bytes:
    """A small file that is a picture of 400 million pixels."""
    file = io.BytesIO()
    Image.new("1", (20_000, 20_000)).save(file, "PNG")
    return file.getvalue()


_SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
_PHOTO = f"{PLOT}/photographs"
_CHANGING = f"{PLOT}/options"
HOSTS = (
    Attack("host", "another host's name", _get("/", host="desk.elsewhere.example"), 421),
    Attack("host", "another host's name with our port", _get("/", host="elsewhere.example:8700"), 421),
    Attack("host", "our address with another port", _get("/", host="127.0.0.1:9999"), 421),
    Attack("host", "an address that points here by DNS", _post(_CHANGING, host="localhost.elsewhere.example:8700", origin="http://localhost.elsewhere.example:8700"), 421),
    Attack("host", "a name with a user in it", _get("/", host=f"{HOST}@elsewhere.example"), 421),
    Attack("host", "our address with a dot behind it", _get("/", host="127.0.0.1.:8700"), 421),
    Attack("host", "two names, of which one is ours", _two_hosts, 400),
    Attack("host", "no name", _get("/", host=""), 421),
)  # fmt: skip
ORIGINS = (
    Attack("origin", "a form of another site", _post(_CHANGING, origin=OTHER, sec_fetch_site="cross-site"), 403),
    Attack("origin", "a form of another site that claims to be ours", _post(_CHANGING, origin=OTHER, sec_fetch_site="same-origin"), 403),
    Attack("origin", "a form of another port of this machine", _post(_CHANGING, origin="http://127.0.0.1:9999", sec_fetch_site="same-site"), 403),
    Attack("origin", "a form from a sandbox", _post(_CHANGING, origin="null", sec_fetch_site="cross-site"), 403),
    Attack("origin", "a form without a word of where it is from", _post(_CHANGING, origin=None, sec_fetch_site=None), 403),
    Attack("origin", "a form from the address bar", _post(_CHANGING, origin=None, sec_fetch_site="none"), 403),
    Attack("origin", "an old browser's form of another site", _post(_CHANGING, origin=OTHER, sec_fetch_site=None), 403),
    Attack("origin", "our guide loaded as a picture of another site", _get("/live/g/riverside~01/", sec_fetch_site="cross-site", sec_fetch_mode="no-cors", sec_fetch_dest="image"), 403),
    Attack("origin", "our page fetched by a script of another site", _get(PLOT, origin=OTHER, sec_fetch_site="cross-site", sec_fetch_mode="cors", sec_fetch_dest="empty"), 403),
    Attack("origin", "our page framed by another site", _get("/", sec_fetch_site="cross-site", sec_fetch_mode="navigate", sec_fetch_dest="iframe"), 403),
)  # fmt: skip
READS = (
    Attack("changing by reading", "options by an address", _get(f"{_CHANGING}?option=car-charger&act=save"), 405),
    Attack("changing by reading", "publishing by an address", _get(f"{PLOT}/publish"), 405),
    Attack("changing by reading", "codes by an address", _get(f"{PLOT}/stickers"), 405),
    Attack("changing by reading", "letters by an address", _get("/recall/letters?kind=stopcock"), 405),
    Attack("changing by reading", "a whole development's stickers by an address", _get("/printing/riverside/stickers"), 405),
    Attack("changing by reading", "a role by an address", _get("/role?role=editor"), 405),
    Attack("changing by reading", "PUT", _method("PUT", _CHANGING), 405),
    Attack("changing by reading", "DELETE", _method("DELETE", PLOT), 405),
    Attack("changing by reading", "TRACE", _method("TRACE", "/"), 405),
)  # fmt: skip
_DOTS = "..%2F..%2F..%2Fetc%2Fpasswd"
PATHS = (
    Attack("paths", "a plot that is a way out", _get(f"/plots/riverside/{_DOTS}"), 404),
    Attack("paths", "a development that is a way out", _get("/plots/..%2F..%2Fetc/passwd"), 404),
    Attack("paths", "a guide's file that is a way out", _get(f"/live/g/riverside~01/{_DOTS}"), 404),
    Attack("paths", "a guide of a plot that is none", _get("/live/g/..~../index.html"), 404),
    Attack("paths", "an asset that is a way out", _get(f"/live/assets/{_DOTS}"), 404),
    Attack("paths", "an asset by its place on the disk", _get("/live/assets//etc/passwd"), 404),
    Attack("paths", "our own files below static", _get("/static/..%2Fdesk.py"), 404),
    Attack("paths", "the accounts", _get("/.handover/accounts.json"), 404),
    Attack("paths", "the register of codes", _get("/developments/riverside/register.csv"), 404),
    Attack("paths", "a paper that is none", _get(f"{PLOT}/paper/..%2Fbook"), 404),
    Attack("paths", "a stock that is a file", _get(f"{PLOT}/stickers.pdf?stock=../../etc/passwd"), 400),
    Attack("paths", "a thing that is an attribute of Python", _get(f"{PLOT}/departure?thing=__class__.__init__"), 404),
    Attack("paths", "a section that is a method", _get(f"{PLOT}/departure?thing=model_dump.x"), 404),
    Attack("paths", "work that is a number of somebody else", _get("/jobs/..%2F1"), 404),
    Attack("paths", "a photograph that is a file", _get(f"{PLOT}/photographs/..%2F..%2Fplots.csv"), 404),
    Attack("paths", "a name with a zero byte", _get("/plots/riverside/01%00.yaml"), 404),
    Attack("paths", "an article that is a way out", _get("/articles/..%2F..%2Fetc"), 404),
    Attack("paths", "a house type that is a way out", _get("/house-types/..%2Fstandard"), 404),
    Attack("paths", "a save that is a way out", _get("/history/..%2F..%2Fx"), 404),
    Attack("paths", "a development to print that is a way out", _get("/printing/..%2F..%2Fetc"), 404),
    Attack("paths", "what a development to print is named by, sent", lambda c: c.post("/printing/..%2Fx/papers", data={"paper": "emergency"}), 404),
    Attack("paths", "a file that work of nobody made", _get("/jobs/..%2F..%2Faccounts/made"), 404),
    Attack("paths", "a file of work by a guessed number", _get("/jobs/AAAAAAAAAAAA/made"), 404),
    Attack("paths", "a guide on trial that nobody tried", _get("/live/t/nobody/index.html"), 404),
    Attack("paths", "stickers of a plot that is a way out", _get("/on-site/..%2F..%2Fetc/passwd"), 404),
)  # fmt: skip
BODIES = (
    Attack("uploads", "more than is taken, told at the door", _raw(str(LARGEST_BODY + 1)), 413),
    Attack("uploads", "a length that is no number", _raw("-5"), 400),
    Attack("uploads", "a length that is said twice", _both_lengths, 400),
    Attack("uploads", "a spreadsheet that unpacks to millions of cells", _spreadsheet(_cells), 422),
    Attack("uploads", "a spreadsheet of names within names", _spreadsheet(_laughs), 422),
    Attack("uploads", "a spreadsheet that asks for a file of the machine", _spreadsheet(_reading_a_file), 422),
    Attack("uploads", "more fields than any form has", lambda c: c.post(_CHANGING, data={f"f{n}": "x" for n in range(3_000)}), 400),
    Attack("uploads", "one field of 3 MB", lambda c: c.post(_CHANGING, files={"a": (None, "x" * 3_000_000)}), 400),
    Attack("uploads", "a record that is a picture", _upload(f"{PLOT}/returned", "record", "record.json", b"\x89PNG\r\n"), 303),
    Attack("uploads", "a picture of 400 million pixels", _upload(_PHOTO, "photograph", "x.png", _bomb(), piece="stopcock"), 303),
    Attack("uploads", "a page with a script, named as a picture", _upload(_PHOTO, "photograph", "x.jpg", _SVG, piece="stopcock"), 303),
    Attack("uploads", "a picture of a piece that is none", _upload(_PHOTO, "photograph", "x.png", _bomb(), piece="../x"), 303),
    Attack("uploads", "a model that names a way out", _upload("/house-types-from-models", "model", "x.ifc", b"ISO-10303-21;", name="../../x"), 422),
    Attack("uploads", "a spreadsheet that is none", _upload("/spreadsheet", "spreadsheet", "x.xlsx", b"PK\x03\x04nothing", development="riverside"), 422),
    Attack("uploads", "a spreadsheet for a development that is a way out", _upload("/spreadsheet", "spreadsheet", "x.csv", b"plot,address\n", development="../.."), 422),
    Attack("uploads", "a record named as a way out", _upload(f"{PLOT}/returned", "record", "../../../etc/cron.d/x", b"{"), 303),
)  # fmt: skip
ROLES_TRIED = (
    Attack("rights", "an editor publishes", _as("editor", f"{PLOT}/publish"), 403),
    Attack("rights", "an editor changes options", _as("editor", _CHANGING, option="car-charger", act="save"), 403),
    Attack("rights", "sales add a departure", _as("sales", f"{PLOT}/departure", thing="equipment.stopcock", act="save"), 403),
    Attack("rights", "the site moves the day of completion", _as("site", f"{PLOT}/completion", act="save"), 403),
    Attack("rights", "an editor writes the record", _as("editor", f"{PLOT}/record", act="save"), 403),
    Attack("rights", "the site sends a release", _as("site", "/release/send"), 403),
    Attack("rights", "an editor takes a release back", _as("editor", "/release/back", release="000001"), 403),
    Attack("rights", "customer care brings in plots", _as("customer-care", "/spreadsheet", development="riverside"), 403),
    Attack("rights", "sales issue codes", _as("sales", f"{PLOT}/stickers"), 403),
    Attack("rights", "sales see what an article would change", _as("sales", "/articles/water-off/reach", body="x"), 403),
    Attack("rights", "sales change an article", _as("sales", "/articles/water-off", title="x", act="save"), 403),
    Attack("rights", "an editor ticks a sticker", _as("editor", "/on-site/riverside/01", place="stopcock", code="x"), 403),
    Attack("rights", "sales bring a model", _as("sales", "/house-types-from-models", name="x"), 403),
    Attack("rights", "an editor says another role in the form", _as("editor", f"{PLOT}/publish", role="technical", who="technical"), 403),
    Attack("rights", "an editor sends two roles as cookies", _two_roles, 403),
    Attack("rights", "an editor takes back what sales have saved", _as("editor", "/history/0123456789abcdef", reason="x"), 404),
    Attack("rights", "an editor gives a guide another address", _as("editor", f"{PLOT}/address", sure="yes"), 403),
    Attack("rights", "an editor keeps a photograph of a plot that is none", _as("editor", "/plots/riverside/..%2F01/photographs"), 404),
    Attack("rights", "a role that is none stays the one before", _owner, 403),
)  # fmt: skip
_ALIASES = "\n".join(
    (
        "a: &a [x, x, x, x, x, x, x, x, x]",
        *(
            f"{here}: &{here} [{', '.join([f'*{above}'] * 9)}]"
            for above, here in pairwise("abcdefghi")
        ),
    )
)
TEXTS = (
    Attack("texts", "an article that never ends", _text(body="{% for a in range(99999) %}{% for b in range(99999) %}x{% endfor %}{% endfor %}"), 422),
    Attack("texts", "an article that fills the memory", _text(body="{{ ('x' * 99999) * 99999 }}"), 422),
    Attack("texts", "an article that asks for what Python has", _text(body="{{ ''.__class__.__mro__[1].__subclasses__() }}"), 422),
    Attack("texts", "an article that writes itself", _text(body="{% macro a() %}{{ a() }}{{ a() }}{% endmacro %}{{ a() }}"), 422),
    Attack("texts", "a script in an article", _text(body="<script>alert(1)</script> [x](javascript:alert(1)) <svg onload=alert(1)>"), 422),
    Attack("texts", "quotes within quotes, 20,000 deep", _text(body="> " * 20_000 + "x"), 422),
    Attack("texts", "aliases of aliases before an article", _text(head=_ALIASES), 422),
    Attack("texts", "an object of Python before an article", _text(head="title: !!python/object/apply:os.system ['true']"), 422),
    Attack("texts", "lists in lists before an article", _text(head="title: " + "[" * 100_000), 422),
)  # fmt: skip
LINES = (
    Attack("requests", "a chunk of a length below nothing", _chunked("-1\r\nabc\r\n0\r\n\r\n"), 400),
    Attack("requests", "a way of sending that is no way", _line("X-Chunked: yes\r\nTransfer-Encoding: xchunked"), 400),
    Attack("requests", "a space before a colon", _line("Content-Length : 5"), 400),
    Attack("requests", "an address of another host in full", lambda c: _answered(c, f"GET http://elsewhere.example/ HTTP/1.1\r\nHost: {HOST}\r\n\r\n"), 404),
)  # fmt: skip
ATTACKS = (*HOSTS, *ORIGINS, *READS, *PATHS, *BODIES, *TEXTS, *LINES, *ROLES_TRIED)


def files_of(root: Path) -> dict[str, str]:
    """Every source file of a workspace by its digest: no try may change one. What came back from a
    tablet is kept, whatever it is, and is no source."""
    return {
        path.relative_to(root).as_posix(): digest_of_file(path)
        for path in sorted(root.rglob("*"))
        if path.is_file() and "records" not in path.parts and ".handover" not in path.parts
    }


def main() -> int:
    """Make every try and tell what became of it."""
    lines, missed = [f"{'group':22}{'what was tried':56}{'answer':>7}  as it must be"], 0
    with TemporaryDirectory() as folder:
        root = copy_of(COTTAGE, Path(folder))
        before = files_of(root)
        with browsing(desk_of(root)) as client:
            for each in ATTACKS:
                client.cookies.clear()
                answer = each.tried(client).status_code
                good = answer == each.status and files_of(root) == before
                missed += not good
                lines.append(f"{each.group:22}{each.what:56}{answer:>7}  {'yes' if good else 'NO'}")
    lines.append(f"{len(ATTACKS)} tries, {missed} not answered as they must be.")
    sys.stdout.write("\n".join((*lines, "")))
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
