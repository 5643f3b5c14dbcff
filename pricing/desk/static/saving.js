// Whether all that was typed is saved: the one mark in the page's head, the fault at its field, and what was typed and is
// not saved, which is kept over a reload.
"use strict";

const Saving = (() => {
  // A page that came back from a form stands at that form's address; a reload, and other scripts, ask for the page itself.
  if (document.body.dataset.page) history.replaceState(null, "", document.body.dataset.page);

  const KEPT_FOR = 7 * 24 * 3600 * 1000; // milliseconds
  const LEAVES = 3000; // milliseconds in which a page that is being left is gone
  const place = `typed:${location.pathname}`;
  const states = new Map();
  let counted = 0;

  // What one thing that is saved has come to: "saving", "saved" or "failed". Its key is anybody's choice.
  function mark(key, state, text = "") {
    if (state === "saved") states.delete(key);
    else states.set(key, { state, text });
    show();
  }

  function show() {
    const told = document.getElementById("saved");
    if (!told) return;
    const failed = [...states.values()].filter((each) => each.state === "failed");
    const state = failed.length ? "failed" : states.size ? "saving" : "saved";
    const text = state === "saved" ? "All saved" : state === "saving" ? "Saving …"
      : `Not saved: ${failed[0].text || "see what is marked"}${failed.length > 1 ? ` and ${failed.length - 1} more` : ""}`;
    if (told.dataset.state === state && told.textContent === text) return;
    told.dataset.state = state;
    const lead = document.createElement("button");
    lead.type = "button";
    lead.textContent = text;
    told.replaceChildren(state === "failed" ? lead : text);
  }

  const isTyped = (field) => field.form && field.form.matches("[method=post]") && field.form.dataset.forget === undefined && field.name &&
    !field.disabled && !field.readOnly && field.matches("input, select, textarea") &&
    !["hidden", "file", "submit", "button", "radio", "checkbox", "password", "search"].includes(field.type);
  const first = (field) => [...field.options].findIndex((each) => each.defaultSelected);

  // What a field said when the page came, or since it was saved.
  function standing(field) {
    if (field.type === "checkbox") return field.defaultChecked;
    return field.options ? field.options[Math.max(first(field), 0)].value : field.defaultValue;
  }
  const says = (field) => (field.type === "checkbox" ? field.checked : field.value);
  const moved = (field) => (field.type === "file" ? field.files.length > 0 : says(field) !== standing(field));

  function stand(field, text) {
    if (field.type === "checkbox") field.defaultChecked = text;
    else if (field.options) [...field.options].forEach((each) => { each.defaultSelected = each.value === text; });
    else if (field.type !== "file") field.defaultValue = text;
  }

  // Which field it is, whatever page it stands on next.
  function keyOf(field) {
    const { form } = field;
    const about = [...form.elements].filter((each) => each.type === "hidden" && ["rule", "kind", "stock", "name", "old", "good", "piece", "currency",
      "entry", "crate", "number", "none"].includes(each.name)).map((each) => `${each.name}=${each.value}`);
    return [form.getAttribute("action"), ...about, field.name].join("|");
  }

  // What was refused is kept for all windows, what is half typed for its own alone: another one would send it.
  const stores = [["refused", localStorage], ["typing", sessionStorage]];

  function all(store) {
    try { return JSON.parse(store.getItem(place)) || {}; } catch { return {}; }
  }

  function write(store, drafts) {
    try {
      if (Object.keys(drafts).length) store.setItem(place, JSON.stringify(drafts));
      else store.removeItem(place);
    } catch { /* a browser that keeps nothing keeps no drafts */ }
  }

  function forget(field) {
    stores.forEach(([, store]) => {
      const drafts = all(store);
      if (!(keyOf(field) in drafts)) return;
      delete drafts[keyOf(field)];
      write(store, drafts);
    });
  }

  function keep(field, why = "") {
    forget(field);
    if (!moved(field)) return;
    const store = why ? localStorage : sessionStorage;
    const drafts = all(store);
    drafts[keyOf(field)] = { text: says(field), over: standing(field), why, at: Date.now() };
    write(store, drafts);
  }

  const called = (field) => field.getAttribute("aria-label") || (field.labels && field.labels[0] ? field.labels[0].firstChild.textContent.trim() : "") || field.name;

  function clear(field) {
    const why = document.getElementById(field.getAttribute("aria-describedby") || "");
    if (why && why.classList.contains("fault")) why.remove();
    field.removeAttribute("aria-invalid");
    if (field.dataset.about) field.setAttribute("aria-describedby", field.dataset.about);
    else field.removeAttribute("aria-describedby");
    delete field.dataset.refused;
  }

  // Says at a field what is wrong with it. The field keeps its text.
  function point(field, text) {
    if (!field.hasAttribute("aria-invalid") && field.hasAttribute("aria-describedby")) field.dataset.about = field.getAttribute("aria-describedby");
    clear(field);
    const why = document.createElement("span");
    why.className = "fault";
    counted += 1;
    why.id = `wrong-${counted}`;
    why.textContent = text;
    (field.closest("label") || field).after(why);
    for (let shut = field.closest("details:not([open])"); shut; shut = shut.parentElement.closest("details:not([open])")) shut.open = true;
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", why.id);
    return why;
  }

  // A field of a typed form that is not saved: it says why, and what is saved there, until it is mended.
  function refuse(field, text) {
    const stands = standing(field);
    const why = point(field, `${text.charAt(0).toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? "" : "."} `);
    const back = document.createElement("button");
    back.type = "button";
    back.className = "small";
    back.textContent = stands === "" ? "Leave it empty" : `Back to ${String(stands).slice(0, 30)}`;
    back.addEventListener("click", () => { leave(field); field.focus(); });
    why.append(back);
    field.dataset.refused = says(field);
    keep(field, text);
    mark(keyOf(field), "failed", called(field));
  }

  // A field says again what is saved.
  function leave(field) {
    if (field.options) field.selectedIndex = Math.max(first(field), 0);
    else if (field.type === "checkbox") field.checked = field.defaultChecked;
    else field.value = field.defaultValue;
    settle(field);
  }

  // A page that is being left has asked for the next one already, which may come without what is saved meanwhile: its
  // drafts stay, and the next page forgets those that it finds saved. A page that stays after all forgets them itself.
  let leaving = false;
  const settled = [];
  window.addEventListener("beforeunload", () => {
    leaving = true;
    setTimeout(() => {
      leaving = false;
      settled.splice(0).filter((field) => !moved(field)).forEach(forget);
    }, LEAVES);
  });

  // A field is saved as it stands.
  function settle(field) {
    clear(field);
    if (leaving) settled.push(field);
    else forget(field);
    mark(keyOf(field), "saved");
  }

  // A form as a whole that will not do: said at its head.
  function tellForm(form, text) {
    form.querySelectorAll(":scope > p.fault").forEach((each) => each.remove());
    if (!text) return;
    const why = document.createElement("p");
    why.className = "fault";
    why.setAttribute("role", "alert");
    why.textContent = text;
    form.prepend(why);
  }

  // Puts back what was typed and is not saved; returns the fields of typed forms that were never sent.
  function restore(root) {
    const unsent = [];
    const now = Date.now();
    const drafts = stores.map(([, store]) => all(store)).filter((each) => Object.keys(each).length);
    if (!drafts.length) return unsent;
    root.querySelectorAll("input, select, textarea").forEach((field) => {
      if (!isTyped(field)) return;
      drafts.forEach((kept) => {
        const draft = kept[keyOf(field)];
        if (!draft) return;
        if (draft.text === standing(field) || now - draft.at > KEPT_FOR) { forget(field); return; }
        if (field.options && ![...field.options].some((each) => each.value === draft.text)) return;
        field.value = draft.text;
        const details = field.closest("details");
        if (field.form.dataset.typed === undefined && !field.dataset.send) { if (details) details.open = true; return; }
        if (draft.why) { refuse(field, draft.why); if (details) details.open = true; } else if (draft.over === standing(field)) unsent.push(field);
        else refuse(field, "Something else was saved here since this was typed");
      });
    });
    return unsent;
  }

  document.addEventListener("input", (event) => { if (isTyped(event.target)) keep(event.target, event.target.dataset.refused === event.target.value ? "not saved" : ""); });
  document.addEventListener("click", (event) => {
    if (!event.target.closest("#saved[data-state=failed]")) return;
    const wrong = document.querySelector("[aria-invalid=true]");
    if (wrong) wrong.focus();
  });
  // A form that a browser posts by itself has sent what was typed; the page that answers holds it where it will not do.
  document.addEventListener("submit", (event) => {
    if (!event.defaultPrevented) [...event.target.elements].filter(isTyped).forEach(forget);
  });
  document.addEventListener("DOMContentLoaded", () => {
    if (document.querySelector("main .fault")) mark("page", "failed", "see what is marked");
    show();
  });

  return { called, clear, forget, isTyped, keep, keyOf, leave, mark, moved, point, refuse, restore, says, settle, stand, standing, tellForm };
})();
