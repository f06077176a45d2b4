"""Every address of the desk."""

from __future__ import annotations

from django.urls import path, register_converter

from subspark.desk import guard
from subspark.desk.api import api
from subspark.desk.names import NameConverter
from subspark.desk.views import (
    changes,
    choose,
    circuit,
    enter,
    evidence,
    help_pages,
    home,
    inspections,
    papers,
    people,
    record,
    register,
    transfer,
    work,
)

register_converter(NameConverter, "name")

handler400 = guard.bad
handler403 = guard.refused
handler404 = guard.not_found
handler500 = guard.failed

_P = "p/<slug:slug>/"

urlpatterns = [
    path("", home.start, name="start"),
    path("drawing.css", help_pages.drawing_style, name="drawing-style"),
    path("fonts/<slug:name>.woff", help_pages.font, name="font"),
    path("sign-in", enter.sign_in, name="sign-in"),
    path("sign-in/openid", enter.by_openid, name="openid"),
    path("sign-in/openid/back", enter.from_openid, name="openid-back"),
    path("sign-out", enter.sign_out, name="sign-out"),
    path("enter/<str:secret>", enter.by_link, name="enter"),
    path("account", enter.account, name="account"),
    path("account/password", enter.password, name="password"),
    path("account/tokens/<int:number>/end", enter.end_token, name="token-end"),
    path("people", people.everybody, name="everybody"),
    path("people/new", people.new, name="person-new"),
    path("people/<int:number>/link", people.link, name="person-link"),
    path("people/<int:number>/email", people.email, name="person-email"),
    path("people/<int:number>/active", people.active, name="person-active"),
    path("plants", home.plants, name="plants"),
    path("plants/new", home.new, name="plant-new"),
    path("plants/import", transfer.bring_new, name="import-new"),
    path("plants/empty.xlsx", transfer.empty, name="empty-workbook"),
    path("imports/<int:number>", transfer.looked_at, name="import-seen"),
    path("imports/<int:number>/layout", transfer.layout, name="import-layout"),
    path("imports/<int:number>/accept", transfer.accept, name="import-accept"),
    path("help", help_pages.index, name="help"),
    path("help/rules", help_pages.rules, name="help-rules"),
    path("help/fields", help_pages.fields, name="help-fields"),
    path("help/walk", help_pages.walk, name="help-walk"),
    path("cautions", help_pages.cautions, name="cautions"),
    path("help/api", help_pages.api_page, name="help-api"),
    path("api/v1/", api.urls),
    path("jobs/<int:number>", work.job, name="job"),
    path("jobs/<int:number>/stop", work.stop, name="job-stop"),
    path(f"{_P}", home.plant, name="plant"),
    path(f"{_P}head", home.head, name="plant-head"),
    path(f"{_P}circuits", register.page, name="register"),
    path(f"{_P}circuits/views", register.save_view, name="view-save"),
    path(f"{_P}circuits/views/<int:number>/end", register.end_view, name="view-end"),
    path(f"{_P}circuits/<name:name>", circuit.page, name="circuit"),
    path(f"{_P}circuits/<name:name>/try", circuit.attempt, name="circuit-try"),
    path(f"{_P}circuits/<name:name>/save", circuit.save, name="circuit-save"),
    path(f"{_P}circuits/<name:name>/drawing.svg", circuit.drawing, name="circuit-drawing"),
    path(f"{_P}circuits/<name:name>/plane.svg", circuit.plane, name="circuit-plane"),
    path(f"{_P}circuits/<name:name>/repairs", choose.repairs, name="repairs"),
    path(f"{_P}circuits/<name:name>/fits", choose.fits, name="fits"),
    path(f"{_P}circuits/<name:name>/apply", choose.apply, name="repair-apply"),
    path(f"{_P}circuits/<name:name>/dossier.pdf", papers.dossier, name="dossier"),
    path(f"{_P}choose", choose.page, name="choose"),
    path(f"{_P}choose/start", choose.start, name="choose-start"),
    path(f"{_P}choose/<int:number>", choose.proposal, name="choose-seen"),
    path(f"{_P}choose/<int:number>/apply", choose.accept, name="choose-apply"),
    path(f"{_P}papers", papers.page, name="papers"),
    path(f"{_P}papers/start", papers.start, name="papers-start"),
    path(f"{_P}papers/<int:number>.zip", papers.fetch, name="papers-fetch"),
    path(f"{_P}panel/<slug:kind>/<name:name>", circuit.panel, name="panel"),
    path(f"{_P}new/<slug:kind>", record.new, name="record-new"),
    path(f"{_P}k/<slug:kind>", record.listing, name="records"),
    path(f"{_P}k/<slug:kind>/<name:name>", record.page, name="record"),
    path(f"{_P}k/<slug:kind>/<name:name>/try", record.attempt, name="record-try"),
    path(f"{_P}k/<slug:kind>/<name:name>/save", record.save, name="record-save"),
    path(f"{_P}k/<slug:kind>/<name:name>/remove", record.remove, name="record-remove"),
    path(f"{_P}k/<slug:kind>/<name:name>/evidence", evidence.attach, name="evidence-attach"),
    path(f"{_P}evidence/<int:number>", evidence.show, name="evidence"),
    path(f"{_P}changes", changes.listing, name="changes"),
    path(f"{_P}changes/since", changes.since, name="changes-since"),
    path(f"{_P}changes/since/review", changes.review_since, name="changes-since-review"),
    path(f"{_P}changes/<int:revision>", changes.page, name="change"),
    path(f"{_P}changes/<int:revision>/review", changes.review, name="change-review"),
    path(f"{_P}inspections", inspections.listing, name="inspections"),
    path(f"{_P}inspections/<name:name>", inspections.page, name="inspection"),
    path(f"{_P}inspections/<name:name>/try", inspections.attempt, name="inspection-try"),
    path(f"{_P}inspections/<name:name>/save", inspections.save, name="inspection-save"),
    path(f"{_P}people", people.of_plant, name="people"),
    path(f"{_P}people/role", people.role, name="people-role"),
    path(f"{_P}tokens", people.token, name="token-new"),
    path(f"{_P}import", transfer.bring, name="import"),
    path(f"{_P}export", transfer.export, name="export"),
    path(f"{_P}export/<slug:sort>", transfer.export_file, name="export-file"),
]
