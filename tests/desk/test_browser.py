"""The journeys in a real browser, and every page looked over for those who see or point badly.

Each page is held to: no request to another host, no word of the browser's console, nothing wider
than a screen of 360 px, no finding of axe (WCAG 2.2 A and AA), at most 200 kB as sent.
"""

from __future__ import annotations

from pathlib import Path

import pytest

import webplants
from browsing import expecting

pytestmark = pytest.mark.slow

LARGEST_PAGE = 200_000


def test_newcomer_opens_the_demo_finds_the_worst_understands_mends_and_prints(seat):
    one = seat(webplants.person(keeper=True))
    page = one.page
    one.go("/plants")
    page.click("text=Open the demo plant")
    expecting(page.locator("h1")).to_contain_text("Larkfen")
    page.click("a.tag:has-text('AT-4091')")
    sentence = page.locator(".sentence")
    expecting(sentence).to_contain_text("Unsafe. Capacitance, 115 % used: 57.1 nF against 49.5 nF.")
    expecting(page.locator("figure.drawing svg")).to_be_visible()
    rung = page.locator("details.rung").first
    rung.locator("summary").click()
    expecting(rung.locator(".proof")).to_contain_text("clause")
    length = page.locator('[name$="runs.0.length"]')
    length.fill("12,5 mH")
    expecting(page.locator(".box-bad .fault")).to_contain_text("wanted")
    length.fill("40")
    expecting(sentence).to_contain_text("Safe. Closest limit:")
    expecting(page.locator(".trying")).to_contain_text("Nothing is saved")
    page.reload()
    expecting(sentence).to_contain_text("Unsafe")  # it was tried, not saved
    page.locator('[name$="runs.0.length"]').fill("40 m")
    page.fill("[name=why]", "as measured on site")
    page.click("text=Save as a change")
    expecting(page.locator(".saved")).to_contain_text("Saved as change 2")
    expecting(sentence).to_contain_text("Safe.")
    expecting(page.locator(".history")).to_contain_text("as measured on site")
    page.emulate_media(media="print")
    expecting(sentence).to_be_visible()
    expecting(page.locator(".tabs")).to_be_hidden()
    assert len(page.pdf()) > 10_000
    assert one.noted == []


def test_engineer_drops_a_workbook_with_faults_mends_them_and_takes_it_over(seat, tmp_path):
    import openpyxl

    from subspark.exchange import write_plant

    book = tmp_path / "index.xlsx"
    write_plant(webplants.small(), book)
    opened = openpyxl.load_workbook(book)
    sheet = opened["Circuits"]
    heads = [cell.value for cell in sheet[1]]
    places = [sheet.cell(row, heads.index("Area") + 1) for row in (2, 3, 4)]
    before = [cell.value for cell in places]
    for cell in places:
        cell.value = "NOWHERE"
    bad = tmp_path / "faulty.xlsx"
    opened.save(bad)
    one = seat(webplants.person(keeper=True))
    page = one.page
    one.go("/plants/import")
    page.set_input_files("input[type=file]", bad)
    page.click("text=Look at it")
    expecting(page.locator("table.faults td.bad")).to_have_text(["NOWHERE"] * 3)
    for cell, was in zip(places, before, strict=True):
        cell.value = was
    opened.save(bad)
    page.click("text=bring it again")
    page.set_input_files("input[type=file]", bad)
    page.click("text=Look at it")
    expecting(page.locator(".sentence")).to_contain_text("No faults")
    page.fill("[name=name]", "Brought by workbook")
    page.click("text=Take it over")
    page.click("text=Open the plant")
    expecting(page.locator("h1")).to_contain_text("Brought by workbook")
    expecting(page.locator(".band rect.b")).to_have_count(len(webplants.small().circuits))
    assert one.noted == []


def test_two_people_at_once_lose_nothing(seat):
    plant = webplants.stored()
    first, second = (seat(webplants.person(plant, "engineer")) for _ in range(2))
    for one in (first, second):
        one.go(f"/p/{plant.slug}/circuits/AT-4091")
    first.page.locator('[name$="runs.0.length"]').fill("40 m")
    first.page.fill("[name=why]", "measured by the first")
    first.page.click("text=Save as a change")
    expecting(first.page.locator(".saved")).to_be_visible()
    second.page.locator('[name="0.service"]').fill("another service")
    second.page.fill("[name=why]", "renamed by the second")
    second.page.click("text=Save as a change")
    page = second.page
    expecting(page.locator("h1")).to_have_text("Two changes at once")
    expecting(page.locator("table")).to_contain_text("40 m")
    expecting(page.locator("table")).to_contain_text("another service")
    page.locator('[name$="runs.0.length"]').fill("40 m")
    page.fill("[name=why]", "both")
    page.click("text=Save as a change")
    expecting(page.locator(".saved")).to_be_visible()
    circuit = webplants.circuit(plant, "AT-4091")
    assert (circuit.service, circuit.runs[0].length.text) == ("another service", "40 m")


def test_a_repair_is_chosen_and_applied_as_a_change(seat):
    plant = webplants.stored()
    one = seat(webplants.person(plant, "engineer"))
    page = one.page
    one.go(f"/p/{plant.slug}/circuits/AT-4091")
    page.click("button:has-text('Find repairs')")
    first = page.locator(".repairs li").first
    expecting(first).to_contain_text("shorten")
    first.locator("button").click()
    expecting(page.locator(".sentence")).to_contain_text("Safe.")
    expecting(page.locator(".history")).to_contain_text("100 m at the most")
    assert one.noted == []


def test_a_reader_tries_and_is_offered_no_saving(seat):
    plant = webplants.stored()
    one = seat(webplants.person(plant, "reader"))
    one.go(f"/p/{plant.slug}/circuits/AT-4091")
    expecting(one.page.locator("text=Save as a change")).to_have_count(0)
    one.page.locator('[name$="runs.0.length"]').fill("40 m")
    expecting(one.page.locator(".sentence")).to_contain_text("Safe.")
    one.page.click("text=Undo all")
    expecting(one.page.locator(".sentence")).to_contain_text("Unsafe")
    assert one.page.goto(f"{one.address}/p/{plant.slug}/import").status == 403


def test_a_number_of_the_source_is_tried_on_the_page_of_a_circuit(seat):
    plant = webplants.stored()
    one = seat(webplants.person(plant, "reader"))
    one.go(f"/p/{plant.slug}/circuits/PT-1101")
    one.page.locator("details.panel", has_text="source").nth(1).locator("summary").first.click()
    one.page.locator('[name$="outputs.0.Uo"]').fill("40 V")
    expecting(one.page.locator("#finding .sentence")).to_contain_text("Unsafe. Voltage")
    expecting(one.page.locator(".trying")).to_contain_text("would turn")
    assert one.noted == []


def test_change_of_a_catalogue_record_shows_whom_it_touches_before_it_is_saved(seat):
    plant = webplants.stored()
    one = seat(webplants.person(plant, "engineer"))
    one.go(f"/p/{plant.slug}/k/sources/RW-1126")
    one.page.locator('[name="0.outputs.0.Uo"]').fill("40 V")
    expecting(one.page.locator("#finding .sentence")).to_contain_text("would turn")
    expecting(one.page.locator("#finding table")).to_contain_text("unsafe")
    assert webplants.version(plant, "sources", "RW-1126") == 1


def test_the_register_is_worked_by_keys_and_filters_as_one_types(seat):
    plant = webplants.stored(webplants.demo())
    one = seat(webplants.person(plant, "reader"))
    page = one.page
    one.go(f"/p/{plant.slug}/circuits")
    page.keyboard.press("/")
    page.keyboard.type("blend")
    expecting(page.locator("#register tbody tr")).not_to_have_count(101)
    expecting(page.locator("#register")).to_contain_text("AT-4091")
    assert "q=blend" in page.url
    page.keyboard.press("Enter")
    expecting(page.locator(".chip")).to_contain_text("blend")
    page.locator("body").press("j")
    first = page.evaluate("document.activeElement.textContent")
    page.keyboard.press("j")
    page.keyboard.press("k")
    assert page.evaluate("document.activeElement.textContent") == first
    page.keyboard.press("Enter")
    expecting(page.locator("h1 .tag")).to_have_text(first)
    page.wait_for_load_state()
    page.keyboard.press("e")
    assert page.evaluate("document.activeElement.name").startswith("0.")
    assert one.noted == []


def test_further_rows_come_as_one_reads_on(seat):
    plant = webplants.stored(webplants.demo())
    one = seat(webplants.person(plant, "reader"))
    one.go(f"/p/{plant.slug}/circuits?sort=tag")
    expecting(one.page.locator("#register tbody tr:not(.pager)")).to_have_count(100)
    one.page.locator("tr.pager").scroll_into_view_if_needed()
    expecting(one.page.locator("#register tbody tr:not(.pager)")).to_have_count(200)


def test_the_theme_is_kept(seat):
    one = seat(webplants.person())
    one.go("/help")
    before = one.page.evaluate("getComputedStyle(document.body.parentElement).backgroundColor")
    one.page.click("#theme")
    one.page.reload()
    after = one.page.evaluate("getComputedStyle(document.body.parentElement).backgroundColor")
    assert before != after


# --- every page ----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def pages():
    plant = webplants.stored()
    administrator = webplants.person(plant, "administrator")
    administrator.keeper = True
    administrator.save()
    return administrator, {
        "account": "/account",
        "accounts": "/people",
        "plants": "/plants",
        "import": "/plants/import",
        "help": "/help",
        "rules": "/help/rules",
        "fields": "/help/fields",
        "walk": "/help/walk",
        "api": "/help/api",
        "cautions": "/cautions",
        "plant": f"/p/{plant.slug}/",
        "head": f"/p/{plant.slug}/head",
        "register": f"/p/{plant.slug}/circuits?q=verdict:safe",
        "circuit": f"/p/{plant.slug}/circuits/AT-4091",
        "unproven": f"/p/{plant.slug}/circuits/FT-4091",
        "new": f"/p/{plant.slug}/new/circuits",
        "records": f"/p/{plant.slug}/k/sources",
        "record": f"/p/{plant.slug}/k/sources/RW-1126",
        "certificate": f"/p/{plant.slug}/k/certificates",
        "area": f"/p/{plant.slug}/k/areas/BLEND-1",
        "choose": f"/p/{plant.slug}/choose",
        "papers": f"/p/{plant.slug}/papers",
        "papers of some": f"/p/{plant.slug}/papers?tag=AT-4091&tag=PT-1101",
        "inspections": f"/p/{plant.slug}/inspections",
        "on site": f"/p/{plant.slug}/inspections/AT-4091",
        "since": f"/p/{plant.slug}/changes/since",
        "changes": f"/p/{plant.slug}/changes?verify=1",
        "change": f"/p/{plant.slug}/changes/1",
        "people": f"/p/{plant.slug}/people",
        "export": f"/p/{plant.slug}/export",
    }


# Colours are the same on every page; these hold all of them.
DARK = {"plants", "plant", "register", "circuit", "unproven", "new", "record", "changes", "help"}
DARK |= {"papers", "inspections", "on site", "since"}
LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


def _axe(page, rules=None):
    from axe_playwright_python.sync_playwright import Axe

    only = LEVELS if rules is None else {"type": "rule", "values": rules}
    found = Axe().run(page, options={"runOnly": only}).response["violations"]
    return [(one["id"], one["nodes"][0]["html"][:160], len(one["nodes"])) for one in found]


def test_what_is_hard_to_read_would_be_found(seat):
    """The tests below would also pass if axe looked at nothing."""
    one = seat(webplants.person(), bypass_csp=True)
    one.go("/help")
    one.page.evaluate("document.querySelector('main p').style.color = '#ccc'")
    assert [name for name, *_ in _axe(one.page)] == ["color-contrast"]
    one.page.evaluate("document.querySelector('#theme').removeAttribute('aria-label')")
    one.page.evaluate("document.querySelector('#theme').textContent = ''")
    assert "button-name" in [name for name, *_ in _axe(one.page)]


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_every_page_is_fit_for_every_reader(seat, pages, theme):
    administrator, listed = pages
    one = seat(administrator, color_scheme=theme, bypass_csp=True)  # for axe's own script
    faults = {}
    for name, path in listed.items():
        if theme == "dark" and name not in DARK:
            continue
        one.go(path)
        one.page.evaluate(
            "[...document.querySelectorAll('main details')].slice(0, 6)"
            ".forEach((each) => { each.open = true; })"
        )
        found = _axe(one.page, None if theme == "light" else ["color-contrast"])
        if found:
            faults[name] = found
    assert faults == {}


def test_every_page_fits_a_narrow_screen_asks_nobody_and_weighs_little(seat, pages):
    administrator, listed = pages
    one = seat(administrator, viewport={"width": 360, "height": 780})
    faults = {}
    for name, path in listed.items():
        one.go(path)
        wide = one.page.evaluate("document.documentElement.scrollWidth")
        sent = one.page.evaluate(
            "performance.getEntriesByType('navigation').concat("
            "performance.getEntriesByType('resource')).reduce((sum, each) => "
            "sum + each.encodedBodySize, 0)"
        )
        if wide > 360 or sent > LARGEST_PAGE:
            faults[name] = (wide, sent)
    assert faults == {}
    assert one.noted == []


def test_the_pages_of_the_door_are_fit_too(chromium, address):
    context = chromium.new_context(bypass_csp=True)
    page = context.new_page()
    page.goto(f"{address}/sign-in")
    assert _axe(page) == []
    page.goto(f"{address}/nothing-here")
    assert _axe(page) == []
    context.close()


def test_our_own_script_is_a_few_hundred_lines():
    import subspark.desk

    folder = Path(subspark.desk.__file__).parent / "static" / "desk"
    lines = sum(len(file.read_text("utf-8").splitlines()) for file in folder.glob("*.js"))
    assert lines < 400
