"""The web application: takes a request apart, asks the room, and puts the answer together."""

from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager, suppress
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from builder.desk import signing_in
from builder.desk.answers import Answer, EventsAnswer, FileAnswer, GoTo, PageAnswer
from builder.desk.asked import Asked, Upload, Who
from builder.desk.desk import Desk
from builder.desk.guard import Guard
from builder.desk.jobs import progress
from builder.desk.pages import STATIC, rendered, static
from builder.desk.room import DeskRoom, Way
from builder.desk.rooms import ROOMS
from builder.desk.signing_in import way_in, who_asks
from builder.disk import true_place
from builder.errors import FindingsError, HandoverError
from builder.unforeseen import mistake_of

MOST_FILES, MOST_FIELDS = 50, 2_000
LARGEST_FIELD = 2 * 1024 * 1024
"""Bytes of one field of a form that is no file: an article, or a table that was pasted in."""
Endpoint = Any


def application(desk: Desk) -> Guard:
    """The desk as an ASGI application, behind its guard."""

    @asynccontextmanager
    async def living(_: Starlette) -> AsyncIterator[None]:
        desk.open()
        yield
        desk.close()

    routes = [
        *(Route(f"/static/{name}", _static(name), methods=["GET"]) for name in STATIC),
        *(_route(desk, way) for room in ROOMS for way in room.ways),
        *signing_in.routes(desk, _response_of),
    ]
    mishap = _mishap(desk)
    handlers: dict[Any, Any] = {HTTPException: mishap, HandoverError: mishap, Exception: mishap}
    made = Starlette(routes=routes, lifespan=living, exception_handlers=handlers)
    return Guard(made, desk.setting.hosts)


def _static(name: str) -> Endpoint:
    async def file(_: Request) -> Response:
        return Response(
            static(name), media_type=STATIC[name], headers={"Cache-Control": "no-cache"}
        )

    return file


def _route(desk: Desk, way: Way) -> Route:
    async def endpoint(request: Request) -> Response:
        who = await run_in_threadpool(who_asks, desk, request)
        if who is None:
            return (
                RedirectResponse(way_in(request), 303) if way.method == "GET" else _first_sign_in()
            )
        if not who.may(way.right):
            answer: Answer = _no_right(way)
            return _response_of(desk, request, who, answer)
        asked = await _asked_by(request, who)
        answer = await run_in_threadpool(_answered, desk, way, asked)
        return await run_in_threadpool(_response_of, desk, request, who, answer)

    return Route(way.path, endpoint, methods=[way.method])


def _answered(desk: Desk, way: Way, asked: Asked) -> Answer:
    if way.method != "GET":
        return way.handler(desk, asked)
    with (
        desk.board.one_look()
    ):  # A page that changes nothing need not look again at every question.
        return way.handler(desk, asked)


def _first_sign_in() -> Response:
    raise HTTPException(401, "Sign in first, and do it again. Nothing was changed.")


def _no_right(way: Way) -> PageAnswer:
    values = {"wrong": "Your role may not do this.", "right": "Choose another role at the top, or ask a colleague who has it."}  # fmt: skip
    return PageAnswer("mishap.html", "Not for this role", "", {**values, "way": way.right}, 403)


async def _asked_by(request: Request, who: Who) -> Asked:
    form: FormData | None = None
    if request.method == "POST":
        form = await request.form(
            max_files=MOST_FILES, max_fields=MOST_FIELDS, max_part_size=LARGEST_FIELD
        )
    texts: dict[str, tuple[str, ...]] = {}
    sent: dict[str, tuple[Upload, ...]] = {}
    for name, value in form.multi_items() if form else ():
        if isinstance(value, UploadFile):
            upload = Upload(value.filename or "", await value.read())
            sent[name] = (*sent.get(name, ()), upload)
        else:
            texts[name] = (*texts.get(name, ()), value)
    if form is not None:
        await form.close()
    named = {name: str(each) for name, each in request.path_params.items()}
    return Asked(who, request.url.path, named, dict(request.query_params), texts, sent)


def _response_of(desk: Desk, request: Request, who: Who | None, answer: Answer) -> Response:
    if isinstance(answer, GoTo):
        path = answer.path
        if answer.notice is not None:
            number = desk.notices.keep(answer.notice)
            path, _, place = path.partition("#")
            path = f"{path}{'&' if '?' in path else '?'}said={number}{'#' + place if place else ''}"
        return RedirectResponse(path, 303)
    if isinstance(answer, FileAnswer):
        return _file(answer)
    if isinstance(answer, EventsAnswer):
        return StreamingResponse(progress(desk.jobs, answer.job), media_type="text/event-stream")
    frame = _frame(desk, request, who, answer)
    html = rendered(answer.template, {**frame, **answer.values})
    return Response(html, answer.status, media_type="text/html; charset=utf-8")


def _frame(desk: Desk, request: Request, who: Who | None, answer: PageAnswer) -> Mapping[str, Any]:
    """What stands around every page."""
    rooms: tuple[DeskRoom, ...] = ROOMS if who is not None else ()
    return {
        "title": answer.title,
        "room": answer.room,
        "rooms": [each for each in rooms if each.title],
        "who": who,
        "here": request.url.path,
        "query": dict(request.query_params),
        "said": desk.notices.of(request.query_params.get("said", "")),
        "signs_in": desk.accounts is not None and desk.setting.proxy is None,
        "workspace": true_place(desk.setting.root).name,
        "today": desk.setting.today(),
    }


def _file(answer: FileAnswer) -> Response:
    headers = dict(answer.headers)
    if answer.name:
        headers["Content-Disposition"] = f'attachment; filename="{answer.name}"'
    if answer.policy:
        headers["Content-Security-Policy"] = answer.policy
        headers["X-Frame-Options"] = "SAMEORIGIN"
    return Response(answer.content, media_type=answer.media_type, headers=headers)


def _status_and_words(error: Exception) -> tuple[int, str]:
    """The number of an answer, and what went wrong in words."""
    if isinstance(error, HTTPException):
        missing = error.status_code == 404  # noqa: PLR2004
        return error.status_code, "There is no such page." if missing else str(error.detail)
    if isinstance(error, FindingsError):
        return 400, " ".join(f"{each.place}: {each.wrong} {each.right}" for each in error.findings)
    if isinstance(error, HandoverError):
        return 400, str(error)
    return 500, f"{mistake_of('desk', error)} Nothing was changed."


def _mishap(desk: Desk) -> Endpoint:
    async def told(request: Request, error: Exception) -> Response:
        status, wrong = _status_and_words(error)
        who: Who | None = None
        with suppress(Exception):  # the mishap may be that nobody can tell who asks
            who = await run_in_threadpool(who_asks, desk, request)
        values = {"wrong": wrong, "right": "Go back, or begin at Today.", "way": ""}
        return _response_of(desk, request, who, PageAnswer("mishap.html", "That did not work", "", values, status))  # fmt: skip

    return told
