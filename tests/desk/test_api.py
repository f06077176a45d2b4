"""The API: the same things, the same permissions, one shape for what is not as wanted."""

from __future__ import annotations

import json

import pytest

import webplants
from subspark.assess import assess
from subspark.choose.fits import fits


@pytest.fixture
def plant():
    return webplants.stored()


class Program:
    """A program with a token."""

    def __init__(self, plant, role):
        from subspark.store import people

        self.person = webplants.person(plant, role)
        _, self.secret = people.make_token(self.person, plant, "a test")
        self.browser = webplants.client()

    def get(self, address, **query):
        return self.browser.get(f"/api/v1/{address}", query, **self._head())

    def post(self, address, body):
        return self.browser.post(
            f"/api/v1/{address}",
            body if isinstance(body, str) else json.dumps(body),
            content_type="application/json",
            **self._head(),
        )

    def _head(self):
        return {"HTTP_AUTHORIZATION": f"Bearer {self.secret}"}


@pytest.fixture
def engineer(plant):
    return Program(plant, "engineer")


def _edit(program, length="40 m", tag="AT-4091"):
    record = program.get("record", kind="circuits", name=tag).json()
    record["content"]["runs"][0]["length"] = length
    return record


def test_the_plant_and_its_register(plant, engineer):
    told = engineer.get("plant").json()
    assert (told["name"], told["role"]) == (plant.name, "engineer")
    assert told["counts"] == assess(webplants.small()).counts
    found = engineer.get("circuits", q="verdict:unsafe", sort="used", down="true").json()
    assert found["total"] == told["counts"]["unsafe"]
    assert "AT-4091" in [one["tag"] for one in found["circuits"]]


def test_a_finding_is_that_of_the_command_line(engineer):
    expected = json.loads(json.dumps(assess(webplants.demo(), ["AT-4091"])["AT-4091"].as_dict()))
    assert engineer.get("finding", tag="AT-4091").json() == expected


def test_trying_saves_nothing_and_a_change_is_saved_once(plant, engineer):
    edit = _edit(engineer)
    tried = engineer.post("try", {"edits": [edit], "tags": ["AT-4091"]}).json()
    assert tried["findings"][0]["verdict"] == "safe"
    assert webplants.circuit(plant, "AT-4091").runs[0].length.text == "180 m"
    answer = engineer.post("change", {"why": "measured", "edits": [edit]})
    assert answer.json()["revision"] == 2
    assert engineer.get("changes").json()[0]["why"] == "measured"
    answer = engineer.post("change", {"why": "measured", "edits": [edit]})
    assert answer.status_code == 409
    told = answer.json()["error"]
    assert told["version"] == 2
    assert told["theirs"]["runs"][0]["length"] == "40 m"


def test_what_fits_and_mends_is_that_of_the_library(plant, engineer):
    found = engineer.get("fits", tag="AT-4091").json()
    best = fits(webplants.small(), "AT-4091")
    assert [one["source"] for one in found] == [
        one.candidate.kind.name for one in best[: len(found)]
    ]
    assert found[0]["serves"]
    assert all(one["reason"] for one in found if not one["serves"])
    mended = engineer.get("repairs", tag="AT-4091").json()
    assert mended[0]["sort"] == "shorten"
    assert mended[0]["change"]["edits"]
    for address in ("fits", "repairs"):
        assert engineer.get(address, tag="NOT-THERE").status_code == 404
    plant.refresh_from_db()
    assert plant.revision == 1


def test_an_inspection_is_kept_by_who_may_inspect(plant, engineer):
    given = {"tag": "AT-4091", "day": "2026-03-01", "grade": "close", "found": "faults"}
    answer = engineer.post("inspection", given)
    assert answer.status_code == 422
    assert "the remark wants to say which" in answer.json()["error"]["message"]
    kept = engineer.post("inspection", {**given, "remark": "gland loose"})
    assert kept.status_code == 200, kept.text
    assert engineer.get("inspections", tag="AT-4091").json() == [kept.json()]
    assert engineer.get("inspections", tag="PT-1101").json() == []
    assert engineer.post("inspection", {**given, "tag": "NOT-THERE"}).status_code == 404
    assert Program(plant, "reader").post("inspection", given).status_code == 403


def test_the_whole_plant_goes_out_as_a_document(engineer):
    from subspark.exchange import read_json

    assert read_json(engineer.get("export").text).digest == webplants.small().digest


@pytest.mark.parametrize("role", ["reader", "checker", "approver"])
def test_who_may_not_change_in_the_browser_may_not_here(plant, role):
    program = Program(plant, role)
    edit = _edit(program)
    assert program.post("try", {"edits": [edit]}).status_code == 200
    answer = program.post("change", {"why": "no", "edits": [edit]})
    assert answer.status_code == 403
    assert role in answer.json()["error"]["message"]


def test_a_token_is_for_its_plant_alone_and_ends_with_its_person(plant, engineer):
    other = webplants.stored()
    assert engineer.get("plant").json()["revision"] == 1
    from subspark.store import people

    people.set_role(other, engineer.person, "administrator")
    assert engineer.get("plant").json()["role"] == "engineer"
    engineer.person.is_active = False
    engineer.person.save()
    assert engineer.get("plant").status_code == 401
    assert webplants.client().get("/api/v1/plant").status_code == 401
    signed_in = webplants.client(webplants.person(plant, "administrator"))
    assert signed_in.get("/api/v1/plant").status_code == 401  # a session is no token


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ("not json", 400),
        ("[]", 422),
        ({}, 422),
        ({"why": "x", "edits": []}, 422),
        ({"why": "x", "edits": [{"kind": "nonsense", "name": "x", "version": 0}]}, 422),
        ({"why": "x", "edits": [{"kind": "plant", "name": "plant", "version": 1}]}, 422),
        (
            {
                "why": "x",
                "edits": [
                    {"kind": "areas", "name": "A", "version": 0, "content": {"tag": "A", "no": 1}}
                ],
            },
            422,
        ),
        ({"why": "x", "edits": [{"kind": "areas", "name": "\x00", "version": 0}]}, 422),
    ],
)
def test_what_is_not_as_wanted_has_one_shape(plant, engineer, body, status):
    answer = engineer.post("change", body)
    assert answer.status_code == status
    error = answer.json()["error"]
    assert isinstance(error["message"], str)
    assert error["message"]
    assert all({"at", "value", "wanted"} <= fault.keys() for fault in error["faults"])
    plant.refresh_from_db()
    assert plant.revision == 1


@pytest.mark.slow
def test_requests_made_up_from_the_schema_find_no_error_of_ours(plant):
    """By Schemathesis: no 5xx, every answer as described, nothing without a token."""
    import hypothesis
    import schemathesis
    from django.core.wsgi import get_wsgi_application

    from subspark.desk.api import api

    program = Program(plant, "engineer")
    schema = schemathesis.openapi.from_dict(json.loads(json.dumps(api.get_openapi_schema())))
    application = get_wsgi_application()
    checks = schemathesis.checks
    checks.load_all_checks()
    wanted = [
        checks.CHECKS.get_one(name)
        for name in (
            "not_a_server_error",
            "status_code_conformance",
            "content_type_conformance",
            "response_schema_conformance",
        )
    ]
    described = 0
    for found in schema.get_all_operations():
        operation = found.ok()
        described += 1

        @hypothesis.settings(
            max_examples=15,
            deadline=None,
            database=None,
            derandomize=True,
            suppress_health_check=list(hypothesis.HealthCheck),
        )
        @hypothesis.given(case=operation.as_strategy())
        def look(case):
            case.headers = {
                **dict(case.headers or {}),
                "Authorization": f"Bearer {program.secret}",
                "Host": "testserver",
                "Accept-Encoding": "identity",
            }
            answer = case.call(app=application, base_url="http://testserver")
            assert answer.status_code < 500, answer.text
            case.validate_response(answer, checks=wanted)

        look()
    assert described == 14
