// What can be done with a row and with a column of the table, and what a heading that is not understood is offered as.
"use strict";

(() => {
  const { by, body, facts } = Grid;
  const menu = by("row-menu");
  let row = 0;
  let column = 0;      // that one was in, for filling down
  let opener = null;

  // Rows.
  const lastFilled = () => [...body.rows].reduce((found, each, number) => (Grid.filled(each) ? number : found), -1);
  const below = () => [...body.rows].slice(row + 1, lastFilled() + 1).map((each) => Grid.cells(each)[column]);

  function insert(at) {
    Grid.addRow(at);
    Grid.renumber(at);
    Grid.go(Grid.at(at, Math.min(column, Grid.heads().length - 1)));
    Grid.deed(`row ${at + 1} put in`);
  }

  // A copy is a piece of its own: its name counts on from the one that it is copied from.
  function nextName(name) {
    const own = Grid.heads().findIndex((head) => head.dataset.name === "piece");
    const taken = new Set([...body.rows].map((each) => Grid.cells(each)[own].value.trim()));
    const [, stem, digits] = /^(.*?)(\d*)$/.exec(name.trim());
    for (let number = Number(digits || 1) + 1; ; number += 1) {
      const made = digits ? `${stem}${String(number).padStart(digits.length, "0")}` : `${stem}-${number}`;
      if (!taken.has(made)) return made;
    }
  }

  function copy() {
    const from = Grid.cells(body.rows[row]);
    Grid.addRow(row + 1);
    const into = Grid.cells(body.rows[row + 1]);
    const own = Grid.heads().findIndex((head) => head.dataset.name === "piece");
    from.forEach((input, index) => { into[index].value = index === own && input.value.trim() ? nextName(input.value) : input.value; });
    Grid.renumber(row + 1);
    Grid.go(into[Math.max(own, 0)]);
    Grid.deed(`row ${row + 1} copied`);
  }

  function move(way) {
    const to = row + way;
    if (to < 0 || to >= body.rows.length) return;
    const moving = body.rows[row];
    if (way < 0) moving.after(body.rows[to]); else moving.before(body.rows[to]);
    Grid.renumber(Math.min(row, to), Math.max(row, to));
    Grid.go(Grid.at(to, column));
    Grid.deed(`row ${row + 1} moved ${way < 0 ? "up" : "down"}`);
  }

  function remove() {
    body.rows[row].remove();
    if (!body.rows.length) Grid.addRow();
    Grid.renumber(row);
    Grid.go(Grid.at(Math.min(row, body.rows.length - 1), column));
    Grid.deed(`row ${row + 1} taken out`);
  }

  function fill(over) {
    const { value } = Grid.at(row, column);
    const into = below().filter((input) => over || !input.value.trim());
    into.forEach((input) => { input.value = value; });
    Grid.go(Grid.at(row, column));
    Grid.deed(`${Grid.label(Grid.heads()[column])} filled down to ${into.length} ${into.length === 1 ? "cell" : "cells"}`);
  }

  function item(text, key, act, off = false) {
    const button = document.createElement("button");
    button.type = "button";
    button.setAttribute("role", "menuitem");
    button.tabIndex = -1;
    button.append(text);
    if (key) {
      const keys = document.createElement("kbd");
      keys.textContent = key;
      button.append(keys);
    }
    if (off) button.setAttribute("aria-disabled", "true");
    button.addEventListener("click", () => {
      if (off) return;
      opener = null;
      menu.hidePopover();
      act();
    });
    return button;
  }

  function openMenu(number, from, beside) {
    row = number;
    opener = from;
    column = Grid.isCell(Grid.last) && Grid.last.isConnected ? Grid.place(Grid.last)[1] : 0;
    const text = Grid.label(Grid.heads()[column]);
    const blank = below().filter((input) => !input.value.trim()).length;
    menu.setAttribute("aria-label", `Row ${row + 1}`);
    menu.replaceChildren(
      item("Insert a row above", "", () => insert(row)),
      item("Insert a row below", "", () => insert(row + 1)),
      item("Copy it, below", "", copy, !Grid.filled(body.rows[row])),
      item("Move it up", "Alt Shift ↑", () => move(-1), row === 0),
      item("Move it down", "Alt Shift ↓", () => move(1), row >= body.rows.length - 1),
      item(`Fill ${text} down, blank cells`, "", () => fill(false), !blank),
      item(`Fill ${text} down, all cells`, "", () => fill(true), !below().length),
      item("Take the row out", "Ctrl Del", remove),
    );
    menu.showPopover();
    Grid.beside(menu, beside);
    menu.firstElementChild.focus();
  }

  body.addEventListener("click", (event) => {
    const button = event.target.closest(".row-menu");
    if (button) openMenu(button.closest("tr").sectionRowIndex, button, button);
  });
  body.addEventListener("contextmenu", (event) => {
    const head = event.target.closest("th");
    if (!head) return;
    event.preventDefault();
    openMenu(head.parentElement.sectionRowIndex, head.lastElementChild, head);
  });
  body.addEventListener("keydown", (event) => {
    const mine = (act) => { event.preventDefault(); event.stopImmediatePropagation(); act(); };
    const button = event.target.closest(".row-menu");
    if (button) {
      const at = button.closest("tr").sectionRowIndex;
      const to = { ArrowDown: at + 1, ArrowUp: at - 1 }[event.key];
      if (event.key === "ArrowRight" || event.key === "Escape") mine(() => Grid.go(Grid.at(at, 0)));
      else if (to !== undefined && body.rows[to]) mine(() => body.rows[to].querySelector(".row-menu").focus());
      return;
    }
    if (!Grid.isCell(event.target)) return;
    [row, column] = Grid.place(event.target);
    if (event.key === "ContextMenu" || (event.key === "F10" && event.shiftKey)) mine(() => openMenu(row, event.target, event.target));
    else if (event.key === "Delete" && (event.ctrlKey || event.metaKey)) mine(remove);
    else if (event.altKey && event.shiftKey && event.key === "ArrowUp") mine(() => move(-1));
    else if (event.altKey && event.shiftKey && event.key === "ArrowDown") mine(() => move(1));
  });
  menu.addEventListener("keydown", (event) => {
    const all = [...menu.children];
    const here = all.indexOf(document.activeElement);
    const to = { ArrowDown: (here + 1) % all.length, ArrowUp: (here + all.length - 1) % all.length, Home: 0, End: all.length - 1 }[event.key];
    if (to !== undefined) { event.preventDefault(); all[to].focus(); }
    if (event.key === "Tab") { event.preventDefault(); menu.hidePopover(); }
  });
  menu.addEventListener("toggle", (event) => {
    if (opener && opener.matches(".row-menu")) opener.setAttribute("aria-expanded", String(event.newState === "open"));
    if (event.newState !== "open" && opener) { const back = opener; opener = null; if (document.activeElement === document.body || menu.contains(document.activeElement)) back.focus(); }
  });

  // Columns.
  const dialog = by("column");
  const reads = by("column-reads");
  const own = by("column-text");
  let head = null;

  const at = (each) => Grid.heads().indexOf(each);
  const holder = (name) => Grid.heads().find((each) => each.dataset.name === name);
  const free = (name, but) => { const found = holder(name); return !found || found === but || Grid.isBlank(at(found)); };
  const nameOf = (each) => (each.dataset.name === "dimensions" ? Grid.label(each) : each.dataset.name);
  const wordOf = (name) => (facts.columns.find(([known]) => known === name) || [name, name])[1];

  function openColumn(each) {
    head = each;
    const offered = facts.columns.filter(([name]) => free(name, head) || name === nameOf(head));
    const option = (value, text) => new Option(text, value);
    reads.replaceChildren(option("", "a note"), ...offered.map(([name, words]) => option(name, words)));
    if (nameOf(head) && !offered.some(([name]) => name === nameOf(head))) reads.append(option(nameOf(head), nameOf(head)));
    reads.value = nameOf(head);
    own.value = Grid.label(head);
    by("column-title").textContent = `Column “${Grid.label(head)}”`;
    dialog.querySelector("[value=left]").disabled = at(head) === 0;
    dialog.querySelector("[value=right]").disabled = at(head) === Grid.heads().length - 1;
    tellColumn();
    dialog.showModal();
    reads.focus();
  }

  function tellColumn() {
    const found = facts.columns.find(([name]) => name === reads.value);
    by("column-own").hidden = reads.value !== "";
    by("column-means").textContent = found ? found[2] : "Its cells are kept with the piece as they are, and priced by nothing.";
  }
  reads.addEventListener("change", () => {
    if (!reads.value && nameOf(head)) own.value = "";
    tellColumn();
    if (!reads.value) own.focus();
  });

  function readAs(each, name) {
    const text = Grid.label(each);
    const other = holder(name);
    if (other && other !== each) Grid.dropColumn(at(other));
    Grid.readAs(at(each), name);
    return Grid.deed(`${text} read as ${wordOf(name)}`);
  }

  function rename(each, text) {
    const before = Grid.label(each);
    each.dataset.heading = text;
    each.dataset.name = "";
    each.title = "";
    Grid.dressHead(each);
    Grid.renumber();
    Grid.fit();
    Grid.deed(`column ${before} called ${text}`);
  }

  function takeOut(each) {
    const text = Grid.label(each);
    if (Grid.heads().length === 1) { Desk.tell("A table has one column at the least."); return; }
    Grid.dropColumn(at(each));
    Grid.renumber();
    refill();
    Grid.deed(`column ${text} taken out`);
    Desk.tell(`Column ${text} is taken out. “Take back”, beside the total, brings it back.`);
  }

  function moveColumn(each, way) {
    Grid.moveColumn(at(each), at(each) + way);
    Grid.renumber();
    Grid.deed(`column ${Grid.label(each)} moved`);
    each.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  dialog.addEventListener("close", () => {
    const each = head;
    const text = own.value.trim().replace(/\s+/g, " ");
    const done = dialog.returnValue;
    dialog.returnValue = "";
    if (done === "keep" && reads.value && reads.value !== nameOf(each)) readAs(each, reads.value);
    else if (done === "keep" && !reads.value && text && text !== Grid.label(each)) rename(each, text);
    else if (done === "keep" && !reads.value && nameOf(each)) Desk.tell("A note needs a heading of its own: the one it has is read as a column.");
    else if (done === "out") { takeOut(each); return; } else if (done === "left" || done === "right") moveColumn(each, done === "left" ? -1 : 1);
    each.querySelector(".head-menu").focus();
  });
  Grid.grid.tHead.addEventListener("click", (event) => {
    const button = event.target.closest(".head-menu");
    if (button) openColumn(button.closest("th"));
  });
  Grid.grid.tHead.addEventListener("contextmenu", (event) => {
    const each = event.target.closest("th");
    if (!each) return;
    event.preventDefault();
    openColumn(each);
  });

  // Which columns can be added still.
  function refill() {
    const names = facts.columns.map(([name]) => name).filter((name) => !name.startsWith("dimensions") && !holder(name));
    by("more-columns").replaceChildren(new Option("choose", ""), ...names.map((name) => new Option(wordOf(name), name)), new Option("one of your own", "+"));
  }
  by("more-columns").addEventListener("change", (event) => {
    const name = event.target.value;
    if (!name) return;
    let count = Grid.heads().length + 1;
    while (Grid.heads().some((each) => Grid.label(each) === `column ${count}`)) count += 1;
    Grid.addColumn(name === "+" ? `column ${count}` : wordOf(name), name === "+" ? "" : name);
    refill();
    Grid.deed("column added");
    const made = Grid.heads()[Grid.heads().length - 1];
    if (name === "+") openColumn(made); else Grid.go(Grid.at(0, at(made)));
  });

  // A heading that is not understood is offered as what it probably means, before it stays a note.
  const noted = `notes:${location.pathname}`;
  const keptAsNotes = () => { try { return JSON.parse(localStorage.getItem(noted)) || []; } catch { return []; } };

  function offer() {
    const open = Grid.heads().filter((each) => each.dataset.likely && !each.dataset.name && !keptAsNotes().includes(Grid.label(each)) && free(each.dataset.likely, each));
    by("offers").replaceChildren(...open.map((each) => {
      const line = document.createElement("li");
      const button = (text, act) => {
        const made = document.createElement("button");
        made.type = "button";
        made.className = "small";
        made.textContent = text;
        made.addEventListener("click", act);
        return made;
      };
      const word = wordOf(each.dataset.likely);
      const about = document.createElement("span");
      const [, , meaning] = facts.columns.find(([name]) => name === each.dataset.likely) || ["", "", ""];
      const told = meaning ? ` (${meaning.charAt(0).toLowerCase()}${meaning.slice(1).replace(/\.$/, "")})` : "";
      about.textContent = `“${Grid.label(each)}” is kept as a note so far. Is it the ${word}${told}?`;
      line.append(about, button(`Read it as ${word}`, async () => { await readAs(each, each.dataset.likely); offer(); each.querySelector(".head-menu").focus(); }),
        button("Something else …", () => openColumn(each)),
        button("Keep it a note", () => {
          try { localStorage.setItem(noted, JSON.stringify([...keptAsNotes(), Grid.label(each)])); } catch { /* asked again next time */ }
          line.remove();
          each.querySelector(".head-menu").focus();
        }));
      return line;
    }));
  }
  document.addEventListener("heads", () => { refill(); offer(); });
  offer();
})();
