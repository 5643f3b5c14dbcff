// What is offered in a cell: methods, parties, places and other words; and the party or place itself, opened from the
// cell without leaving the table.
"use strict";

(() => {
  const { by, facts } = Grid;
  const list = by("choices");
  const dialog = by("opened");
  const FIELDS = "input:not([type=hidden]), select, textarea";
  let owner = null;   // the cell whose choices are shown
  let chosen = -1;

  const columnOf = (input) => Grid.heads()[Grid.place(input)[1]].dataset.name;
  const wordsFor = (input) => facts.choices[columnOf(input)] || [];
  const kindFor = (input) => facts.opens[columnOf(input)];
  const clean = (text) => text.trim().split(/\s+/).join(" ");
  const known = (input) => wordsFor(input).some(([word]) => word === clean(input.value));
  const options = () => [...list.children];

  function option(text, note, act, kind = "") {
    const item = document.createElement("div");
    item.setAttribute("role", "option");
    item.setAttribute("aria-selected", "false");
    item.id = `choice-${list.children.length}`;
    item.className = kind;
    item.append(text);
    if (note) {
      const small = document.createElement("small");
      small.textContent = note;
      item.append(small);
    }
    item.addEventListener("click", act);
    list.append(item);
  }

  // All words where one asks for them; those that go on from what was typed while one types.
  function show(input, all) {
    const typed = clean(input.value).toLowerCase();
    const words = wordsFor(input);
    const fitting = all || !typed ? words : words.filter(([word, note]) => `${word} ${note}`.toLowerCase().includes(typed));
    if (!all && !fitting.length && !kindFor(input)) { hide(); return; }
    owner = input;
    chosen = -1;
    list.replaceChildren();
    fitting.forEach(([word, note]) => option(word, note, () => take(word)));
    const kind = kindFor(input);
    if (kind) {
      const name = clean(input.value);
      const text = !name ? `A new ${kind} …` : known(input) ? `Open ${name} …` : `Add ${name} as a ${kind} …`;
      option(text, "Alt Enter", () => open(input), "opener");
    }
    if (!list.children.length) { hide(); return; }
    if (!list.matches(":popover-open")) list.showPopover();
    list.scrollTop = 0;
    Grid.beside(list, input);
    input.setAttribute("aria-expanded", "true");
    if (all) choose(words.findIndex(([word]) => word === clean(input.value)));
    Grid.tip();
  }

  function hide() {
    if (owner) {
      owner.setAttribute("aria-expanded", "false");
      owner.removeAttribute("aria-activedescendant");
    }
    owner = null;
    if (list.matches(":popover-open")) list.hidePopover();
  }

  function choose(index) {
    options().forEach((each, number) => each.setAttribute("aria-selected", String(number === index)));
    chosen = index;
    if (index < 0) { owner.removeAttribute("aria-activedescendant"); return; }
    owner.setAttribute("aria-activedescendant", options()[index].id);
    options()[index].scrollIntoView({ block: "nearest" });
  }

  function take(word) {
    const input = owner;
    hide();
    input.value = word;
    input.focus();
    input.select();
    input.dispatchEvent(new Event("input", { bubbles: true }));
    hide();
    Grid.soon(120);
  }

  Grid.body.addEventListener("input", (event) => { if (event.isTrusted && Grid.isCell(event.target) && wordsFor(event.target).length + Boolean(kindFor(event.target))) show(event.target, false); });
  // The mark at the right end of the cell opens all of them, as the second click into the cell does.
  Grid.body.addEventListener("pointerdown", (event) => {
    const input = event.target;
    if (!Grid.isCell(input) || !input.hasAttribute("role")) return;
    const atMark = event.clientX > input.getBoundingClientRect().right - 22;
    if (!atMark && input !== document.activeElement) return;
    if (owner === input) { hide(); return; }
    setTimeout(() => { if (document.activeElement === input) show(input, true); });
  });
  list.addEventListener("pointerdown", (event) => event.preventDefault());
  Grid.body.addEventListener("focusout", () => { if (owner) hide(); });
  Grid.frame.addEventListener("scroll", hide, { passive: true });
  window.addEventListener("resize", hide);

  Grid.body.addEventListener("keydown", (event) => {
    const input = event.target;
    if (!Grid.isCell(input) || !input.hasAttribute("role")) return;
    const mine = () => { event.preventDefault(); event.stopImmediatePropagation(); };
    if (event.altKey && event.key === "Enter" && kindFor(input)) { mine(); open(input); return; }
    if (event.altKey && !event.shiftKey && event.key === "ArrowDown") { mine(); show(input, true); return; }
    if (!owner) return;
    if (event.key === "ArrowDown") { mine(); choose(Math.min(chosen + 1, options().length - 1)); }
    else if (event.key === "ArrowUp") { mine(); choose(Math.max(chosen - 1, -1)); }
    else if (event.key === "Enter" && chosen >= 0) { mine(); options()[chosen].click(); }
    else if (event.key === "Escape") { mine(); hide(); Grid.tip(); }
  }, true);

  // A party or a place, in a dialog over the table: its own form of its own page, which saves as it does there.
  async function open(input) {
    const kind = kindFor(input);
    const name = clean(input.value);
    hide();
    const address = kind === "party" ? `/parties?add=${encodeURIComponent(name)}` : `/rules?place=${encodeURIComponent(name)}`;
    const answer = await fetch(address, { headers: { accept: "text/html" } }).catch(() => null);
    if (!answer || !answer.ok) { Desk.tell("The desk does not answer."); return; }
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const action = kind === "party" ? "/parties" : "/rules/place";
    const forms = [...page.querySelectorAll(`form.place[action="${action}"]`)];
    const same = (text) => forms.find((each) => each.elements.old && each.elements.old.value === text);
    const form = (name && same(name)) || same("");
    const isNew = form.elements.old.value === "";
    document.adoptNode(form);
    form.querySelectorAll('[name="remove"], input[name="back"]').forEach((each) => each.remove());
    if (isNew) form.dataset.quiet = "";
    by("opened-title").textContent = isNew ? `A new ${kind}` : name;
    by("opened-form").replaceChildren(form);
    page.querySelectorAll("datalist").forEach((each) => by("opened-form").append(document.adoptNode(each)));
    dialog.cell = input;
    dialog.kind = kind;
    dialog.moved = false;
    Saving.restore(form);
    dialog.showModal();
    form.querySelectorAll(FIELDS)[isNew && !name ? 0 : 1].focus();
  }

  by("opened-done").addEventListener("click", () => dialog.close());
  dialog.addEventListener("kept", (event) => {
    const form = event.target;
    dialog.moved = true;
    dialog.called = clean(form.querySelector(FIELDS).value);
    if (form.dataset.quiet !== undefined) dialog.close();
  });
  dialog.addEventListener("close", async () => {
    const input = dialog.cell;
    if (dialog.moved) learn(dialog.called, input);
    by("opened-form").replaceChildren();
    Grid.go(input);
    hide();
    if (!dialog.moved) return;
    if (clean(input.value) !== dialog.called) {
      input.value = dialog.called;
      Grid.fit();
      Grid.deed(`${columnOf(input)} of row ${Grid.place(input)[0] + 1}: ${dialog.called}`);
    } else if (Grid.settled()) {
      const { status, told } = await Desk.send(`${location.pathname.replace(/artworks$/, "settle")}`, {}).catch(() => ({ status: 0 }));
      if (status === 200) { Desk.showSlip(told.slip); Desk.showSearch(told.search); Grid.showFaults(told.faults); }
    }
  });

  // A new name is offered from now on in every cell that takes such a one.
  function learn(name, input) {
    const old = clean(input.value);
    Object.entries(facts.opens).filter(([, kind]) => kind === dialog.kind).forEach(([column]) => {
      const words = facts.choices[column];
      if (old !== name) words.splice(0, words.length, ...words.filter(([word]) => word !== old));
      if (!words.some(([word]) => word === name)) words.push([name, ""]);
    });
  }
})();
