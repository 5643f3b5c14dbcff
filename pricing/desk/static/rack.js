// The rack: each change goes on its own, and what is typed elsewhere on the page stays, with what it was typed over.
"use strict";

(() => {
  const place = () => document.getElementById("rack");

  // Which form this is, so that it is found again on a fresh page.
  const named = (form) => [form.getAttribute("action"), ...["name", "gone", "remove"].map((name) => {
    const field = form.elements.namedItem(name);
    return field && field.type === "hidden" ? field.value : "";
  })].join("|");

  // Fetches the page again and puts its list in place. A form in which something was typed and not kept yet stays as it
  // is, with the state that it was typed over, so that nobody's change is passed over.
  async function refresh(sent) {
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (!answer.ok) { location.reload(); return; }
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = document.adoptNode(page.getElementById("rack"));
    const shown = (form) => [...form.elements].filter((field) => field.name && !["hidden", "file", "radio", "submit"].includes(field.type));
    const changed = (field) => (field.tagName === "SELECT" ? field.selectedIndex > 0 : field.value !== field.defaultValue);
    const at = document.activeElement;
    const held = at && at.form && at.name ? [named(at.form), at.name] : null;
    const typed = new Map();
    place().querySelectorAll("form").forEach((form) => {
      if (form === sent) return;
      const fields = shown(form);
      if (fields.some(changed)) typed.set(named(form), { fields, revision: form.elements.revision && form.elements.revision.value });
    });
    const open = [...place().querySelectorAll("details")].map((each) => each.open);
    place().replaceWith(fresh);
    fresh.querySelectorAll("details").forEach((each, index) => { if (open[index] !== undefined) each.open = open[index]; });
    fresh.querySelectorAll("form").forEach((form) => {
      const kept = typed.get(named(form));
      if (kept) {
        kept.fields.forEach((old) => {
          const field = form.elements.namedItem(old.name); // a field may be called length
          if (field.tagName !== "SELECT") field.defaultValue = old.defaultValue;
          field.value = old.value;
        });
        if (kept.revision) form.elements.revision.value = kept.revision;
      }
      const field = held && named(form) === held[0] ? form.elements.namedItem(held[1]) : null;
      if (field && field.focus) field.focus({ preventScroll: true });
    });
    if (document.activeElement === document.body) document.getElementById("board").focus({ preventScroll: true });
  }

  async function deliver(form, body) {
    const { status, told } = await Desk.send(form.action, body);
    if (status === 409 && told.conflict) {
      Desk.clash(told, (revision) => {
        const again = new FormData();
        Object.entries({ ...told.fields, revision }).forEach(([name, value]) => again.append(name, value));
        deliver(form, again);
      }, () => refresh(form));
      return;
    }
    if (status >= 400) { Desk.tell(told.message || "That did not work."); return; }
    await refresh(form);
    Desk.tell("Kept.");
  }

  let tail = Promise.resolve();
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.dataset.rack === undefined) return;
    event.preventDefault();
    const body = new FormData(form, event.submitter);
    tail = tail.then(() => deliver(form, body)).catch(() => Desk.tell("The desk does not answer."));
  });
})();
