// The table of artworks: keys as in a spreadsheet, pasting of cells, saving as it changes, faults at their cells.
"use strict";

(() => {
  const grid = document.getElementById("grid");
  const body = grid.tBodies[0];
  const saved = document.getElementById("saved");
  const heads = () => [...grid.tHead.rows[0].cells].slice(1);
  const cells = (row) => [...row.cells].slice(1).map((cell) => cell.firstElementChild);
  const at = (row, column) => body.rows[row] && cells(body.rows[row])[column];
  const place = (input) => [input.closest("tr").rowIndex - 1, input.closest("td").cellIndex - 1];
  let timer = null;
  let going = null;
  let edits = 0;
  let kept = 0;
  let sending = false;
  let again = false;
  let what = "table edited";
  let entered = "";  // what the cell held when it was entered, for Escape

  function widen() {
    const long = heads().map((head) => head.classList.contains("long"));
    [...body.rows].forEach((row) => cells(row).forEach((input, index) => {
      input.parentElement.classList.toggle("wide-cell", long[index]);
    }));
  }

  function newCell(row, column) {
    const head = heads()[column];
    const cell = document.createElement("td");
    const input = document.createElement("input");
    input.setAttribute("aria-label", `${head.dataset.heading}, row ${row + 1}`);
    input.autocomplete = "off";
    input.spellcheck = false;
    const list = document.getElementById(`list-${head.dataset.name}`);
    if (list) input.setAttribute("list", list.id);
    if (head.classList.contains("long")) cell.classList.add("wide-cell");
    cell.append(input);
    return cell;
  }

  function addRows(count) {
    for (let each = 0; each < count; each += 1) {
      const row = body.insertRow();
      const label = document.createElement("th");
      label.scope = "row";
      label.textContent = row.rowIndex;
      row.append(label);
      heads().forEach((_, column) => row.append(newCell(row.rowIndex - 1, column)));
    }
  }

  function addColumn(text, name) {
    const head = document.createElement("th");
    head.scope = "col";
    head.dataset.heading = text;
    head.dataset.name = name || "";
    head.textContent = text;
    grid.tHead.rows[0].append(head);
    [...body.rows].forEach((row, number) => row.append(newCell(number, heads().length - 1)));
  }

  function table() {
    const rows = [...body.rows].map((row) => cells(row).map((input) => input.value));
    while (rows.length && rows[rows.length - 1].every((cell) => !cell.trim())) rows.pop();
    return { headings: heads().map((head) => head.dataset.heading), rows };
  }

  function showFaults(faults) {
    body.querySelectorAll("td.wrong, td.blank").forEach((cell) => {
      cell.classList.remove("wrong", "blank");
      cell.querySelectorAll(".why").forEach((why) => why.remove());
      cell.firstElementChild.removeAttribute("aria-invalid");
      cell.firstElementChild.removeAttribute("aria-describedby");
    });
    const list = document.getElementById("fault-list");
    list.replaceChildren();
    faults.forEach((fault) => {
      const input = fault.row === null ? null : at(fault.row, fault.column || 0);
      if (input && !input.hasAttribute("aria-describedby")) {
        const why = document.createElement("span");
        why.className = "why";
        why.id = `why-${fault.row}-${fault.column || 0}`;
        why.textContent = fault.text;
        input.parentElement.classList.add(fault.missing ? "blank" : "wrong");
        input.parentElement.append(why);
        input.setAttribute("aria-describedby", why.id);
        if (!fault.missing) input.setAttribute("aria-invalid", "true");
      }
      if (fault.missing && fault.row !== null) return;
      const item = document.createElement("li");
      if (fault.row !== null) {
        const link = document.createElement("a");
        link.href = "#";
        link.dataset.row = fault.row;
        link.dataset.column = fault.column || 0;
        const head = fault.column === null ? null : heads()[fault.column];
        link.textContent = `Row ${fault.row + 1}${head ? `, ${head.dataset.heading}` : ""}`;
        item.append(link, ": ");
      }
      item.append(fault.text);
      list.append(item);
    });
  }

  const settled = () => edits === kept;

  // What is under way when a save is asked for takes the newer state along; whoever waits, waits for both.
  function save(based) {
    edits += 1;
    if (sending) again = true;
    else going = send(based);
    return going;
  }

  async function send(based) {
    clearTimeout(timer);
    sending = true;
    const upto = edits;
    saved.textContent = "Saving …";
    document.getElementById("slip").classList.add("stale");
    const body_ = { ...table(), revision: based || Desk.revision(), unseen: Number(grid.dataset.unseen), what };
    let answer;
    try {
      answer = await Desk.send(`${location.pathname}`, body_);
    } catch {
      sending = false;
      saved.textContent = "Not saved: the desk does not answer. Trying again.";
      timer = setTimeout(() => save(), 2000);
      return;
    }
    sending = false;
    if (answer.status === 409) {
      saved.textContent = "Not saved: changed meanwhile";
      Desk.clash(answer.told, (current) => save(current));
      return;
    }
    if (answer.status >= 400) {
      saved.textContent = "Not saved";
      Desk.tell(answer.told.message);
      return;
    }
    Desk.showSlip(answer.told.slip);
    Desk.showSearch(answer.told.search);
    showFaults(answer.told.faults);
    kept = upto;
    saved.textContent = settled() ? "All saved" : "Changed";
    what = "table edited";
    if (again) { again = false; await save(); }
  }

  function changed() {
    edits += 1;
    saved.textContent = "Changed";
  }

  function soon(wait) {
    clearTimeout(timer);
    changed();
    timer = setTimeout(() => save(), wait);
  }

  // Where columns that were pasted with their heading go: to those that mean the same, or to new ones.
  function columnsFor(headings, names) {
    return headings.map((text, index) => {
      const found = heads().findIndex((head) => (head.dataset.name || head.dataset.heading) === names[index]);
      if (found >= 0) return found;
      addColumn(text, names[index]);
      return heads().length - 1;
    });
  }

  function spread(headings, rows, row, columns, whole) {
    let places = columns;
    if (whole) {
      while (heads().length) heads()[0].remove();
      body.replaceChildren();
      headings.forEach((text) => addColumn(text));
      places = headings.map((_, index) => index);
      row = 0;
    }
    while (body.rows.length < row + rows.length + 1) addRows(1);
    rows.forEach((cells_, down) => cells_.forEach((cell, across) => {
      const input = at(row + down, places[across]);
      if (input) input.value = cell;
    }));
    entered = document.activeElement.value || "";
    what = `pasted ${rows.length} rows`;
    return whole;
  }

  body.addEventListener("paste", async (event) => {
    const text = event.clipboardData.getData("text/plain");
    if (!/[\t\n]/.test(text.trim())) return;
    event.preventDefault();
    const [row, column] = place(event.target);
    const { status, told } = await Desk.send(`${location.pathname}/split`, { text });
    if (status >= 400) { Desk.tell(told.message); return; }
    const bare = text.replace(/\r?\n$/, "").split(/\r?\n/).map((line) => line.split("\t"));
    const empty = table().rows.length === 0;
    const headed = told.rows.length < bare.length || (bare.length > 1 && told.headings.join() === bare[0].map((cell) => cell.trim()).join());
    if (headed && empty) {
      spread(told.headings, told.rows, 0, [], true);
      await save();
      if (settled()) location.reload();
      return;
    }
    if (headed) spread([], told.rows, row, columnsFor(told.headings, told.names), false);
    else spread([], bare, row, heads().map((_, index) => column + index), false);
    widen();
    save();
  });

  body.addEventListener("focusin", (event) => { entered = event.target.value; });
  body.addEventListener("input", changed);
  body.addEventListener("change", () => soon(120));
  body.addEventListener("keydown", (event) => {
    const [row, column] = place(event.target);
    const move = (down, across) => {
      event.preventDefault();
      if (row + down >= body.rows.length) addRows(1);
      const next = at(row + down, column + across);
      if (next) { next.focus(); next.select(); }
    };
    const input = event.target;
    if (event.key === "Enter") move(event.shiftKey ? -1 : 1, 0);
    else if (event.key === "ArrowDown" && !input.list) move(1, 0);
    else if (event.key === "ArrowUp" && !input.list) move(-1, 0);
    else if (event.key === "ArrowRight" && input.selectionStart === input.value.length && input.selectionEnd === input.value.length) move(0, 1);
    else if (event.key === "ArrowLeft" && input.selectionStart === 0 && input.selectionEnd === 0) move(0, -1);
    else if (event.key === "Escape") { input.value = entered; input.select(); soon(120); }
    else if (event.key === "Delete" && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      body.rows[row].remove();
      what = `row ${row + 1} removed`;
      [...body.rows].forEach((each, number) => { each.cells[0].textContent = number + 1; });
      save();
    }
  });

  document.getElementById("more-rows").addEventListener("click", () => { addRows(5); at(body.rows.length - 5, 0).focus(); });
  document.getElementById("more-columns").addEventListener("change", (event) => {
    if (!event.target.value) return;
    addColumn(event.target.value, event.target.value);
    event.target.selectedOptions[0].remove();
    what = "column added";
    save();
  });
  document.getElementById("fault-list").addEventListener("click", (event) => {
    const link = event.target.closest("a[data-row]");
    if (!link) return;
    event.preventDefault();
    const input = at(Number(link.dataset.row), Number(link.dataset.column));
    if (input) { input.focus(); input.select(); }
  });
  // A link from what the total lacks names the columns that mend it: go to the first row of work that has none of them.
  function meant() {
    const names = decodeURIComponent(location.hash.slice(1)).split(",");
    const columns = heads().map((head, index) => (names.includes(head.dataset.name) ? index : -1)).filter((index) => index >= 0);
    if (!columns.length) return;
    const bare = [...body.rows].findIndex((row) => cells(row).some((cell) => cell.value.trim()) &&
      columns.every((column) => !cells(row)[column].value.trim()));
    const input = at(Math.max(bare, 0), columns[columns.length - 1]);
    if (input) { input.focus(); input.select(); }
  }
  window.addEventListener("hashchange", meant);
  document.addEventListener("DOMContentLoaded", meant);

  // What changes the job in another way, such as an undo, waits for what was typed; else it would clash with it.
  document.addEventListener("submit", async (event) => {
    if (!event.target.elements.revision || settled()) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    await save();
    if (settled()) event.target.requestSubmit(event.submitter);
  }, true);
  window.addEventListener("beforeunload", (event) => {
    if (!settled()) event.preventDefault();
  });
  widen();
  // The table can be typed into before this script has come: what differs from the page as it was sent is saved now.
  if (body.contains(document.activeElement)) entered = document.activeElement.defaultValue;
  if ([...body.rows].flatMap(cells).some((input) => input.value !== input.defaultValue)) soon(120);
})();
