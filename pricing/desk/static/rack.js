// The rack: each change goes on its own; then its list is fetched anew, and what is typed elsewhere on the page stays, with
// what it was typed over.
"use strict";

(() => {
  const place = () => document.getElementById("rack");

  // Which form this is, so that it is found again on a fresh page.
  const named = (form) => [form.getAttribute("action"), ...["name", "gone", "remove"].map((name) => {
    const field = form.elements.namedItem(name);
    return field && field.type === "hidden" ? field.value : "";
  })].join("|");

  // A form in which something was typed and is not saved yet stays as it is, with the state that it was typed over, so that
  // nobody's change is passed over.
  async function refresh(sent) {
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (!answer.ok) { location.reload(); return; }
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = document.adoptNode(page.getElementById("rack"));
    const shown = (form) => [...form.elements].filter((field) => field.name && !["hidden", "file", "radio", "submit"].includes(field.type));
    const at = document.activeElement;
    const held = at && at.form && at.name ? [named(at.form), at.name] : null;
    const typed = new Map();
    place().querySelectorAll("form").forEach((form) => {
      const fields = shown(form).filter(Saving.moved);
      if (fields.length) typed.set(named(form), { fields, revision: form !== sent && form.elements.revision && form.elements.revision.value });
    });
    const open = [...place().querySelectorAll("details")].map((each) => each.open);
    place().replaceWith(fresh);
    fresh.querySelectorAll("details").forEach((each, index) => { if (open[index] !== undefined) each.open = open[index]; });
    fresh.querySelectorAll("form").forEach((form) => {
      const kept = typed.get(named(form));
      if (kept) {
        kept.fields.forEach((old) => {
          const field = form.elements.namedItem(old.name); // a field may be called length
          if (kept.revision && field.tagName !== "SELECT") field.defaultValue = old.defaultValue;
          field.value = old.value;
        });
        if (kept.revision) form.elements.revision.value = kept.revision;
      }
      const field = held && named(form) === held[0] ? form.elements.namedItem(held[1]) : null;
      if (field && field.focus) field.focus({ preventScroll: true });
    });
    Saving.restore(fresh);
    if (document.activeElement === document.body) document.getElementById("board").focus({ preventScroll: true });
  }

  // A field that was saved leaves the list as it is: only what is told of it is made anew, so that nothing moves below a
  // pointer, and other rows keep the state that they show.
  async function retell(form, told) {
    form.elements.revision.value = told.revision;
    place().querySelectorAll(".undoing").forEach((ways) => {
      ways.querySelectorAll('input[name="revision"]').forEach((field) => { field.value = told.revision; });
      if (told.undo !== undefined) Desk.showWays(ways, told);
    });
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const stands = [...place().querySelectorAll("[data-told]")];
    page.querySelectorAll("[data-told]").forEach((fresh) => {
      const old = stands.find((each) => each.dataset.told === fresh.dataset.told);
      if (old) old.replaceWith(document.adoptNode(fresh));
    });
  }

  document.addEventListener("kept", (event) => {
    const form = event.target;
    event.detail.wait = form.dataset.typed === undefined ? refresh(form) : retell(form, event.detail);
  });
  document.addEventListener("dropped", (event) => {
    event.preventDefault();
    refresh(event.target);
  });
})();
