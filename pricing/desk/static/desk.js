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
    // A form of a paper, shown over a page of a job, is based on that paper.
    document.querySelectorAll('input[name="revision"]').forEach((field) => { if (!field.form || !field.form.dataset.paper) field.value = value; });
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
      const link = document.createElement("a");
      link.className = "from";
      link.href = line.address;
      link.textContent = line.text;
      item.append(link);
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
    if (!last) return;
    last.replaceChildren(...(ways.stepped ? [ways.stepped.text] : []));
    if (!ways.stepped || !ways.stepped.page) return;
    const link = document.createElement("a");
    link.href = ways.stepped.address;
    link.textContent = ways.stepped.page;
    last.append(", on ", link);
  }

  // again: a search began while news came in, which may have been of the end of the one before it only.
  const state = { source: null, again: false, fetched: 0 };
  const AFRESH = 2000; // milliseconds until news that broke off are asked for again

  function showSearch(search) {
    const going = search && (search.state === "waiting" || search.state === "running");
    by("hunt").hidden = !going;
    if (going) {
      by("hunt-news").textContent = "";
      by("hunt-bar").value = search.fraction;
      by("hunt-text").textContent = search.text;
      by("hunt-stop").hidden = ["figure", "tried"].includes(search.kind); // there is nothing yet that could be kept
      listen();
    } else if (search) {
      by("hunt-news").textContent = search.news;
    }
  }

  function listen() {
    if (state.source) { state.again = true; return; }
    state.again = false;
    const source = new EventSource(`/jobs/${job().dataset.job}/live`);
    state.source = source;
    source.addEventListener("search", (event) => {
      const { again } = state;
      showSearch(JSON.parse(event.data));
      state.again = again;
    });
    const arrived = (told) => {
      if (told.slip.revision !== revision()) return;
      showSlip(told.slip);
      document.dispatchEvent(new CustomEvent("figured", { detail: told }));
      // A page that had nothing to show until there was a figure has another shape with one.
      if (!told.slip.pending && document.querySelector("[data-pending]")) { location.reload(); return; }
      refresh();
    };
    source.addEventListener("better", (event) => arrived(JSON.parse(event.data)));
    source.addEventListener("over", (event) => {
      source.close();
      state.source = null;
      const told = JSON.parse(event.data);
      arrived(told);
      if (state.again) listen(); else showSearch(told);
    });
    source.onerror = () => {
      source.close();
      state.source = null;
      setTimeout(() => { if (!by("hunt").hidden) listen(); }, AFRESH);
    };
  }

  async function send(address, body) {
    const headers = { accept: "application/json" };
    if (!(body instanceof FormData)) headers["content-type"] = "application/json";
    const answer = await fetch(address, {
      method: "POST", headers, body: body instanceof FormData ? body : JSON.stringify(body), redirect: "error",
    }).catch((error) => { throw Object.assign(error, { unanswered: true }); });
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
    state.fetched += 1;
    const turn = state.fetched;
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (turn !== state.fetched) return; // a newer one is on its way, and may have come already
    const fresh = page.getElementById("fresh");
    const place = by("fresh");
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
    Saving.restore(fresh);
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

  // Forms go one after the other, as they stood when they were asked for, each with the revision that the one before it
  // led to. A field that is left with the return key asks twice, by its change and by the key: the same again is passed
  // over. Of a typed form only those fields go that differ from what is saved, so that one that will not do holds no other.
  const waiting = new Map();
  const papers = new Map(); // the latest revision of each paper of the studio that this page knows
  let tail = Promise.resolve();
  const AGAIN = 2000; // milliseconds until a desk that did not answer is asked again

  const typed = (form) => form.dataset.typed !== undefined;
  const fieldsOf = (form) => [...form.elements].filter((each) => each.name && each.matches("input, select, textarea") && each.type !== "hidden");
  const basis = (form) => form.elements.namedItem(form.dataset.base || "revision");

  function based(form) {
    if (form.dataset.paper) return papers.has(form.dataset.paper) ? papers.get(form.dataset.paper) : basis(form).value;
    return job() ? revision() : basis(form).value;
  }

  function wishOf(form, button, anew) {
    if (!typed(form)) return new FormData(form, button || undefined);
    const body = new FormData();
    [...form.elements].filter((each) => each.type === "hidden" && each.name).forEach((each) => body.append(each.name, each.value));
    fieldsOf(form).filter((each) => Saving.moved(each) && (anew || each.dataset.refused !== Saving.says(each))).forEach((each) => {
      if (each.type === "file") [...each.files].forEach((file) => body.append(each.name, file));
      else if (each.type === "checkbox") body.append(each.name, each.checked ? each.value : "");
      else body.append(each.name, each.value);
    });
    return body;
  }

  function quietly(form, button, anew) {
    const body = wishOf(form, button, anew);
    if (typed(form) && !fieldsOf(form).some((each) => body.has(each.name))) return tail;
    const wish = new URLSearchParams([...body].map(([name, value]) => [name, value.name || value]));
    wish.delete(form.dataset.base || "revision");
    if (waiting.get(form) === wish.toString()) return tail;
    waiting.set(form, wish.toString());
    const done = () => { if (waiting.get(form) === wish.toString()) waiting.delete(form); };
    const key = `form ${form.getAttribute("action")} ${wish}`;
    Saving.mark(key, "saving");
    tail = tail.then(() => deliver(form, button, body)).then(() => {
      done();
      Saving.mark(key, "saved");
    }, (error) => {
      done();
      if (!error.unanswered) { // a mistake of ours: said where it can be seen
        Saving.mark(key, "failed", "something went wrong on this page; load it again");
        setTimeout(() => { throw error; });
        return;
      }
      Saving.mark(key, "failed", "the desk does not answer. Trying again.");
      setTimeout(() => { Saving.mark(key, "saved"); quietly(form, button, anew); }, AGAIN);
    });
    return tail;
  }

  async function deliver(form, button, body) {
    const base = form.dataset.base || "revision";
    if (body.has(base)) body.set(base, based(form));
    if (by("slip") && (form.dataset.quiet || form.dataset.typed)) by("slip").classList.add("stale");
    const { status, told } = await send(form.action, body);
    if (status === 409 && told.conflict) {
      const drop = () => {
        fieldsOf(form).forEach(Saving.leave);
        if (form.dispatchEvent(new CustomEvent("dropped", { bubbles: true, cancelable: true }))) location.reload();
      };
      clash(told, (current) => {
        if (form.dataset.paper) papers.set(form.dataset.paper, current);
        else if (job()) revision(current);
        else basis(form).value = current;
        quietly(form, button, true);
      }, drop);
      return;
    }
    if (by("slip")) by("slip").classList.remove("stale");
    if (status >= 400) { refused(form, body, told); return; }
    Saving.tellForm(form, "");
    if (told.slip) { showSlip(told.slip); showSearch(told.search); }
    if (form.dataset.paper && told.revision !== undefined) {
      if (told.merged) await follow(form.dataset.paper);
      showPaper(form.dataset.paper, told);
    }
    if (form.dataset.clear !== undefined) { fieldsOf(form).forEach(Saving.forget); form.reset(); }
    else saved(form, body, told.values || {});
    renamed(form, told.values || {});
    form.dispatchEvent(new CustomEvent("kept", { detail: told, bubbles: true }));
    await told.wait;
    if (form.dataset.quiet || form.dataset.typed) await refresh();
  }

  // A row that is called otherwise now is asked for by that name from here on.
  function renamed(form, values) {
    [...form.elements].filter((each) => each.type === "hidden" && values[each.name] !== undefined).forEach((each) => { each.value = values[each.name]; });
    const head = form.closest("details") && form.closest("details").querySelector(".row-name");
    if (head && values.old) head.textContent = values.old;
  }

  // What was saved stands from now on; what was typed since it was sent stays, over that.
  function saved(form, body, values) {
    fieldsOf(form).filter((each) => body.has(each.name)).forEach((field) => {
      if (field.type === "radio") return;
      const sent = field.type === "checkbox" ? body.getAll(field.name).includes(field.value) : body.get(field.name);
      const now = values[field.name] === undefined ? sent : values[field.name];
      const same = Saving.says(field) === sent || field.type === "file";
      Saving.stand(field, now);
      if (!same) return;
      if (field.type === "file") field.value = "";
      else if (field.type !== "checkbox") field.value = now;
      Saving.settle(field);
    });
  }

  // What will not do stands as it was typed, with what is wrong at its field.
  function refused(form, body, told) {
    const lasting = (field) => typed(form) || field.dataset.send !== undefined;
    const sent = fieldsOf(form).filter((each) => body.has(each.name));
    const faults = { ...(told.faults || {}) };
    let left = told.faults ? told.left : told.message || "That did not work.";
    if (left && sent.length === 1 && lasting(sent[0])) { faults[sent[0].name] = left; left = ""; }
    let wrong = 0;
    sent.forEach((field) => {
      if (!faults[field.name] || field.type === "radio") return;
      wrong += 1;
      if (lasting(field)) Saving.refuse(field, faults[field.name]);
      else Saving.point(field, faults[field.name]);
    });
    const others = Object.entries(faults).filter(([name]) => !sent.some((each) => each.name === name)).map(([, text]) => text);
    Saving.tellForm(form, [...others, left].filter(Boolean).join("\n"));
    if (typed(form) && wrong && wrong < sent.length) quietly(form);
  }

  // All forms of a paper go by what is known of it now.
  function showPaper(paper, told) {
    papers.set(paper, told.revision);
    document.querySelectorAll(`form[data-paper="${paper}"], .undoing[data-paper="${paper}"] form`).forEach((form) => {
      if (basis(form)) basis(form).value = told.revision;
    });
    document.querySelectorAll(`form input[type=hidden][name="${paper}"]`).forEach((field) => { field.value = told.revision; });
    if (told.undo === undefined) return;
    document.querySelectorAll(`.undoing[data-paper="${paper}"]`).forEach((ways) => showWays(ways, told));
  }

  // Somebody else saved other fields of the same paper: what nobody touches here shows what stands by now.
  async function follow(paper) {
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = new Map();
    page.querySelectorAll(`form[data-paper="${paper}"]`).forEach((form) => fieldsOf(form).forEach((each) => fresh.set(Saving.keyOf(each), each)));
    document.querySelectorAll(`form[data-paper="${paper}"]`).forEach((form) => fieldsOf(form).forEach((field) => {
      const other = fresh.get(Saving.keyOf(field));
      if (!other || Saving.standing(other) === Saving.standing(field)) return;
      const touched = Saving.moved(field);
      Saving.stand(field, Saving.standing(other));
      if (touched && Saving.moved(field)) Saving.refuse(field, "Something else was saved here meanwhile; Enter puts yours in its place");
      else Saving.leave(field);
    }));
  }

  // What a job is called stands on several places of its page.
  document.addEventListener("kept", (event) => {
    const form = event.target;
    if (form.dataset.paper !== "names") return;
    const [name, client] = [form.elements.namedItem("name").defaultValue, form.elements.namedItem("client").defaultValue];
    document.title = document.title.replace(document.querySelector(".job-name").textContent, name);
    document.querySelectorAll(".job-name, .of-job").forEach((each) => { each.textContent = name; });
    document.querySelectorAll(".names .client").forEach((each) => { each.textContent = client; });
  });
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.dataset.quiet === undefined && !typed(form)) return;
    // A button of its own name in a typed form is a deed, such as taking the row out.
    if (typed(form) && event.submitter && event.submitter.name) return;
    event.preventDefault();
    quietly(form, event.submitter, true);
  });
  document.addEventListener("change", (event) => {
    const field = event.target;
    if (!field.form) return;
    if (typed(field.form)) {
      if (Saving.moved(field)) quietly(field.form); else Saving.settle(field);
    } else if (field.dataset.send !== undefined) field.form.requestSubmit();
  });
  document.addEventListener("keydown", (event) => {
    const field = event.target;
    if (event.key !== "Escape" || !field.form || !typed(field.form) || !Saving.isTyped(field) || !Saving.moved(field)) return;
    event.preventDefault();
    Saving.leave(field);
  });
  // A page that is left while somebody types still sends it; the answer shows when the page is shown again.
  window.addEventListener("pagehide", () => {
    const field = document.activeElement;
    if (!field || !field.form || !typed(field.form) || !Saving.isTyped(field) || !Saving.moved(field) || field.dataset.refused === field.value) return;
    const body = wishOf(field.form);
    const base = field.form.dataset.base || "revision";
    if (body.has(base)) body.set(base, based(field.form));
    fetch(field.form.action, { method: "POST", headers: { accept: "application/json" }, body, keepalive: true }).catch(() => {});
  });
  document.addEventListener("keydown", (event) => {
    if (!job() || !(event.ctrlKey || event.metaKey) || event.altKey) return;
    const inside = event.target.matches("input, textarea") && event.target.value !== event.target.defaultValue;
    if (event.key === "z" && !event.shiftKey && !inside) { event.preventDefault(); by("step-undo").click(); }
    if ((event.key === "y" || (event.key === "Z" && event.shiftKey)) && !inside) { event.preventDefault(); by("step-redo").click(); }
  });
  // A field can be changed and left before this script has come. On a reload, and on the way back, browsers fill in what
  // stood there once: nobody typed that now, and it may be older than what is saved. What this page kept itself comes back.
  document.addEventListener("DOMContentLoaded", () => {
    const again = performance.getEntriesByType("navigation").some((each) => each.type !== "navigate");
    document.querySelectorAll("form[data-typed]").forEach((form) => fieldsOf(form).forEach((field) => {
      if (!Saving.isTyped(field) || !Saving.moved(field) || field === document.activeElement) return;
      if (again) Saving.leave(field); else quietly(form);
    }));
    Saving.restore(document).forEach((field) => quietly(field.form));
    if (again) return;
    document.querySelectorAll("[data-send]").forEach((field) => {
      if (!field.form || typed(field.form) || field === document.activeElement) return;
      if (Saving.moved(field) && (!field.options || [...field.options].some((each) => each.defaultSelected))) field.form.requestSubmit();
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
    if (status !== 200) return;
    if (!told.slip.pending && document.querySelector("[data-pending]")) { location.reload(); return; }
    showSearch(told.search);
  });

  return { asked: (form) => waiting.has(form), by, clash, listen, mark: Saving.mark, quietly, refresh, revision, send, showSearch, showSlip, showWays, tell };
})();
