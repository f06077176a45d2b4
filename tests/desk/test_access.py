"""Every address by every role: what each may see and do, and that nothing else answers."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from django.urls import get_resolver, reverse

import webplants

WHO = ("nobody", "stranger", "reader", "engineer", "checker", "approver", "administrator", "keeper")
IN = WHO[2:]
ALL = WHO[1:]
ENGINEERS = ("engineer", "administrator", "keeper")
CHECKERS = ("checker", "approver", "administrator", "keeper")
INSPECTORS = ("engineer", "checker", "approver", "administrator", "keeper")
MANAGERS = ("administrator", "keeper")

P = "plant"  # stands for the slug of the plant
TAG = "AT-4091"

# name of the address: its arguments, who may GET, who may POST. Whoever may not is refused
# (403), told that there is nothing (404), or led to the door (302). A POST of what is allowed may
# well find its (empty) form wanting; it is then told so (4xx), but not refused.
TABLE = {
    "start": ((), ALL, None),
    "drawing-style": ((), WHO, None),
    "font": (("sans",), WHO, None),
    "sign-in": ((), WHO, WHO),
    "openid": ((), (), None),  # no provider is named here; see test_openid.py
    "openid-back": ((), (), None),
    "sign-out": ((), None, ALL),
    "enter": (("unknown",), WHO, WHO),
    "account": ((), ALL, None),
    "password": ((), None, ALL),
    "token-end": ((0,), None, ()),
    "everybody": ((), ("keeper",), None),
    "person-new": ((), None, ("keeper",)),
    "person-link": ((0,), None, ()),
    "person-email": ((0,), None, ()),
    "person-active": ((0,), None, ()),
    "plants": ((), ALL, None),
    "plant-new": ((), None, ("keeper",)),
    "import-new": ((), ("keeper",), ("keeper",)),
    "empty-workbook": ((), ALL, None),
    "import-seen": ((0,), (), None),
    "import-accept": ((0,), None, ()),
    "import-layout": ((0,), (), ()),
    "help": ((), ALL, None),
    "help-rules": ((), ALL, None),
    "help-fields": ((), ALL, None),
    "help-walk": ((), ALL, None),
    "help-api": ((), ALL, None),
    "cautions": ((), ALL, None),
    "job": ((0,), (), None),
    "job-stop": ((0,), None, ()),
    "plant": ((P,), IN, None),
    "plant-head": ((P,), MANAGERS, MANAGERS),
    "register": ((P,), IN, None),
    "view-save": ((P,), None, IN),
    "view-end": ((P, 0), None, ()),
    "circuit": ((P, TAG), IN, None),
    "circuit-try": ((P, TAG), None, IN),
    "circuit-save": ((P, TAG), None, ENGINEERS),
    "circuit-drawing": ((P, TAG), IN, None),
    "circuit-plane": ((P, TAG), IN, None),
    "panel": ((P, "sources", "RW-1126"), IN, None),
    "repairs": ((P, TAG), IN, None),
    "fits": ((P, TAG), IN, None),
    "repair-apply": ((P, TAG), None, ENGINEERS),
    "dossier": ((P, TAG), IN, None),
    "choose": ((P,), IN, None),
    "choose-start": ((P,), None, ENGINEERS),
    "choose-seen": ((P, 0), (), None),
    "choose-apply": ((P, 0), None, ()),
    "papers": ((P,), IN, None),
    "papers-start": ((P,), None, IN),
    "papers-fetch": ((P, 0), (), None),
    "record-new": ((P, "areas"), ENGINEERS, ENGINEERS),
    "records": ((P, "sources"), IN, None),
    "record": ((P, "sources", "RW-1126"), IN, None),
    "record-try": ((P, "sources", "RW-1126"), None, IN),
    "record-save": ((P, "sources", "RW-1126"), None, ENGINEERS),
    "record-remove": ((P, "sources", "RW-1126"), None, ENGINEERS),
    "evidence-attach": ((P, "sources", "RW-1126"), None, ENGINEERS),
    "evidence": ((P, 0), (), None),
    "changes": ((P,), IN, None),
    "change": ((P, 1), IN, None),
    "change-review": ((P, 1), None, CHECKERS),
    "changes-since": ((P,), IN, None),
    "changes-since-review": ((P,), None, CHECKERS),
    "inspections": ((P,), IN, None),
    "inspection": ((P, TAG), IN, None),
    "inspection-try": ((P, TAG), None, IN),
    "inspection-save": ((P, TAG), None, INSPECTORS),
    "people": ((P,), IN, None),
    "people-role": ((P,), None, MANAGERS),
    "token-new": ((P,), None, IN),
    "import": ((P,), ENGINEERS, ENGINEERS),
    "export": ((P,), IN, None),
    "export-file": ((P, "json"), IN, None),
}


@dataclass
class Scene:
    """The plant, and a browser for each sort of person."""

    plant: object
    browsers: dict


@pytest.fixture(scope="module")
def scene():
    plant, other = webplants.stored(), webplants.stored()
    people = {
        "nobody": None,
        "stranger": webplants.person(other, "administrator"),
        "keeper": webplants.person(keeper=True),
        **{role: webplants.person(plant, role) for role in WHO[2:-1]},
    }
    return Scene(plant, {who: webplants.client(person) for who, person in people.items()})


def _address(name, plant):
    found = reverse(name, args=[plant.slug if one is P else one for one in TABLE[name][0]])
    return f"{found}?number=1" if name == "panel" else found


def test_the_table_names_every_address():
    named = {
        pattern.name
        for pattern in get_resolver("subspark.desk.urls").url_patterns
        if getattr(pattern, "name", None)
    }
    assert named == TABLE.keys()


@pytest.mark.parametrize("who", WHO)
@pytest.mark.parametrize("name", TABLE)
def test_an_address_answers_those_whom_it_may(scene, name, who):
    _, may_get, may_post = TABLE[name]
    address = _address(name, scene.plant)
    browser = scene.browsers[who]
    for verb, allowed in (("get", may_get), ("post", may_post)):
        if name == "sign-out" and verb == "post":
            continue  # it would end the sessions of this table; tested elsewhere
        status = getattr(browser, verb)(address).status_code
        assert status < 500
        if allowed is None:
            assert status in (302, 403, 404, 405), f"{verb} {status}"
        elif who not in allowed:
            assert status in (302, 403, 404), f"{verb} {status}"
            if who == "nobody":
                assert status in (302, 404)
            elif who == "stranger" and P in TABLE[name][0]:
                assert status == 404  # as if there were no such plant
        else:
            assert status not in (403, 405), f"{verb} {status}"
            if name not in ("enter", "people-role"):  # those look for something named in the form
                assert status != 404, f"{verb} {status}"


def test_signing_out_ends_the_session():
    browser = webplants.client(webplants.person())
    browser.post(reverse("sign-out"))
    assert browser.get(reverse("account")).status_code == 302


def test_a_thing_of_another_plant_is_not_reached_by_its_number(scene):
    """A job, a file, a view and a token of one plant, asked for through another or by another."""
    from subspark.store.models import Evidence, JobRow, SavedView

    other = webplants.stored()
    owner = webplants.person(other, "engineer")
    file = Evidence.objects.create(
        plant=other,
        kind="sources",
        record="RW-1126",
        title="a.pdf",
        media="application/pdf",
        size=1,
        digest="",
        stored="none.pdf",
        by="x",
    )
    view = SavedView.objects.create(plant=other, person=owner, title="mine", query="")
    job = JobRow.objects.create(plant=other, person=owner, sort="read", title="t", state="done")
    for who in ("reader", "engineer", "administrator"):
        browser = scene.browsers[who]
        slug = scene.plant.slug
        for address in (
            reverse("evidence", args=[slug, file.pk]),
            reverse("evidence", args=[other.slug, file.pk]),
            reverse("job", args=[job.pk]),
            reverse("import-seen", args=[job.pk]),
            reverse("change", args=[other.slug, 1]),
        ):
            assert browser.get(address).status_code == 404, address
        for address in (
            reverse("view-end", args=[slug, view.pk]),
            reverse("job-stop", args=[job.pk]),
            reverse("import-accept", args=[job.pk]),
        ):
            assert browser.post(address).status_code == 404, address
