"""A code leads to one home, at an address that is still served: two registers that hold the same codes,
and hosts that guides have left with nothing to lead on from there.

Somebody begins a development by copying the folder of another, and its codes come along; somebody gives
a new ``base_url``, and what was printed for the last one leads nowhere. Nobody sees either by looking.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from urllib.parse import urlsplit

from builder.build.manifest import Records
from builder.errors import Finding, Place, Severity
from builder.register.lines import Register
from builder.register.redirects import host_of
from builder.sources.entry import Entry
from builder.sources.workspace import DevelopmentSource

_NOWHERE = re.compile(r"(.+\.)?(example|invalid|test|localhost)(:\d+)?|[\d.:]+")
"""Hosts that no reader can reach: reserved names (RFC 2606), and addresses in numbers."""


def shared_codes(registers: Mapping[str, Register]) -> Iterator[Finding]:
    """One finding for each two developments whose registers hold the same codes."""
    owners: dict[str, str] = {}
    shared: dict[tuple[str, str], int] = {}
    for development, register in sorted(registers.items()):
        for each in register.codes:
            owner = owners.setdefault(each.code, development)
            if owner != development:
                shared[owner, development] = shared.get((owner, development), 0) + 1
    for (first, second), number in sorted(shared.items()):
        yield _shared(registers, first, second, number)


def _shared(registers: Mapping[str, Register], first: str, second: str, number: int) -> Finding:
    """Said of the one that has no codes of its own, if there is one: that is the copy."""
    own = {each: len(registers[each].codes) - number for each in (second, first)}
    copy = next((each for each, more in own.items() if not more), None)
    other = first if copy != first else second
    if copy is None:
        right = (
            "Put the register of the copy back as it was before, from the history of the project."
        )
    elif own[other]:
        right = f"Delete register.csv and register.seal in developments/{copy}: its homes get codes of their own."
    else:
        right = "Delete register.csv and register.seal in the folder that is the copy: its homes get codes of their own."
    codes = "1 code" if number == 1 else f"{number} codes"
    return Finding(
        "register.shared", Place(registers[copy or second].file),
        f"{codes} of '{other}' {'stands' if number == 1 else 'stand'} here too: one folder was copied from the other, and a code leads to one home.",
        right,
    )  # fmt: skip


def left_hosts(
    developments: Iterable[DevelopmentSource], trees: Iterable[Records]
) -> Iterator[Finding]:
    """What was printed for a host that no base_url names any more, and a host that was never left."""
    published: dict[str, set[str]] = {}
    for records in trees:
        for name, hosts in records.hosts().items():
            published.setdefault(name, set()).update(hosts)
    for development in developments:
        now, former = _addresses(development)
        if now is None:
            continue
        known = {host_of(str(each.value)) for each in (now, *former)}
        for left in sorted(published.get(development.id, set()) - known):
            yield _left(left, now)
        for each in former:
            if str(each.value).rstrip("/") == str(now.value).rstrip("/"):
                yield _not_left(each)


def hosts_after(
    before: Mapping[str, Collection[str]], served: Iterable[DevelopmentSource]
) -> Mapping[str, Collection[str]]:
    """Every host that guides of a development were published for, those of today among them."""
    after = {name: set(hosts) for name, hosts in before.items()}
    for development in served:
        now, _ = _addresses(development)
        host = host_of(str(now.value)) if now else ""
        if host and not _NOWHERE.fullmatch(host):
            after.setdefault(development.id, set()).add(host)
    return {name: sorted(hosts) for name, hosts in sorted(after.items())}


def _addresses(development: DevelopmentSource) -> tuple[Entry | None, list[Entry]]:
    """Where guides are served from, and where they were before."""
    about = development.entry.child("development") if development.entry else None
    if about is None:
        return None, []
    former = about.child("former_base_urls")
    listed = former.value if former and isinstance(former.value, tuple) else ()
    return about.child("base_url"), list(listed)


def _left(host: str, now: Entry) -> Finding:
    return Finding(
        "development.left-host", now.place,
        f"Guides and stickers were published for '{host}', and from here on nothing leads there.",
        f"Name it, former_base_urls: [https://{host}], and send it what leads on: handover deploy --former-host {host} DEST",
        path="development.base_url",
    )  # fmt: skip


def _not_left(former: Entry) -> Finding:
    host = urlsplit(str(former.value)).netloc
    return Finding(
        "development.not-left", former.place,
        f"Guides are served from '{host}' today: it is no former address, and pages that lead on would lead to themselves.",
        "Take it out of former_base_urls.", path="development.former_base_urls",
        severity=Severity.ERROR,
    )  # fmt: skip
