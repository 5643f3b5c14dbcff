// What every page needs: quiet sending of small forms, the slip, live news of a search, and what to do in a conflict.
"use strict";

const Desk = (() => {
  const job = () => document.querySelector(".job");
  const by = (id) => document.getElementById(id);

  function tell(text) {
    const place = by("told");
    place.textContent = text;
    clearTimeout(tell.later);
    tell.later = setTimeout(() => { place.textContent = ""; }, 6000);
  }

  function revision(value) {
    if (value === undefined) return Number(job().dataset.revision);
    job().dataset.revision = value;
    document.querySelectorAll('input[name="revision"]').forEach((field) => { field.value = value; });
    return value;
  }

  function showSlip(slip) {
    by("slip").classList.remove("stale");
    by("slip-total").textContent = slip.total || "–";
    by("slip-settling").textContent = slip.settling;
    document.querySelectorAll("[data-waits]").forEach((each) => { each[each.matches("fieldset") ? "disabled" : "inert"] = slip.waits; });
    by("slip-without").textContent = slip.without;
    by("slip-held").replaceChildren(...slip.held.map((line) => {
      const item = document.createElement("li");
      const link = document.createElement("a");
      link.href = line.address;
      link.textContent = line.text;
      item.append(link);
      return item;
    }));
    by("slip-lacks").replaceChildren(...slip.lacks.map((lack) => {
      const item = document.createElement("li");
      const link = document.createElement("a");
      item.classList.toggle("grave", lack.grave);
      link.href = lack.address;
      link.title = `Mended on ${lack.where}`;
      link.textContent = lack.text;
      item.append(link);
      return item;
    }));
    by("slip-pinned").textContent = slip.pinned;
    by("slip-later").replaceChildren(...(slip.later ? [slip.later] : []).map((later) => {
      const link = document.createElement("a");
      link.href = later.address;
      link.textContent = later.text;
      return link;
    }));
    by("slip-note").textContent = slip.note;
    by("slip-gap").textContent = slip.gap;
    by("slip-cheaper").textContent = slip.cheaper;
    by("slip-lines").replaceChildren(...slip.lines.map((line) => {
      const item = document.createElement("li");
      item.textContent = line;
      return item;
    }));
    showWays(by("slip"), slip);
    revision(slip.revision);
  }

  // What undo and redo would do, on their buttons, and what the latest step took back and where.
  function showWays(place, ways) {
    place.querySelectorAll("button[data-way]").forEach((button) => {
      const text = ways[button.dataset.way];
      button.disabled = !text;
      button.textContent = text || button.dataset.none;
    });
    const last = place.querySelector(".stepped");
    last.replaceChildren(...(ways.stepped ? [ways.stepped.text] : []));
    if (!ways.stepped || !ways.stepped.page) return;
    const link = document.createElement("a");
    link.href = ways.stepped.address;
    link.textContent = ways.stepped.page;
    last.append(", on ", link);
  }

  const state = { source: null };

  function showSearch(search) {
    const going = search && (search.state === "waiting" || search.state === "running");
    by("hunt").hidden = !going;
    if (going) {
      by("hunt-news").textContent = "";
      by("hunt-bar").value = search.fraction;
      by("hunt-text").textContent = search.text;
      listen();
    } else if (search) {
      by("hunt-news").textContent = search.news;
    }
  }

  function listen() {
    if (state.source) return;
    const source = new EventSource(`/jobs/${job().dataset.job}/live`);
    state.source = source;
    source.addEventListener("search", (event) => showSearch(JSON.parse(event.data)));
    const arrived = (told) => {
      if (told.slip.revision !== revision()) return;
      showSlip(told.slip);
      refresh();
    };
    source.addEventListener("better", (event) => arrived(JSON.parse(event.data)));
    source.addEventListener("over", (event) => {
      source.close();
      state.source = null;
      const told = JSON.parse(event.data);
      arrived(told);
      showSearch(told);
    });
    source.onerror = () => { source.close(); state.source = null; };
  }

  async function send(address, body) {
    const headers = { accept: "application/json" };
    if (!(body instanceof FormData)) headers["content-type"] = "application/json";
    const answer = await fetch(address, {
      method: "POST", headers, body: body instanceof FormData ? body : JSON.stringify(body), redirect: "error",
    });
    const told = await answer.json().catch(() => ({ message: "The desk did not answer as expected." }));
    return { status: answer.status, told };
  }

  // What a field is about, so that it is found again on a fresh page.
  function about(field) {
    const form = field.form;
    const facts = form ? [form.getAttribute("action"), ...["rule", "stock", "piece", "none"].map((name) => form.elements[name] &&
      form.elements[name] !== field ? form.elements[name].value : "")] : [];
    return [field.tagName, field.name || field.textContent.slice(0, 40), ...facts].join("|");
  }

  // Fetches this page again and puts its fresh part in place; what is being typed, and where one is, stays.
  async function refresh() {
    if (!by("fresh")) return;
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.getElementById("fresh");
    const place = by("fresh"); // only now: another refresh may have put a newer one in meanwhile
    if (!fresh) { location.reload(); return; }
    const held = place.contains(document.activeElement) ? about(document.activeElement) : null;
    const typed = new Map([...place.querySelectorAll("input")].filter((each) => each.type === "text" && each.value !== each.defaultValue &&
      (each === document.activeElement || each.closest("fieldset[data-waits]"))).map((each) => [about(each), each.value]));
    const open = [...place.querySelectorAll("details")].map((each) => each.open);
    place.replaceWith(document.adoptNode(fresh));
    fresh.querySelectorAll("details").forEach((each, index) => { if (open[index] !== undefined) each.open = open[index]; });
    fresh.querySelectorAll("a, button, input, select, summary, [tabindex]").forEach((each) => {
      if (typed.has(about(each))) each.value = typed.get(about(each));
      if (held !== null && about(each) === held) {
        each.focus({ preventScroll: true });
      }
    });
    if (held !== null && document.activeElement === document.body) by("board").focus({ preventScroll: true });
    document.dispatchEvent(new Event("fresh"));
  }

  function clash(told, again, drop = () => location.reload()) {
    const dialog = by("clash");
    const list = (place, changes) => by(place).replaceChildren(...(changes.length ? changes : [null]).map((each) => {
      const item = document.createElement("li");
      if (!each) { item.textContent = "see the page"; return item; }
      const where = each.row ? `row ${each.row}, ${each.column}: ` : `${each.column}: `;
      const before = document.createElement("del");
      const none = each.row ? "nothing" : "as usual";
      before.textContent = each.before || none;
      const after = document.createElement("ins");
      after.textContent = each.after || none;
      item.append(where, before, " → ", after);
      return item;
    }));
    by("clash-what").textContent = `Saved meanwhile: ${told.what || "a change"}. Yours is not written yet.`;
    list("clash-theirs", told.theirs);
    list("clash-mine", told.mine);
    by("clash-take-mine").onclick = () => { dialog.close(); again(told.revision); };
    by("clash-take-theirs").onclick = () => { dialog.close(); drop(); };
    dialog.showModal();
  }

  // Small forms go one after the other, as they stood when they were asked for, each with the revision that the one
  // before it led to. A field that is left with the return key asks twice, by its change and by the key: the same again
  // is passed over.
  const waiting = new Map();
  let tail = Promise.resolve();

  function quietly(form, button) {
    const body = new FormData(form, button || undefined);
    const wish = new URLSearchParams(body);
    wish.delete("revision");
    if (waiting.get(form) === wish.toString()) return;
    waiting.set(form, wish.toString());
    tail = tail.then(() => deliver(form, button, body)).catch(() => tell("The desk does not answer.")).then(() => {
      if (waiting.get(form) === wish.toString()) waiting.delete(form);
    });
  }

  async function deliver(form, button, body) {
    if (body.has("revision")) body.set("revision", revision());
    if (by("slip") && form.dataset.quiet) by("slip").classList.add("stale");
    const { status, told } = await send(form.action, body);
    if (status === 409 && told.conflict) {
      clash(told, (current) => { revision(current); quietly(form, button); });
      return;
    }
    if (by("slip")) by("slip").classList.remove("stale");
    if (status >= 400) { tell(told.message || "That did not work."); return; }
    if (told.slip) { showSlip(told.slip); showSearch(told.search); }
    if (form.dataset.clear !== undefined) form.reset();
    form.dispatchEvent(new CustomEvent("kept", { detail: told, bubbles: true }));
    if (form.dataset.quiet) await refresh();
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.dataset.quiet === undefined) return;
    event.preventDefault();
    quietly(form, event.submitter);
  });
  document.addEventListener("change", (event) => {
    const field = event.target;
    if (field.dataset.send !== undefined && field.form) field.form.requestSubmit();
  });
  document.addEventListener("keydown", (event) => {
    if (!job() || !(event.ctrlKey || event.metaKey) || event.altKey) return;
    const inside = event.target.matches("input, textarea") && event.target.value !== event.target.defaultValue;
    if (event.key === "z" && !event.shiftKey && !inside) { event.preventDefault(); by("step-undo").click(); }
    if ((event.key === "y" || (event.key === "Z" && event.shiftKey)) && !inside) { event.preventDefault(); by("step-redo").click(); }
  });
  // A field can be changed and left before this script has come. On a reload, and on the way back, browsers fill in what
  // stood there once: nobody typed that now, and it may be older than what is saved.
  document.addEventListener("DOMContentLoaded", () => {
    if (performance.getEntriesByType("navigation").some((each) => each.type !== "navigate")) return;
    document.querySelectorAll("[data-send]").forEach((field) => {
      const moved = field.type === "checkbox" ? field.checked !== field.defaultChecked
        : field.type === "file" ? field.files.length > 0
          : field.options ? [...field.options].some((each) => each.defaultSelected) && !field.selectedOptions[0].defaultSelected
            : field.value !== field.defaultValue;
      if (moved && field !== document.activeElement && field.form) field.form.requestSubmit();
    });
  });
  window.addEventListener("pagehide", () => { if (state.source) state.source.close(); });
  // On a phone the pages of a job stand in one row that scrolls: show the one that this is.
  document.addEventListener("DOMContentLoaded", () => {
    const here = document.querySelector(".steps [aria-current]");
    const row = here && here.parentElement.getBoundingClientRect();
    const step = here && here.getBoundingClientRect();
    if (here && step.right > row.right) here.parentElement.scrollLeft += step.right - row.right + (row.width - step.width) / 2;
  });
  document.addEventListener("DOMContentLoaded", () => { if (job() && job().dataset.live !== undefined) listen(); });
  // A page that is shown changes nothing by itself. Where prices or rules moved, it asks once for what follows from that.
  document.addEventListener("DOMContentLoaded", async () => {
    if (!job() || job().dataset.unsettled === undefined) return;
    const { status, told } = await send(`/jobs/${job().dataset.job}/settle`, {}).catch(() => ({ status: 0 }));
    if (status === 200) showSearch(told.search);
  });

  return { asked: (form) => waiting.has(form), by, clash, listen, refresh, revision, send, showSearch, showSlip, showWays, tell };
})();
