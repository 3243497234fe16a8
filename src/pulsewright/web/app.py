"""The page's server: each handler parses, calls one verb, shows."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager
from typing import Annotated, Any

from fastapi import FastAPI, HTTPException, Query, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException as StarletteHTTPException

from pulsewright.errors import ConflictError, Finding, PulsewrightError
from pulsewright.web import pages
from pulsewright.web.address import Address, JobAsk, ShotAsk, WriteAsk
from pulsewright.web.desk import Desk
from pulsewright.web.guard import LOOPBACK, Guard
from pulsewright.web.jobs import NO_JOB, Job
from pulsewright.web.reply import shot_reply
from pulsewright.web.results import result_reply
from pulsewright.web.sheets import SHEETS, Sheet
from pulsewright.web.show import page
from pulsewright.web.studies import studies_reply
from pulsewright.web.wire import MEDIA_TYPE
from pulsewright.workbench import Bench, safety_sheet


def create_app(bench: Bench, *, token: str | None = None, allowed_hosts: Iterable[str] = LOOPBACK) -> FastAPI:
    """The page of a bench.

    Parameters
    ----------
    bench : Bench
        Opened bench folder; a faulty build file is shown with its faults.
    token : str, optional
        Word that a browser must bring; needed wherever others than this machine can ask.
    allowed_hosts : iterable of str
        Names, without port, under which the page may be asked for.

    Returns
    -------
    app : FastAPI
    """
    desk = Desk(bench)

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        desk.warm()
        yield
        desk.jobs.close()

    app = FastAPI(title="pulsewright", docs_url=None, redoc_url=None, openapi_url=None, lifespan=life)
    app.state.desk = desk
    app.add_middleware(Guard, allowed_hosts=tuple(allowed_hosts), token=token)
    app.mount("/static", Static(packages=[("pulsewright.web", "static")]), name="static")
    _add_views(app, desk)
    _add_work(app, desk)
    _add_faults(app)
    return app


class Static(StaticFiles):
    """Files of the page; a browser asks again each time whether they changed."""

    def file_response(self, *args: Any, **more: Any) -> Response:
        """A file, not to be taken from memory unasked."""
        response = super().file_response(*args, **more)
        response.headers["cache-control"] = "no-cache"
        return response


def _add_views(app: FastAPI, desk: Desk) -> None:
    @app.get("/")
    def start(request: Request) -> Response:
        query = f"?{request.url.query}" if request.url.query else ""
        return RedirectResponse(f"/sheet/shot{query}", 303)

    @app.get("/sheet/{view}")
    def sheet(view: str, request: Request) -> Response:
        return _html(pages.whole(desk, _sheet(view), Address.read(request.query_params), _look(request)))

    @app.get("/part/{view}")
    def part(view: str, request: Request) -> Response:
        return _html(pages.main(desk, _sheet(view), Address.read(request.query_params)))

    @app.get("/formulas/{name}")
    def formula(name: str, request: Request) -> Response:
        given = {key[4:]: text[:400] for key, text in request.query_params.items() if key.startswith("arg-")}
        return _html(pages.formula(desk, name[:120], given, Address.read(request.query_params), _look(request)))

    @app.get("/paper")
    def paper(request: Request) -> Response:
        return _html(pages.paper(desk, Address.read(request.query_params)))

    @app.get("/safety")
    def safety() -> Response:
        desk.refresh()
        html = safety_sheet(desk.bench)
        return _html(html, {"content-security-policy": pages.policy_with_styles(html)})


def _add_work(app: FastAPI, desk: Desk) -> None:
    @app.post("/shot")
    def shot(ask: ShotAsk) -> Response:
        desk.refresh()
        found, quick = desk.live(ask.draft)
        reply = shot_reply(desk, found, ask.draft, _sheet(ask.view).id, drawings=ask.drawings, quick=quick)
        return Response(reply, media_type=MEDIA_TYPE)

    @app.post("/studies")
    def studies(ask: ShotAsk) -> Response:
        desk.refresh()
        return Response(studies_reply(desk, ask.draft, _sheet(ask.view)), media_type=MEDIA_TYPE)

    @app.post("/jobs")
    def start_job(ask: JobAsk) -> Any:
        desk.refresh()
        job = desk.start(ask.kind, ask.draft) if ask.start else desk.find(ask.kind, ask.draft)
        return NO_JOB if job is None else job.as_dict()

    @app.get("/jobs/{key}")
    def job(key: str) -> Any:
        return _job(desk, key).as_dict()

    @app.post("/jobs/{key}/stop")
    def stop_job(key: str) -> Any:
        desk.jobs.stop(_job(desk, key))
        return _job(desk, key).as_dict()

    @app.get("/jobs/{key}/result")
    def result(key: str, view: str, now: Annotated[float | None, Query(ge=0, le=1e7)] = None) -> Response:
        job, sheet = _job(desk, key), _sheet(view)
        if job.result is None:
            raise HTTPException(409, "The work has no result yet.")
        return Response(result_reply(desk, job, sheet.id, now), media_type=MEDIA_TYPE)

    @app.post("/write")
    def write(ask: WriteAsk) -> Any:
        desk.write(ask.draft, ask.sha)
        return {"sha": desk.bench.text_sha256, "written": sorted(ask.draft)}


def _add_faults(app: FastAPI) -> None:
    @app.exception_handler(PulsewrightError)
    def refused(request: Request, fault: PulsewrightError) -> Response:
        return _told(request, 409 if isinstance(fault, ConflictError) else 422, fault.findings)

    @app.exception_handler(RequestValidationError)
    def malformed(request: Request, fault: RequestValidationError) -> Response:
        first = fault.errors()[0]
        where = ".".join(str(step) for step in first["loc"])
        return _told(request, 422, (Finding("error", where, f"the request is malformed: {first['msg']}"),))

    @app.exception_handler(StarletteHTTPException)
    def missing(request: Request, fault: StarletteHTTPException) -> Response:
        step = "Go back to the strip" if fault.status_code == 404 else ""
        return _told(request, fault.status_code, (Finding("error", request.url.path, str(fault.detail), "", step),))

    @app.exception_handler(Exception)
    def failed(request: Request, fault: Exception) -> Response:
        words = f"the page failed, which is a fault of the program: {type(fault).__name__}"
        step = "Reload; if it comes again, report it with what the server printed"
        return _told(request, 500, (Finding("error", request.url.path, words, "", step),))


def _told(request: Request, status: int, findings: tuple[Finding, ...]) -> Response:
    """Findings as JSON for the page's own requests, as a page for a person's."""
    if request.method == "GET" and "text/html" in request.headers.get("accept", ""):
        return HTMLResponse(page("told.html", findings=findings, look=_look(request)), status)
    return JSONResponse({"findings": [finding.as_dict() for finding in findings]}, status)


def _html(text: str, headers: dict[str, str] | None = None) -> Response:
    return HTMLResponse(text, headers={"cache-control": "no-store", **(headers or {})})


def _sheet(view: str) -> Sheet:
    sheet = SHEETS.get(view)
    if sheet is None:
        raise HTTPException(404, f"There is no sheet {view[:40]!r}. Sheets: {', '.join(SHEETS)}.")
    return sheet


def _job(desk: Desk, key: str) -> Job:
    job = desk.jobs.get(key)
    if job is None:
        raise HTTPException(404, "There is no such work; it may have been dropped. Ask for it again.")
    return job


def _look(request: Request) -> str:
    look = request.cookies.get("look", "")
    return look if look in pages.LOOKS else ""
