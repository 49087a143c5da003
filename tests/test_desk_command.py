"""``handover desk``: accounts, and ways in that do not go together."""

import socket
import stat
import subprocess
import sys
from pathlib import Path

import httpx
import pytest
from click.testing import CliRunner, Result

from builder.cli import main
from builder.desk.accounts import accounts_file, is_password, read_accounts
from builder.desk.application import application
from builder.desk.serving import DeskAddress, _listening
from tests.desk.desks import desk_of, running

PASSWORD = "four words are enough"


def desk(root: Path, *arguments: str, typed: str = "") -> Result:
    result = CliRunner().invoke(main, ["desk", "--workspace", str(root), *arguments], input=typed)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as free:
        return int(free.getsockname()[1])


def test_an_account_is_added_listed_and_taken_away(cottage: Path) -> None:
    added = desk(cottage, "accounts", "add", "ada", "--role", "customer-care", "--role", "sales", typed=f"{PASSWORD}\n{PASSWORD}\n")  # fmt: skip
    assert (added.exit_code, PASSWORD in added.output) == (0, False)
    assert "ada: sales, customer-care." in added.output
    path = accounts_file(cottage)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert is_password(read_accounts(path)["ada"], PASSWORD)
    assert not is_password(read_accounts(path)["ada"], "another four words")
    assert desk(cottage, "accounts", "add", "ben", "--role", "site", "--no-password").exit_code == 0
    assert desk(cottage, "accounts", "list").output == "ada  sales, customer-care\nben  site  (named by a proxy)\n"  # fmt: skip
    assert desk(cottage, "accounts", "remove", "ada").output == "ada is taken away.\n"
    assert set(read_accounts(path)) == {"ben"}
    gone = desk(cottage, "accounts", "remove", "ada")
    assert (gone.exit_code, "There is no account 'ada'." in gone.output) == (2, True)


def test_git_leaves_the_accounts_out(cottage: Path) -> None:
    desk(cottage, "accounts", "add", "ben", "--role", "site", "--no-password")
    subprocess.run(["git", "init", "-q"], cwd=cottage, check=True)
    seen = subprocess.run(["git", "status", "--porcelain", "-uall"], cwd=cottage, check=True, capture_output=True, text=True)  # fmt: skip
    assert "accounts" not in seen.stdout


@pytest.mark.parametrize(
    ("arguments", "wrong"),
    [
        (("--listen", "192.0.2.10"), "Passwords would cross the network as they are typed."),
        (("--listen", "192.0.2.10", "--proxy-header", "X-Person"), "--proxy-header goes with --listen 127.0.0.1"),
        (("--proxy-header", "X-Person"), "--proxy-header goes with --listen 127.0.0.1"),
        (("--certificate", __file__), "--certificate and --key go together."),
        (("--listen", "0.0.0.0", "--unencrypted"), "Name those by which browsers call it: --host NAME."),
        (("--listen", "127.0.0.1"), "Nobody could sign in yet. Add an account"),
    ],
)  # fmt: skip
def test_ways_in_that_do_not_go_together(
    arguments: tuple[str, ...], wrong: str, cottage: Path
) -> None:
    result = desk(cottage, *arguments)
    assert result.exit_code == 2
    assert wrong in result.output


def test_a_folder_that_is_no_workspace(tmp_path: Path) -> None:
    result = desk(tmp_path)
    assert result.exit_code == 2
    assert "is not a workspace" in result.output


def test_a_port_that_is_taken(cottage: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        result = desk(cottage, "--port", str(taken.getsockname()[1]))
    assert result.exit_code == 2
    assert "Name another port: --port NUMBER." in result.output


def test_the_names_by_which_it_may_be_called() -> None:
    here = DeskAddress("127.0.0.1", 8700)
    assert here.hosts == {"127.0.0.1:8700", "localhost:8700", "[::1]:8700"}
    team = DeskAddress("192.0.2.10", 8700, ("Desk.builder.example",), team=True)
    assert {"desk.builder.example", "desk.builder.example:8700", "192.0.2.10:8700"} <= team.hosts
    for every in ("0.0.0.0", "::"):
        found = DeskAddress(every, 8700, ("a.example",)).hosts
        assert found == {"a.example", "a.example:8700", *here.hosts}


@pytest.mark.parametrize("name", ["2001:DB8::0:1", "[2001:db8::1]", "[2001:db8::1]:8700"])
def test_a_number_with_colons_is_called_in_brackets(name: str) -> None:
    assert "[2001:db8::1]:8700" in DeskAddress("127.0.0.1", 8700, (name,)).hosts
    call = DeskAddress(name.removesuffix(":8700").strip("[]"), 8700)
    assert "[2001:db8::1]:8700" in call.hosts
    assert call.home == "http://[2001:db8::1]:8700/"


def test_it_serves_a_number_with_colons_and_every_address_of_both_kinds(cottage: Path) -> None:
    """As far as the machine has such numbers; what is asked of it is what a browser would say."""
    if not socket.has_ipv6:
        pytest.skip("This machine has no IPv6.")
    for address, asked in (("::1", "[::1]"), ("::", "[::1]"), ("::", "127.0.0.1")):
        call = DeskAddress(address, free_port())
        with _listening(call) as listening, running(application(desk_of(cottage, hosts=call.hosts)), listening):  # fmt: skip
            assert httpx.get(f"http://{asked}:{call.port}/", timeout=120).status_code == 200


def test_it_serves_this_machine_and_says_where(cottage: Path) -> None:
    port = free_port()
    command = [sys.executable, "-m", "builder.cli", "desk", "--workspace", str(cottage), "--port", str(port)]  # fmt: skip
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:  # fmt: skip
        assert running.stdout is not None
        assert running.stdout.readline() == f"The desk of cottage: http://127.0.0.1:{port}/  Stop with Ctrl+C.\n"  # fmt: skip
        answer = httpx.get(f"http://127.0.0.1:{port}/", timeout=120)
        running.terminate()
        running.wait(60)
        assert running.stderr is not None
        assert running.stderr.read() == ""
    assert answer.status_code == 200
    assert "riverside/01" in answer.text
