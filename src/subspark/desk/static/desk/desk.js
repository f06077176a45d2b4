// The desk's own script: trying numbers, adding rows to forms, keys, theme. All else is HTML.
"use strict";

const one = (selector, from = document) => from.querySelector(selector);
const all = (selector, from = document) => [...from.querySelectorAll(selector)];

// --- theme ------------------------------------------------------------------------------------

one("#theme")?.addEventListener("click", () => {
  const root = document.documentElement;
  const dark = root.dataset.theme
    ? root.dataset.theme === "dark"
    : matchMedia("(prefers-color-scheme: dark)").matches;
  root.dataset.theme = dark ? "light" : "dark";
  try { localStorage.setItem("theme", root.dataset.theme); } catch { /* not kept then */ }
});

// --- try: the verdict follows the numbers -----------------------------------------------------

const form = one("#try");
let asked = null;

async function send(url, step) {
  const body = new URLSearchParams(new FormData(form)); // read faster than parts of a multipart form
  if (step) body.set("step", step);
  if (one(".plane-more[open]")) body.set("plane", "yes");
  asked?.abort();
  asked = new AbortController();
  const answer = await fetch(url, {
    method: "POST", body, signal: asked.signal, headers: { "HX-Request": "true" },
  });
  return [answer, await answer.text()];
}

function tellFaults(into) {
  for (const spot of all(".fault", form)) {
    if (spot.textContent) {
      spot.textContent = "";
      spot.closest(".box")?.classList.remove("box-bad");
    }
  }
  for (const told of all("[data-faults] [data-at]", into)) {
    const spot = one(`.fault[data-at="${CSS.escape(told.dataset.at)}"]`, form);
    if (spot) {
      spot.textContent = told.textContent;
      spot.closest(".box")?.classList.add("box-bad");
    }
  }
}

async function attempt() {
  const into = one(form.dataset.into);
  const open = new Set(all("details[data-keep][open]", into).map((each) => each.dataset.keep));
  const busy = setTimeout(() => into.classList.add("busy"), 300);
  try {
    const [answer, text] = await send(form.dataset.try);
    if (answer.redirected || answer.status === 403) return location.reload();
    if (!answer.ok && answer.status !== 422) throw new Error(String(answer.status));
    if (one("html", new DOMParser().parseFromString(text, "text/html")) && text.includes("<!doctype")) {
      const told = one(".told", new DOMParser().parseFromString(text, "text/html"));
      into.replaceChildren(Object.assign(document.createElement("p"),
        { className: "problem", textContent: told?.textContent ?? "This cannot be tried." }));
    } else {
      into.innerHTML = text;
    }
    for (const each of all("details[data-keep]", into)) each.open = open.has(each.dataset.keep);
    htmx.process(into);
    tellFaults(into);
  } catch (error) {
    if (error.name !== "AbortError") {
      into.prepend(Object.assign(document.createElement("p"),
        { className: "problem", textContent: "The desk does not answer; the verdict is not that of these numbers." }));
    }
  } finally {
    clearTimeout(busy);
    into.classList.remove("busy");
  }
}

if (form) {
  let wait = 0;
  form.addEventListener("input", (event) => {
    if (!form.dataset.try || event.target.closest(".why")) return;
    clearTimeout(wait);
    wait = setTimeout(attempt, 220);
  });
  form.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && event.target.matches("input") && !event.target.closest(".why")) {
      event.preventDefault(); // Enter in a number tries it; only the button saves
      event.target.dispatchEvent(new Event("input", { bubbles: true }));
    }
  });
  form.addEventListener("click", async (event) => {
    const button = event.target.closest("[data-step]");
    if (!button) return;
    const open = all("details.panel", form).map((each) => each.open);
    const url = form.dataset.try || form.dataset.stepOnly || form.action;
    const [answer, text] = await send(url, button.value);
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(text, "text/html");
    const fresh = one("#panels", page);
    if (!fresh) return;
    one("#panels", form).replaceWith(fresh);
    all("details.panel", form).forEach((each, n) => { each.open = open[n] ?? each.open; });
    if (form.dataset.try) attempt();
  });
}

document.addEventListener("toggle", (event) => { // while one tries, that picture comes when it is opened
  if (event.target.matches(".plane-more[open]") && !one("img", event.target)) attempt();
}, true);

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-undo]")) location.reload();
});

// --- filter as one types ----------------------------------------------------------------------

const filter = one("[data-filter]");
if (filter) {
  let wait = 0;
  filter.addEventListener("input", () => {
    clearTimeout(wait);
    wait = setTimeout(() => {
      const asked = new URLSearchParams(new FormData(filter.form));
      if (!filter.value.trim()) {
        const kept = [...asked.getAll("q")].filter((each) => each.trim());
        asked.delete("q");
        kept.forEach((each) => asked.append("q", each));
      }
      const address = `${filter.form.action}?${asked}`;
      htmx.ajax("GET", address, { target: "#register", swap: "innerHTML" });
      history.replaceState(null, "", address);
    }, 200);
  });
}

// --- a file that is dropped -------------------------------------------------------------------

const zone = one("[data-drop]");
if (zone) {
  const field = one("input[type=file]", zone);
  for (const name of ["dragover", "dragleave", "drop"]) {
    zone.addEventListener(name, (event) => {
      event.preventDefault();
      zone.classList.toggle("over", name === "dragover");
      if (name === "drop" && event.dataTransfer.files.length) {
        field.files = event.dataTransfer.files;
        zone.requestSubmit();
      }
    });
  }
}

// --- keys -------------------------------------------------------------------------------------

function move(by) {
  const links = all("[data-rows] tbody tr:not(.pager)").map((row) => one("a", row)).filter(Boolean);
  if (!links.length) {
    one(by > 0 ? "a[rel=next]" : "a[rel=prev]")?.click();
    return;
  }
  const now = links.indexOf(document.activeElement);
  const to = now < 0 ? (by > 0 ? 0 : links.length - 1) : now + by;
  links[Math.max(0, Math.min(links.length - 1, to))].focus();
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const typing = event.target.matches("input:not([type=checkbox]), textarea, select");
  if (event.key === "Escape" && typing) event.target.blur();
  if (typing) return;
  if (event.key === "/") {
    const field = one("#q");
    if (field) { event.preventDefault(); field.focus(); }
  } else if (event.key === "j") move(1);
  else if (event.key === "k") move(-1);
  else if (event.key === "x") one(".ticked input", document.activeElement.closest("[data-rows] tr") ?? document.createElement("i"))?.click();
  else if (event.key === "e") {
    const field = all("#try .box-quantity input").find(
      (each) => each.type !== "hidden" && !each.closest("details:not([open])"));
    if (field) { event.preventDefault(); field.focus(); field.select(); }
  }
});
