"""Journeys of those who work with the desk, from end to end in a real browser.

Each asserts what the person reads at each step. How long a person takes is not tested.
"""

from __future__ import annotations

import pytest

import webplants
from browsing import expecting

pytestmark = pytest.mark.slow

PHONE = {"viewport": {"width": 360, "height": 780}, "is_mobile": True, "has_touch": True}


def _declare(one, asked, value):
    """Give one of the things that the first page of a plant asks for next."""
    page = one.page
    page.click(f"a:has-text('{asked}')")
    expecting(page.locator("h1")).to_contain_text("declaration")
    page.fill('[name="0.value"]', value)
    page.fill("[name=why]", "asked for by the desk")
    page.click("text=Save as a change")


def test_engineer_mends_ten_faults_reads_what_is_unproven_and_declares(seat, tmp_path):
    import openpyxl

    from subspark.exchange import write_plant

    book, bad = tmp_path / "index.xlsx", tmp_path / "faulty.xlsx"
    write_plant(webplants.demo(), book)
    opened = openpyxl.load_workbook(book)
    sheet = opened["Circuits"]
    heads = [cell.value for cell in sheet[1]]
    spots = [sheet.cell(row, heads.index("Area") + 1) for row in range(2, 300, 30)]
    before = [spot.value for spot in spots]
    for number, spot in enumerate(spots):
        spot.value = f"NOWHERE-{number}"
    opened.save(bad)
    one = seat(webplants.person(keeper=True))
    page = one.page
    one.go("/plants/import")
    page.set_input_files("input[type=file]", bad)
    page.click("text=Look at it")
    told = page.locator("table.faults td.bad")
    expecting(told).to_have_text([f"NOWHERE-{number}" for number in range(10)], timeout=60_000)
    for spot, was in zip(spots, before, strict=True):
        spot.value = was
    opened.save(bad)
    page.click("text=bring it again")
    page.set_input_files("input[type=file]", bad)
    page.click("text=Look at it")
    expecting(page.locator(".sentence")).to_contain_text("No faults", timeout=60_000)
    page.fill("[name=name]", "Settled by three")
    page.click("text=Take it over")
    page.click("text=Open the plant", timeout=60_000)
    counts = page.locator(".counts").first
    expecting(counts).to_contain_text("8 unproven")
    expecting(page.locator("main")).to_contain_text("8 circuits with something missing")
    home = page.url
    _declare(one, "answer the cross-check of Lo", "yes")
    page.goto(home)
    expecting(counts).to_contain_text("7 unproven")
    _declare(one, "its special conditions answered", "yes")
    page.goto(home)
    expecting(counts).to_contain_text("6 unproven")
    _declare(one, "bonding evidenced", "yes")
    page.goto(home)
    expecting(counts).to_contain_text("5 unproven")
    assert one.noted == []


def test_a_certificate_is_reissued_and_replaced_and_goes_to_a_checker(seat):
    plant = webplants.stored()
    engineer, checker = (seat(webplants.person(plant, who)) for who in ("engineer", "checker"))
    page = engineer.page
    engineer.go(f"/p/{plant.slug}/k/apparatus/TG-9")
    page.fill('[name="0.entries.0.Ui"]', "20 V")
    effects = page.locator("#finding")
    expecting(effects).to_contain_text("AT-4091")
    assert webplants.version(plant, "apparatus", "TG-9") == 1
    page.fill("[name=why]", "issue 2 of the certificate: Ui 20 V")
    page.click("text=Save as a change")
    expecting(page.locator(".saved")).to_be_visible()
    engineer.go(f"/p/{plant.slug}/circuits/AT-4091")
    expecting(page.locator("#finding .sentence")).to_contain_text("Unsafe. Voltage, 130 % used")
    page.click("text=Which sources fit")
    expecting(page.locator("#choice table")).to_be_visible()
    page.click("text=Find repairs")
    first = page.locator(".repairs li:has(button)").first
    expecting(first).to_be_visible()
    first.locator("button").click()
    expecting(page.locator("#finding .sentence")).to_contain_text("Safe.")
    page = checker.page
    checker.go(f"/p/{plant.slug}/changes")
    expecting(page.locator(".sentence")).to_contain_text("3 not checked")
    page.click("text=See what they come to")
    page.fill("[name=remark]", "compared with issue 2")
    page.click("text=Sign all as checked")
    expecting(page.locator(".sentence")).to_contain_text("3 checked")
    assert engineer.noted == []
    assert checker.noted == []


def test_a_length_is_measured_on_a_phone(seat):
    plant = webplants.stored()
    one = seat(webplants.person(plant, "engineer"), **PHONE)
    page = one.page
    one.go(f"/p/{plant.slug}/inspections")
    page.fill("#q", "AT-4091")
    page.click("button:has-text('Search')")
    page.click("a.tag:has-text('AT-4091')")
    sentence = page.locator("#finding .sentence")
    expecting(sentence).to_contain_text("Unsafe. Capacitance, 115 % used")
    page.fill('[name="length.0"]', "forty")
    expecting(page.locator("#finding")).to_contain_text("'forty'")
    page.fill('[name="length.0"]', "40")
    expecting(sentence).to_contain_text("Safe. Closest limit: capacitance, 88.5 % used")
    expecting(page.locator("#finding")).to_contain_text("Nothing is saved")
    page.select_option("[name=found]", "in order")
    page.click("button:has-text('Save')")
    expecting(page.locator(".saved")).to_contain_text("Saved as change 2")
    expecting(sentence).to_contain_text("Safe.")
    expecting(page.locator(".history")).to_contain_text("in order")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert one.noted == []


def test_a_checker_sends_back_with_a_remark_and_later_issues(seat):
    plant = webplants.stored()
    engineer, approver = (seat(webplants.person(plant, who)) for who in ("engineer", "approver"))

    def change(length):
        engineer.go(f"/p/{plant.slug}/circuits/AT-4091")
        engineer.page.locator('[name$="runs.0.length"]').fill(length)
        engineer.page.fill("[name=why]", f"now {length}")
        engineer.page.click("text=Save as a change")
        expecting(engineer.page.locator(".saved")).to_be_visible()

    page = approver.page
    approver.go(f"/p/{plant.slug}/changes/since")
    page.click("text=Sign all as checked")
    approver.go(f"/p/{plant.slug}/changes/since")
    page.click("text=Approve as an issue")
    expecting(page.locator(".sentence")).to_contain_text("Last issue: change 1. 0 changes since")
    change("90 m")
    approver.go(f"/p/{plant.slug}/changes/since")
    expecting(page.locator(".altered")).to_contain_text("180 m")
    expecting(page.locator(".altered")).to_contain_text("90 m")
    page.fill("[name=remark]", "which drawing shows this?")
    page.click("text=Send all back")
    expecting(page.locator("main")).to_contain_text("1 sent back")
    engineer.go(f"/p/{plant.slug}/")
    expecting(engineer.page.locator(".points")).to_contain_text("1 change sent back by a checker")
    change("80 m")
    approver.go(f"/p/{plant.slug}/changes/since")
    page.click("text=Sign all as checked")
    approver.go(f"/p/{plant.slug}/changes/since")
    page.click("text=Approve as an issue")
    expecting(page.locator(".sentence")).to_contain_text("Last issue: change 3. 0 changes since")
    assert engineer.noted == []
    assert approver.noted == []


def test_papers_of_ticked_circuits_are_printed_and_fetched(seat):
    pytest.importorskip("typst", reason="the parts of the papers are not installed")
    plant = webplants.stored()
    one = seat(webplants.person(plant, "reader"))
    page = one.page
    one.go(f"/p/{plant.slug}/circuits")
    page.keyboard.press("j")
    page.keyboard.press("x")
    page.keyboard.press("j")
    page.keyboard.press("x")
    expecting(page.locator("[name=tag]:checked")).to_have_count(2)
    page.click("text=Papers of the ticked")
    expecting(page.locator(".sentence")).to_contain_text("Of 2 circuits")
    page.check("[value=inspection]")
    page.click("text=Print in the background")
    expecting(page.locator(".saved")).to_contain_text("Done", timeout=60_000)
    with page.expect_download() as fetched:
        page.click("text=Fetch 4 papers")
    assert fetched.value.suggested_filename.endswith("-papers.zip")
    assert one.noted == []


def test_the_fewest_types_are_looked_for_and_applied(seat):
    pytest.importorskip("highspy", reason="the optimiser is not installed")
    plant = webplants.stored()
    one = seat(webplants.person(plant, "engineer"))
    page = one.page
    one.go(f"/p/{plant.slug}/choose")
    page.fill("[name=seconds]", "5")
    page.click("text=Look for the fewest types")
    expecting(page.locator(".sentence")).to_contain_text("instead of", timeout=60_000)
    expecting(page.locator(".proof")).to_contain_text("keeps fewer than")
    page.click("button:has-text('as a change')")
    expecting(page.locator("h1")).to_contain_text("Larkfen")
    assert one.noted == []


def test_the_plane_follows_while_one_tries_and_what_was_open_stays_open(seat):
    plant = webplants.stored()
    one = seat(webplants.person(plant, "reader"))
    page = one.page
    one.go(f"/p/{plant.slug}/circuits/AT-4091")
    rung = page.locator("details[data-keep=capacitance]")
    rung.locator("summary").click()
    expecting(rung).to_contain_text("read in DEMO 21.0001")
    page.locator('[name$="runs.0.length"]').fill("40 m")
    expecting(page.locator(".trying")).to_be_visible()
    expecting(rung).to_have_attribute("open", "")  # though its verdict has turned
    expecting(rung).to_contain_text("40 m x 95 pF/m")
    page.click("text=With its scales")
    image = page.locator(".plane-more img")
    expecting(image).to_be_visible()
    first = image.get_attribute("src")
    assert first.startswith("data:image/svg+xml")
    page.locator('[name$="runs.0.length"]').fill("60 m")
    expecting(image).not_to_have_attribute("src", first)
    expecting(page.locator(".plane-more")).to_have_attribute("open", "")
    assert one.noted == []


def test_the_page_is_written_in_its_own_fonts(seat):
    pytest.importorskip("fontpkg_source_sans_3", reason="the fonts are not installed")
    one = seat(webplants.person())
    one.go("/help")
    one.page.evaluate("document.fonts.ready.then(() => null)")
    loaded = one.page.evaluate("document.fonts.check('15px \"Source Sans 3\"')")
    names = one.page.evaluate(
        "[...document.fonts].filter((one) => one.status === 'loaded').map((one) => one.family)"
    )
    assert loaded
    assert any("Source Sans 3" in name for name in names)


def test_somebody_signs_in_through_a_provider_under_the_policy_of_the_pages(chromium, address):
    pytest.importorskip("authlib", reason="the extra openid is not installed")
    from django.test import override_settings

    import webprovider
    from subspark.desk import openid as ours
    from subspark.desk.provider import Provider
    from subspark.store import people

    ours._client.cache_clear()
    people.make_person("dee", "Dee of the works", email="dee@works.example")
    context = chromium.new_context()
    page = context.new_page()
    told = []
    page.on("console", lambda one: told.append(one.text))
    with webprovider.serving() as provider:
        provider.person = {"sub": "dee", "email": "dee@works.example", "email_verified": True}
        known = Provider(provider.issuer, webprovider.CLIENT, "a secret")
        with override_settings(SUBSPARK_OPENID=known):
            page.goto(f"{address}/help")  # leads to the door
            assert provider.asked == []
            page.click("text=Sign in with")
            expecting(page.locator("h1")).to_have_text("Help")
            expecting(page.locator(".own")).to_contain_text("Dee of the works")
    context.close()
    assert told == []
