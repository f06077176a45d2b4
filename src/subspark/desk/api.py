"""The same things by JSON: for programs, with a token of one person for one plant.

Every answer that is not as wanted has one shape: ``{"error": {"message": ..., "faults": [...]}}``.
"""

from __future__ import annotations

import json
from typing import Annotated, Any

from django.http import HttpRequest, HttpResponse
from ninja import NinjaAPI, Query, Schema
from ninja.errors import AuthenticationError, HttpError, ValidationError
from ninja.security import HttpBearer
from pydantic import ConfigDict, Field

from subspark import __version__
from subspark.errors import PlantError, SubsparkError, UsageError
from subspark.exchange import write_json
from subspark.store import choosing, inspecting, people, plants, register, trying
from subspark.store.kinds import HEAD, KINDS, Key, plain_of, read_content, text_of
from subspark.store.models import ChangeRow, EntryRow, Inspection, VerdictRow
from subspark.store.people import Access, access
from subspark.store.plants import Edit

__all__ = ["api"]

_PAGE = 200
_Text = Annotated[str, Field(max_length=300)]
_Number = Annotated[int, Field(ge=0, le=2**31 - 1)]


class Bearer(HttpBearer):
    """A token of one person for one plant."""

    def authenticate(self, request: HttpRequest, token: str) -> Access | None:
        """Whom the token speaks for, with the role that she has now."""
        found = people.person_of_token(token)
        if found is None:
            return None
        person, plant = found
        request.user = person
        return access(person, plant.slug)


api = NinjaAPI(
    title="Subspark desk",
    version="1",
    description=f"Subspark {__version__}. A token stands for one person in one plant.",
    auth=Bearer(),
    docs_url=None,
    openapi_url="openapi.json",
)


class Told(Schema):
    """What went wrong."""

    message: str
    faults: list[dict[str, str]] = []


class Wrong(Schema):
    """The one shape of every answer that is not as wanted."""

    error: Told


class PlantOut(Schema):
    """A plant."""

    name: str
    code: str
    revision: int
    role: str
    counts: dict[str, int]


class CircuitOut(Schema):
    """A row of the register."""

    tag: str
    service: str
    area: str
    source: str
    apparatus: str
    verdict: str
    governing: str | None
    utilisation: float | None
    length: float | None
    open_points: int
    waits: bool


class CircuitsOut(Schema):
    """One page of the register."""

    total: int
    start: int
    next: int | None
    circuits: list[CircuitOut]


class RecordOut(Schema):
    """A record as it stands."""

    kind: str
    name: str
    version: int
    content: dict[str, Any]


class NameOut(Schema):
    """The name of a record, and its version."""

    name: str
    version: int


class EditIn(Schema):
    """A record as it shall be; ``content`` null removes it; ``version`` 0 makes it new."""

    model_config = ConfigDict(extra="forbid")
    kind: _Text
    name: _Text
    version: _Number
    content: dict[str, Any] | None = None


class ChangeIn(Schema):
    """A change: all of it, or nothing."""

    model_config = ConfigDict(extra="forbid")
    why: Annotated[str, Field(min_length=1, max_length=500)]
    edits: Annotated[list[EditIn], Field(min_length=1, max_length=1000)]


class InspectionIn(Schema):
    """What was found on site; lengths that were measured are saved by ``change``."""

    model_config = ConfigDict(extra="forbid")
    tag: Annotated[str, Field(min_length=1, max_length=300)]
    day: Annotated[str, Field(max_length=10)]
    grade: Annotated[str, Field(max_length=12)]
    found: Annotated[str, Field(max_length=12)]
    remark: Annotated[str, Field(max_length=1000)] = ""


class TryIn(Schema):
    """Records as they would be, and the circuits whose findings are wanted."""

    model_config = ConfigDict(extra="forbid")
    edits: Annotated[list[EditIn], Field(max_length=200)] = []
    tags: Annotated[list[_Text], Field(max_length=50)] = []


class DoneOut(Schema):
    """What a change did."""

    revision: int
    touched: int
    waiting: int


class EffectOut(Schema):
    """A circuit whose verdict or utilisation would be another."""

    tag: str
    before: str
    after: str
    used_before: float | None
    used: float | None


class TrialOut(Schema):
    """What some changes would do."""

    touched: int
    effects: list[EffectOut]
    findings: list[dict[str, Any]]


class ChangeOut(Schema):
    """A change of the plant."""

    revision: int
    at: str
    by: str
    why: str
    records: int
    chain: str


class NeedOut(Schema):
    """Something missing, and how many circuits it would settle."""

    of: str
    what: str
    how: str
    settles: int
    alone: int
    touches: int


class FitOut(Schema):
    """A source of the catalogue for a circuit; ``reason`` is why it does not serve."""

    source: str
    outputs: str
    serves: bool
    verdict: str
    used: float | None
    works: str
    price: float | None
    stock: float | None
    present: bool
    reason: str


class RepairOut(Schema):
    """A change that mends a circuit, as ``subspark apply`` and the desk take it."""

    sort: str
    says: str
    worse: list[str]
    change: dict[str, Any] | None


class InspectionOut(Schema):
    """An inspection of a circuit on site."""

    tag: str
    day: str
    grade: str
    found: str
    remark: str
    by: str
    revision: int


# --- errors --------------------------------------------------------------------------------------


def _wrong(request: HttpRequest, status: int, message: str, **more: Any) -> HttpResponse:  # noqa: ANN401
    faults = more.pop("faults", [])
    body = {"error": {"message": message, "faults": faults, **more}}
    return api.create_response(request, body, status=status)


@api.exception_handler(plants.ConflictError)
def _conflict(request: HttpRequest, error: plants.ConflictError) -> HttpResponse:
    theirs = None if error.theirs is None else plain_of(error.theirs)
    return _wrong(request, 409, str(error), version=error.version, theirs=theirs)


@api.exception_handler(PlantError)
def _faulty(request: HttpRequest, error: PlantError) -> HttpResponse:
    faults = [
        {
            "at": ".".join(str(part) for part in one.path) or one.where,
            "value": one.value,
            "wanted": one.wanted,
        }
        for one in error.faults
    ]
    return _wrong(request, 422, "the records cannot be taken", faults=faults)


@api.exception_handler(SubsparkError)
def _refused(request: HttpRequest, error: SubsparkError) -> HttpResponse:
    return _wrong(request, 422, str(error))


@api.exception_handler(ValidationError)
def _invalid(request: HttpRequest, error: ValidationError) -> HttpResponse:
    faults = [
        {"at": ".".join(str(part) for part in one["loc"]), "value": "", "wanted": one["msg"]}
        for one in error.errors
    ]
    return _wrong(request, 422, "the request is not as described", faults=faults)


@api.exception_handler(AuthenticationError)
def _unknown(request: HttpRequest, error: AuthenticationError) -> HttpResponse:  # noqa: ARG001
    return _wrong(request, 401, "wanted a valid token: Authorization: Bearer subspark_...")


@api.exception_handler(HttpError)
def _plain(request: HttpRequest, error: HttpError) -> HttpResponse:
    return _wrong(request, error.status_code, str(error))


def _access(request: HttpRequest, may: str = "read") -> Access:
    found: Access = request.auth
    if not found.may(may):
        raise HttpError(403, f"the role {found.role} does not permit this")
    return found


_ERRORS = {401: Wrong, 403: Wrong, 404: Wrong, 422: Wrong}
# A request that is no JSON at all is told as 400.
_BODY_ERRORS = {400: Wrong, **_ERRORS}


# --- reading -------------------------------------------------------------------------------------


@api.get("/plant", response={200: PlantOut, **_ERRORS}, tags=["read"])
def plant(request: HttpRequest) -> dict[str, Any]:
    """The plant of the token."""
    found = _access(request)
    row = found.plant
    return {
        "name": row.name,
        "code": row.code,
        "revision": row.revision,
        "role": found.role,
        "counts": register.counts(row.pk),
    }


@api.get("/circuits", response={200: CircuitsOut, **_ERRORS}, tags=["read"])
def circuits(
    request: HttpRequest,
    q: Annotated[list[str], Query(max_length=12)] = [],  # noqa: B006 - ninja copies it
    sort: _Text = "order",
    down: bool = False,
    start: _Number = 0,
) -> dict[str, Any]:
    """One page of the register, by the same filters as in the browser."""
    found = register.listing(
        _access(request).plant.pk, register.terms(q), sort, down=down, start=start
    )
    return {
        "total": found.total,
        "start": found.start,
        "next": found.next,
        "circuits": [_circuit(one) for one in found.rows],
    }


def _circuit(one: VerdictRow) -> dict[str, Any]:
    from subspark.rules import Verdict

    return {
        "tag": one.tag,
        "service": one.service,
        "area": one.area,
        "source": one.source,
        "apparatus": one.apparatus,
        "verdict": Verdict(one.verdict).word,
        "governing": one.governing or None,
        "utilisation": one.utilisation,
        "length": one.length,
        "open_points": one.open_points,
        "waits": one.stale,
    }


@api.get("/finding", response={200: dict[str, Any], **_ERRORS}, tags=["read"])
def finding(request: HttpRequest, tag: _Text) -> dict[str, Any]:
    """What the rules say of one circuit, as ``subspark check --format json`` writes it."""
    found = _access(request)
    if not VerdictRow.objects.filter(plant=found.plant, tag=_clean(tag)).exists():
        raise HttpError(404, "there is no such circuit in this plant")
    return trying.look(found.plant.pk, tag)[tag].as_dict()


def _clean(text: str) -> str:
    if "\x00" in text or not text.isprintable():
        raise UsageError("a name has no such character")
    return text


@api.get("/records/{kind}", response={200: list[NameOut], **_ERRORS}, tags=["read"])
def records(request: HttpRequest, kind: _Text, start: _Number = 0) -> list[dict[str, Any]]:
    """Names and versions of the records of a kind, two hundred at a time."""
    _known(kind)
    rows = EntryRow.objects.filter(plant=_access(request).plant, kind=kind, gone=False)
    listed = rows.order_by("place").values("name", "version")[start : start + _PAGE]
    return list(listed)


def _known(kind: str) -> None:
    if kind not in KINDS and kind != HEAD:
        raise HttpError(404, f"there is no such kind of record; wanted one of {', '.join(KINDS)}")


@api.get("/record", response={200: RecordOut, **_ERRORS}, tags=["read"])
def record(request: HttpRequest, kind: _Text, name: _Text) -> dict[str, Any]:
    """One record with its version."""
    _known(kind)
    rows = EntryRow.objects.filter(plant=_access(request).plant, kind=kind, gone=False)
    row = rows.filter(name=_clean(name)).first()
    if row is None:
        raise HttpError(404, "there is no such record in this plant")
    return {
        "kind": row.kind,
        "name": row.name,
        "version": row.version,
        "content": json.loads(row.content),
    }


@api.get("/fits", response={200: list[FitOut], **_ERRORS}, tags=["read"])
def fits(request: HttpRequest, tag: _Text) -> list[dict[str, Any]]:
    """The sources of the catalogue that fit a circuit, best first, and the nearest that do not."""
    return [
        {
            "source": one.candidate.kind.name,
            "outputs": one.candidate.outputs,
            "serves": one.serves,
            "verdict": one.verdict.word,
            "used": one.utilisation,
            "works": one.works_word,
            "price": one.price,
            "stock": one.stock,
            "present": one.present,
            "reason": one.reason,
        }
        for one in choosing.fitting(_of_circuit(request, tag), tag)
    ]


@api.get("/repairs", response={200: list[RepairOut], **_ERRORS}, tags=["read"])
def repairs(request: HttpRequest, tag: _Text) -> list[dict[str, Any]]:
    """What would mend a circuit, the least effort first; each was proved."""
    return [
        {
            "sort": one.sort,
            "says": one.says,
            "worse": list(one.worse),
            "change": one.change.as_dict() if one.change.edits else None,
        }
        for one in choosing.mending(_of_circuit(request, tag), tag).repairs
    ]


def _of_circuit(request: HttpRequest, tag: str) -> int:
    """The plant of a token in which there is a circuit."""
    plant: int = _access(request).plant.pk
    if not VerdictRow.objects.filter(plant=plant, tag=_clean(tag)).exists():
        raise HttpError(404, "there is no such circuit in this plant")
    return plant


@api.get("/inspections", response={200: list[InspectionOut], **_ERRORS}, tags=["read"])
def inspections(request: HttpRequest, tag: _Text = "", start: _Number = 0) -> list[dict[str, Any]]:
    """Inspections of a circuit, or of all, the latest first, two hundred at a time."""
    rows = Inspection.objects.filter(plant=_access(request).plant)
    if tag:
        rows = rows.filter(tag=_clean(tag))
    return [_inspection(one) for one in rows.order_by("-day", "-pk")[start : start + _PAGE]]


def _inspection(one: Inspection) -> dict[str, Any]:
    words = ("tag", "grade", "found", "remark", "by", "revision")
    return {"day": one.day.isoformat()} | {name: getattr(one, name) for name in words}


@api.get("/missing", response={200: list[NeedOut], **_ERRORS}, tags=["read"])
def missing(request: HttpRequest) -> list[dict[str, Any]]:
    """What to ask for next."""
    return [
        {
            "of": one.need.of,
            "what": one.need.what,
            "how": one.need.how,
            "settles": one.settles,
            "alone": one.alone,
            "touches": one.touches,
        }
        for one in register.missing(_access(request).plant.pk)
    ]


@api.get("/changes", response={200: list[ChangeOut], **_ERRORS}, tags=["read"])
def changes(request: HttpRequest, before: _Number = 2**31 - 1) -> list[dict[str, Any]]:
    """Changes of the plant, the latest first, two hundred at a time."""
    rows = ChangeRow.objects.filter(plant=_access(request).plant, revision__lt=before)
    return [
        {
            "revision": one.revision,
            "at": one.at.isoformat(),
            "by": one.by,
            "why": one.why,
            "records": one.records,
            "chain": one.chain,
        }
        for one in rows.order_by("-revision")[:_PAGE]
    ]


@api.get("/export", response={200: dict[str, Any], **_ERRORS}, tags=["read"])
def export(request: HttpRequest) -> dict[str, Any]:
    """The whole plant as one document."""
    return dict(json.loads(write_json(plants.whole(_access(request).plant.pk))))


# --- trying and changing -------------------------------------------------------------------------


def _edits(given: list[EditIn]) -> list[Edit]:
    found: dict[Key, Edit] = {}
    for one in given:
        if one.kind not in KINDS and one.kind != HEAD:
            raise UsageError(f"{one.kind!r} is no kind of record; wanted {', '.join(KINDS)}")
        key = (one.kind, _clean(one.name))
        if key in found:
            raise UsageError(f"{one.kind} {one.name!r} stands twice; wanted once")
        if one.content is None and one.kind == HEAD:
            raise UsageError("the plant itself cannot be removed")
        made = None if one.content is None else read_content(one.kind, text_of(one.content))
        found[key] = Edit(key, made, one.version)
    return list(found.values())


@api.post("/try", response={200: TrialOut, 409: Wrong, **_BODY_ERRORS}, tags=["change"])
def attempt(request: HttpRequest, given: TryIn) -> dict[str, Any]:
    """What some changes would do; nothing is saved."""
    found = _access(request)
    made = {one.key: one.record for one in _edits(given.edits)}
    tried = trying.trial(found.plant.pk, made, [_clean(tag) for tag in given.tags])
    wanted = [one.tag for one in tried.assessment.circuits if one.tag in set(given.tags)]
    return {
        "touched": tried.touched,
        "effects": [
            {
                "tag": one.tag,
                "before": one.before,
                "after": one.after,
                "used_before": one.used_before,
                "used": one.used,
            }
            for one in tried.effects
        ],
        "findings": [tried.assessment[tag].as_dict() for tag in wanted],
    }


@api.post("/change", response={200: DoneOut, 409: Wrong, **_BODY_ERRORS}, tags=["change"])
def change(request: HttpRequest, given: ChangeIn) -> dict[str, Any]:
    """Save a change: all of it or nothing; refused where somebody was quicker."""
    found = _access(request, "change")
    done = plants.change(found.plant.pk, _edits(given.edits), given.why, found.person)
    if done.waiting:
        from subspark.store import jobs

        plan = {"plant": found.plant.pk}
        jobs.ask("judge", "Judging circuits", found.plant, found.person, plan)
    return {"revision": done.revision, "touched": done.touched, "waiting": done.waiting}


@api.post("/inspection", response={200: InspectionOut, **_BODY_ERRORS}, tags=["change"])
def inspect(request: HttpRequest, given: InspectionIn) -> dict[str, Any]:
    """Keep an inspection of a circuit."""
    found = _access(request, "inspect")
    _of_circuit(request, given.tag)
    _clean(given.remark)
    kept = inspecting.record(found.plant, given.tag, found.person, given.dict())
    return _inspection(kept)
