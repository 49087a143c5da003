"""The desk against somebody who should not get in: every try of ``tests/desk/attacks.py``, signing in,
locks, cookies, headers and logs."""

import json
import logging
import socket
import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Event
from time import sleep
from urllib.parse import quote

import pytest
from httpx import Client, Limits
from starlette.requests import Request

from builder.desk import signing_in
from builder.desk.accounts import Account, accounts_file, new_account, read_accounts, write_accounts
from builder.desk.application import application
from builder.desk.desk import Proxy
from builder.desk.guard import Guard
from builder.desk.serving import PromptConnection
from builder.desk.sessions import IDLE, LOCKED, LONGEST, TRIES, Tries
from builder.desk.signing_in import SESSION, who_asks
from builder.errors import HandoverError, UsageError
from tests.desk.attacks import ATTACKS, Attack, files_of
from tests.desk.desks import COTTAGE, HERE, HOST, Clock, browsing, copy_of, desk_of, form_in, served

PASSWORD = "four words are enough"


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy_of(COTTAGE, tmp_path_factory.mktemp("attacked"))


@pytest.fixture(scope="module")
def client(root: Path) -> Client:
    with browsing(desk_of(root)) as client:
        yield client


@pytest.mark.parametrize("attack", ATTACKS, ids=lambda each: f"{each.group}: {each.what}")
def test_a_try_is_answered_and_changes_nothing(attack: Attack, client: Client, root: Path) -> None:
    before = files_of(root)
    client.cookies.clear()
    answer = attack.tried(client)
    assert answer.status_code == attack.status
    assert files_of(root) == before
    assert "Traceback" not in answer.text
    assert str(root) not in answer.text


def test_every_page_says_what_a_browser_may_do(client: Client) -> None:
    for path in ("/", "/plots/riverside/01", "/static/desk.js", "/no-such-page", "/plots/riverside/01/record"):  # fmt: skip
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["x-frame-options"] == "DENY"


def test_a_live_guide_runs_nothing(client: Client) -> None:
    answer = client.get("/live/g/riverside~01/")
    assert answer.status_code == 200
    assert "script-src" not in answer.headers["content-security-policy"]
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def test_no_page_holds_a_script_or_a_style_of_its_own(client: Client) -> None:
    for path in ("/", "/plots/riverside/01", "/plots/riverside/01/home", "/plots/riverside/01/changes"):  # fmt: skip
        text = client.get(path).text
        assert "<script>" not in text
        assert "<style" not in text
        assert " onclick" not in text
        assert 'src="http' not in text


_SCRIPT = '"><script>alert(1)</script>'
_TYPED = {"act": "try", "reason": _SCRIPT}


@pytest.mark.parametrize("page", ["/?find=", "/?owed=", "/articles?find=", "/recall?make=", "/recall?kind=", "/recall?room=", "/recall?development=", "/house-types-from-models?title=", "/house-types-from-models?name="])  # fmt: skip
def test_what_was_asked_for_comes_back_as_text(page: str, client: Client) -> None:
    answer = client.get(f"{page}{quote(_SCRIPT)}")
    assert answer.status_code == 200
    assert "<script>alert" not in answer.text


@pytest.mark.parametrize(("form", "fields"), [
    ("/articles/turning-off-the-water", {"title": _SCRIPT, "summary": _SCRIPT, "body": _SCRIPT}),
    ("/recall/letters", {"kind": "stopcock", "text": f"Dear {{{_SCRIPT}}}"}),
    ("/recall/letters", {"make": _SCRIPT, "text": _SCRIPT}),
    ("/house-types-from-models", {"name": _SCRIPT, "title": _SCRIPT, "front": _SCRIPT}),
    ("/spreadsheet", {"development": _SCRIPT}),
    ("/plots/riverside/01/row", {"address": _SCRIPT, "postcode": _SCRIPT, "was.address": "", "was.postcode": ""}),
    ("/plots/riverside/01/record", {"serials.stopcock": _SCRIPT}),
    ("/on-site/riverside/01", {"place": _SCRIPT, "code": _SCRIPT}),
])  # fmt: skip
def test_what_was_typed_comes_back_as_text(form: str, fields: dict[str, str], client: Client) -> None:  # fmt: skip
    answer = client.post(form, data={**_TYPED, **fields}, follow_redirects=True)
    assert "<script>alert" not in answer.text
    assert "Traceback" not in answer.text
    assert answer.status_code < 500


def test_a_body_that_lies_about_its_length_is_cut_off(root: Path) -> None:
    small = Guard(application(desk_of(root))._application, frozenset({HOST}), largest=1_000)
    with served(small) as client:

        def parts():
            for _ in range(50):
                yield b"x" * 100

        kind = {"Content-Type": "application/x-www-form-urlencoded"}
        answer = client.post("/role", content=parts(), headers=kind)
    assert answer.status_code == 413


def test_a_body_that_never_ends_makes_room_for_others(root: Path) -> None:
    slow = Guard(application(desk_of(root))._application, frozenset({HOST}), pause=0.2)
    head = f"POST /role HTTP/1.1\r\nHost: {HOST}\r\nOrigin: {HERE}\r\nContent-Length: 500\r\nContent-Type: application/x-www-form-urlencoded\r\n\r\nrole="
    with served(slow) as client:
        address = (str(client.base_url.host), client.base_url.port or 0)
        with socket.create_connection(address, timeout=10) as sender:
            sender.sendall(head.encode())
            assert sender.recv(1_000).startswith(b"HTTP/1.1 408 ")
        assert client.get("/").status_code == 200


class _Impatient(PromptConnection):
    pause = 0.2


@pytest.mark.parametrize("begun", [b"", b"POST /role HTTP/1.1\r\nX: "])
def test_a_request_that_never_begins_makes_room_for_others(begun: bytes, root: Path) -> None:
    with served(application(desk_of(root)), _Impatient) as client:
        address = (str(client.base_url.host), client.base_url.port or 0)
        with socket.create_connection(address, timeout=10) as sender:
            sender.sendall(begun)
            assert sender.recv(1_000) == b""
        assert client.get("/").status_code == 200
        assert client.get("/jobs").status_code == 200, "the same connection, some time later"


def team(root: Path) -> Path:
    path = accounts_file(root)
    write_accounts(path, {"ada": new_account("ada", ("sales",), PASSWORD), "ben": new_account("ben", ("technical", "editor"), PASSWORD)})  # fmt: skip
    return path


def sign_in(client: Client, name: str = "ada", password: str = PASSWORD) -> object:
    return client.post("/sign-in", data={"name": name, "password": password})


@pytest.fixture
def accounts(root: Path) -> Path:
    return team(root)


def test_nobody_comes_in_without_signing_in(root: Path, accounts: Path) -> None:
    with browsing(desk_of(root, accounts=accounts)) as client:
        for path in ("/", "/plots/riverside/01", "/live/g/riverside~01/", "/jobs", "/plots/riverside/01/run-sheet.html"):  # fmt: skip
            answer = client.get(path)
            to = "" if path == "/" else f"?to={quote(path, safe='~')}"
            assert (answer.status_code, answer.headers["location"]) == (303, f"/sign-in{to}")
        answer = client.post("/plots/riverside/01/options", data={"act": "save"})
        assert answer.status_code == 401
        assert sign_in(client).status_code == 303
        assert client.get("/").status_code == 200
        assert "ada, as" in client.get("/").text


@pytest.mark.parametrize(("to", "leads"), [
    ("/on-site/riverside/01?place=1", "/on-site/riverside/01?place=1"),
    ("//elsewhere.example/", "/"), ("https://elsewhere.example/", "/"), ("/\\elsewhere.example", "/"),
    ("/%0d%0aSet-Cookie:x", "/%0d%0aSet-Cookie:x"), ("/\r\nSet-Cookie: x=y", "/"),
])  # fmt: skip
def test_who_has_signed_in_is_led_to_what_was_asked_for_and_nowhere_else(
    to: str, leads: str, root: Path, accounts: Path
) -> None:
    with browsing(desk_of(root, accounts=accounts)) as client:
        shown = form_in(client.get("/sign-in", params={"to": to}).text, "/sign-in")
        for sent in (shown, {"to": to}):
            answer = client.post("/sign-in", data={**sent, "name": "ada", "password": PASSWORD})
            assert (answer.status_code, answer.headers["location"]) == (303, leads)
            assert list(client.cookies) == [SESSION]


def test_a_session_is_kept_from_scripts_and_other_sites(root: Path, accounts: Path) -> None:
    with browsing(desk_of(root, accounts=accounts)) as client:
        cookie = sign_in(client).headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie


def test_a_session_ends(root: Path, accounts: Path) -> None:
    clock = Clock()
    with browsing(desk_of(root, clock, accounts)) as client:
        sign_in(client)
        clock.hour += IDLE / 2
        assert client.get("/").status_code == 200
        clock.hour += IDLE
        assert client.get("/").status_code == 303
        sign_in(client)
        for _ in range(int(LONGEST / (IDLE / 2)) + 1):
            clock.hour += IDLE / 2
            client.get("/jobs")
        assert client.get("/").status_code == 303
        sign_in(client)
        kept = dict(client.cookies)
        client.post("/sign-out")
        client.cookies.update(kept)
        assert client.get("/").status_code == 303


def test_a_session_that_somebody_else_chose_is_nobodys(root: Path, accounts: Path) -> None:
    with browsing(desk_of(root, accounts=accounts)) as client:
        client.cookies.set(SESSION, "chosen-by-somebody-else", "127.0.0.1", "/")
        assert client.get("/").status_code == 303
        sign_in(client)
        first = client.cookies[SESSION]
        assert first != "chosen-by-somebody-else"
        sign_in(client, "ben")
        client.cookies.clear()
        client.cookies.set(SESSION, first, "127.0.0.1", "/")
        assert client.get("/").status_code == 303, "signing in again ends what was before"


def test_many_tries_at_once_are_counted_before_any_password_is_looked_at() -> None:
    clock = Clock()
    tries = Tries(clock)
    assert [tries.begin("ada") for _ in range(TRIES)] == [None] * TRIES
    assert tries.begin("ada") == clock.hour + LOCKED
    assert tries.begin("ben") is None
    clock.hour += LOCKED
    assert tries.begin("ada") is None


def test_tries_lock_a_name_known_or_not(root: Path, accounts: Path) -> None:
    clock = Clock()
    with browsing(desk_of(root, clock, accounts)) as client:
        for name in ("ada", "nobody"):
            wrong = [sign_in(client, name, "not this one at all") for _ in range(TRIES)]
            assert {each.status_code for each in wrong} == {401}
            assert len({each.text for each in wrong}) == 1
            locked = sign_in(client, name)
            assert "There were too many tries for this name. Try again after 09:45." in locked.text
            assert locked.status_code == 401
        assert sign_in(client, "ben").status_code == 303
        clock.hour += LOCKED
        assert sign_in(client).status_code == 303


def test_an_account_that_is_taken_away_is_out_at_once(root: Path, accounts: Path) -> None:
    with browsing(desk_of(root, accounts=accounts)) as client:
        sign_in(client)
        assert client.get("/").status_code == 200
        write_accounts(accounts, {"ben": read_accounts(accounts)["ben"]})
        assert client.get("/").status_code == 303


def test_another_password_ends_what_was_signed_in_by_the_one_before(root: Path, accounts: Path) -> None:  # fmt: skip
    with browsing(desk_of(root, accounts=accounts)) as client:
        sign_in(client)
        changed = new_account("ada", ("sales",), "five words are better still")
        write_accounts(accounts, {**read_accounts(accounts), "ada": changed})
        assert client.get("/").status_code == 303


def test_many_who_sign_in_keep_nobody_from_a_page(
    root: Path, accounts: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sixty passwords are looked at one after the other, and a desk has forty threads for its pages."""
    looked_on, looks = Event(), []

    def looks_long(account: Account | None, password: str) -> bool:
        looks.append(account)
        return looked_on.wait(30) and False

    with browsing(desk_of(root, accounts=accounts)) as client, ThreadPoolExecutor(60) as pool:
        sign_in(client, "ben")
        monkeypatch.setattr(signing_in, "is_password", looks_long)
        own = Client(base_url=client.base_url, headers=client.headers, timeout=60, limits=Limits(max_connections=60))  # fmt: skip
        tries = [pool.submit(sign_in, own, f"nobody{number}") for number in range(60)]
        try:
            while not looks:
                sleep(0.01)
            sleep(0.5)
            assert client.get("/jobs", timeout=5).status_code == 200
            assert len(looks) == 1
        finally:
            looked_on.set()
        assert {each.result().status_code for each in tries} == {401}
        own.close()


def test_a_role_of_another_account_cannot_be_taken(root: Path, accounts: Path) -> None:
    with browsing(desk_of(root, accounts=accounts)) as client:
        sign_in(client)
        client.post("/role", data={"role": "technical", "back": "/"})
        client.cookies.set("desk-role", "technical")
        answer = client.post("/plots/riverside/01/departure", data={"thing": "equipment.stopcock"})
    assert answer.status_code == 403


@pytest.mark.parametrize("back", ["//elsewhere.example", "https://elsewhere.example", "/\\elsewhere.example", "javascript:alert(1)", "/\n/x"])  # fmt: skip
def test_a_choice_of_role_leads_nowhere_else(client: Client, back: str) -> None:
    answer = client.post("/role", data={"role": "site", "back": back})
    assert answer.headers["location"] == "/"


def test_a_proxy_names_who_asks_and_nobody_else_does(root: Path, accounts: Path) -> None:
    desk = desk_of(root, accounts=accounts, proxy=Proxy("X-Person"))
    with browsing(desk) as client:
        assert client.get("/").status_code == 303
        assert client.get("/", headers={"X-Person": "ada"}).status_code == 200
        assert client.get("/", headers={"X-Person": "stranger"}).status_code == 303
        twice = client.build_request("GET", "/", headers=[("X-Person", "stranger"), ("X-Person", "ben")])  # fmt: skip
        assert client.send(twice).status_code == 303
        assert sign_in(client).status_code == 401
    scope = {"type": "http", "headers": [(b"x-person", b"ben")]}
    assert who_asks(desk, Request({**scope, "client": ("127.0.0.1", 50_000)})) is not None
    assert who_asks(desk, Request({**scope, "client": ("192.0.2.9", 50_000)})) is None


def test_the_file_of_accounts_is_private_and_holds_no_password(root: Path, accounts: Path) -> None:
    assert stat.S_IMODE(accounts.stat().st_mode) == 0o600
    assert stat.S_IMODE(accounts.parent.stat().st_mode) == 0o700
    text = accounts.read_text(encoding="utf-8")
    assert PASSWORD not in text
    assert json.loads(text)["accounts"]["ada"]["password"].startswith("$argon2id$")
    accounts.chmod(0o644)
    with pytest.raises(HandoverError, match="Others may read"):
        read_accounts(accounts)
    accounts.chmod(0o600)


@pytest.mark.parametrize(
    ("name", "roles", "password", "wrong"),
    [
        ("Ada", ("sales",), PASSWORD, "'Ada' cannot be a name here."),
        ("../ada", ("sales",), PASSWORD, "'../ada' cannot be a name here."),
        ("ada", ("salse",), PASSWORD, "There is no role 'salse'. Did you mean 'sales'?"),
        ("ada", ("sales",), "short", "A password has 12 to 256 characters"),
    ],
)
def test_an_account_that_cannot_be_is_refused(name: str, roles: tuple[str, ...], password: str, wrong: str) -> None:  # fmt: skip
    with pytest.raises(UsageError, match=wrong.replace(".", r"\.").replace("?", r"\?")):
        new_account(name, roles, password)


def test_accounts_that_others_may_read_are_told_and_let_nobody_in(tmp_path: Path) -> None:
    root = copy_of(COTTAGE, tmp_path)
    accounts = team(root)
    with browsing(desk_of(root, accounts=accounts)) as client:
        sign_in(client)
        assert "Riverside" in client.get("/").text
        accounts.chmod(0o644)
        answer = client.get("/")
        assert answer.status_code == 400
        assert "Take it from them: chmod 600" in answer.text
        assert "Riverside" not in answer.text


def test_a_digest_is_never_printed() -> None:
    assert "argon2" not in repr(Account("ada", ("sales",), "$argon2id$secret"))


def test_nothing_private_is_logged(root: Path, accounts: Path, caplog: pytest.LogCaptureFixture, capfd: pytest.CaptureFixture[str]) -> None:  # fmt: skip
    caplog.set_level(logging.DEBUG)
    with browsing(desk_of(root, accounts=accounts)) as client:
        sign_in(client, password="a wrong password here")
        sign_in(client)
        client.post("/plots/riverside/01/returned", files={"record": ("record.json", b'{"reading": "00017"}')})  # fmt: skip
        client.get("/plots/riverside/01", params={"find": "secret-reading"})
    ours = "\n".join(each.getMessage() for each in caplog.records if each.name.split(".")[0] not in ("httpx", "asyncio"))  # fmt: skip
    printed = "".join(capfd.readouterr())
    for private in (PASSWORD, "a wrong password here", "00017", "secret-reading"):
        assert private not in ours
        assert private not in printed
