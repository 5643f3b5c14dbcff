// The table of artworks: cells and the way among them, pasting, saving as it changes, faults in the strip and at their
// cells. What is offered in a cell is in choices.js, what is done with rows and columns in menus.js.
"use strict";

const Grid = (() => {
  const by = (id) => document.getElementById(id);
  const grid = by("grid");
  const body = grid.tBodies[0];
  const frame = by("frame");
  const facts = JSON.parse(by("grid-facts").textContent);
  const heads = () => [...grid.tHead.rows[0].cells].slice(1);
  const inputOf = (cell) => cell.firstElementChild;
  const cells = (row) => [...row.cells].slice(1).map(inputOf);
  const at = (row, column) => { const cell = body.rows[row] && body.rows[row].cells[column + 1]; return cell ? inputOf(cell) : undefined; };
  const place = (input) => { const cell = input.closest("td"); return [cell.parentElement.sectionRowIndex, cell.cellIndex - 1]; };
  const isCell = (element) => element instanceof HTMLInputElement && body.contains(element);
  const named = () => Math.max(heads().findIndex((head) => head.dataset.name === "piece"), 0);
  const label = (head) => head.dataset.heading;
  let timer = null;
  let growing = null;
  let going = null;
  let edits = 0;
  let kept = 0;
  let sending = false;
  let again = false;
  let what = "table edited";
  let entered = "";  // what the cell held when it was entered, for Escape
  let last = null;   // the cell that one was in last
  let reads = {};    // columns that were given another meaning, until that is saved
  let shape = 0;     // counts changes of columns

  // Widths: as wide as the longest text that a column holds, measured as the browser would set it.
  const WIDEST = 320, NAMES = 440, NARROWEST = 46, AROUND = 20, ARROW = 12, PAUSE = 200; // pixels, names being of parties and places; ms
  const pen = document.createElement("canvas").getContext("2d");
  const measured = new Map();
  const widths = [];

  function needs(text) {
    if (!measured.has(text)) {
      if (measured.size > 20000) measured.clear();
      measured.set(text, pen.measureText(text).width);
    }
    return measured.get(text);
  }


  function most(column) {
    if (column === named()) return Math.min(WIDEST, frame.clientWidth * 0.3);
    return facts.opens[heads()[column].dataset.name] ? Math.min(NAMES, frame.clientWidth) : Math.min(WIDEST, frame.clientWidth * 0.6);
  }
  // Rows are laid out one by one (grid.css), so that a key lays out its own row and no other. All take their widths from
  // one rule: a property of the table would be handed down to each cell, which takes time with 500 rows.
  const sheet = new CSSStyleSheet();
  sheet.replaceSync("@media screen { .grid.live tr { grid-template-columns: 40px } }");
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
  const rule = sheet.cssRules[0].cssRules[0];
  const spreadOut = () => { rule.style.gridTemplateColumns = `40px ${widths.map((each) => `${Math.round(each)}px`).join(" ")}`; };
  const arrow = (head) => (facts.choices[head.dataset.name] ? ARROW : 0);

  function fit() {
    pen.font = getComputedStyle(grid).font;
    heads().forEach((head, column) => {
      let widest = needs(label(head)) * 0.95 + (head.classList.contains("must") ? 24 : 14);
      for (const row of body.rows) {
        const text = inputOf(row.cells[column + 1]).value;
        if (text) widest = Math.max(widest, needs(text) + arrow(head));
      }
      widths[column] = Math.min(Math.max(widest + AROUND, NARROWEST), most(column));
    });
    spreadOut();
    hold();
  }

  // How much of the frame's left side is covered by what stays in view, for scrolling to a cell.
  function hold() {
    const head = heads()[named()];
    if (head) frame.style.setProperty("--held", `${Math.round(48 + widths[named()])}px`);
  }

  function widen(input) {
    const [, column] = place(input);
    const head = heads()[column];
    const wanted = Math.min(needs(input.value) + AROUND + arrow(head), most(column));
    if (wanted <= widths[column]) return;
    widths[column] = wanted;
    spreadOut();
  }

  // A head, a row and a cell as the page sends them.
  function dressHead(head, facts_) {
    if (facts_) {
      head.dataset.heading = facts_.text;
      head.dataset.name = facts_.name;
      head.dataset.likely = facts_.likely;
      head.title = `${facts_.meaning}${facts_.accepted ? ` Write ${facts_.accepted}.` : ""}`;
      head.classList.toggle("must", facts_.required);
    }
    // The button stays the one that it is: it may have the focus.
    const button = head.querySelector(".head-menu") || document.createElement("button");
    button.type = "button";
    button.className = "head-menu";
    button.setAttribute("aria-haspopup", "dialog");
    button.setAttribute("aria-label", `Column ${label(head)}`);
    const text = head.querySelector(".head-text") || document.createElement("span");
    text.className = "head-text";
    text.textContent = label(head);
    const mark = head.querySelector(".must-mark") || document.createElement("span");
    mark.className = "must-mark";
    mark.setAttribute("aria-hidden", "true");
    mark.textContent = head.classList.contains("must") ? "•" : "";
    if (!button.isConnected) head.replaceChildren(text, mark, button);
    else if (!mark.isConnected) button.before(mark);
  }

  function dressCell(input, head, row) {
    input.setAttribute("aria-label", `${label(head)}, row ${row + 1}`);
    const choosing = facts.choices[head.dataset.name] !== undefined;
    if (choosing === input.hasAttribute("role")) return;
    if (choosing) [["role", "combobox"], ["aria-expanded", "false"], ["aria-controls", "choices"]].forEach((each) => input.setAttribute(...each));
    else ["role", "aria-expanded", "aria-controls", "aria-activedescendant"].forEach((each) => input.removeAttribute(each));
  }

  function newCell(row, column) {
    const head = heads()[column];
    const cell = document.createElement("td");
    const input = document.createElement("input");
    input.autocomplete = "off";
    input.spellcheck = false;
    dressCell(input, head, row);
    if (column === named()) cell.classList.add("named");
    cell.append(input);
    return cell;
  }

  function addRow(where = -1) {
    const row = body.insertRow(where);
    const head = document.createElement("th");
    head.scope = "row";
    const number = document.createElement("span");
    number.textContent = row.sectionRowIndex + 1;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "row-menu";
    button.tabIndex = -1;
    button.setAttribute("aria-haspopup", "menu");
    button.setAttribute("aria-label", `Row ${row.sectionRowIndex + 1}`);
    head.append(number, button);
    row.append(head);
    heads().forEach((_, column) => row.append(newCell(row.sectionRowIndex, column)));
    return row;
  }

  function addRows(count) {
    for (let each = 0; each < count; each += 1) addRow();
  }

  // After rows or columns moved: numbers, labels, and which column stays in view.
  function renumber(from = 0, upto = body.rows.length - 1) {
    const all = heads();
    const own = named();
    all.forEach((head, column) => head.classList.toggle("named", column === own));
    for (let number = from; number <= upto; number += 1) {
      const row = body.rows[number];
      row.cells[0].firstElementChild.textContent = number + 1;
      row.cells[0].lastElementChild.setAttribute("aria-label", `Row ${number + 1}`);
      cells(row).forEach((input, column) => {
        dressCell(input, all[column], number);
        input.parentElement.classList.toggle("named", column === own);
      });
    }
  }

  function addColumn(text, name) {
    const head = document.createElement("th");
    head.scope = "col";
    head.dataset.heading = text;
    head.dataset.name = name || "";
    head.dataset.likely = "";
    dressHead(head);
    grid.tHead.rows[0].append(head);
    widths.push(Math.max(needs(text) + 36, NARROWEST));
    spreadOut();
    [...body.rows].forEach((row, number) => row.append(newCell(number, heads().length - 1)));
    shape += 1;
  }

  function dropColumn(column) {
    heads()[column].remove();
    widths.splice(column, 1);
    spreadOut();
    [...body.rows].forEach((row) => row.cells[column + 1].remove());
    shape += 1;
  }

  function moveColumn(column, to) {
    const put = (list, item) => list[to].parentElement.insertBefore(item, to > column ? list[to].nextSibling : list[to]);
    put(heads(), heads()[column]);
    widths.splice(to, 0, ...widths.splice(column, 1));
    spreadOut();
    [...body.rows].forEach((row) => { const all = [...row.cells].slice(1); put(all, all[column]); });
    shape += 1;
  }

  const filled = (row) => cells(row).some((input) => input.value.trim());
  const isBlank = (column) => [...body.rows].every((row) => !inputOf(row.cells[column + 1]).value.trim());

  function table() {
    const rows = [...body.rows].map((row) => cells(row).map((input) => input.value));
    while (rows.length && rows[rows.length - 1].every((cell) => !cell.trim())) rows.pop();
    return { headings: heads().map(label), rows };
  }

  // Faults: a cell keeps its height; what is wrong is said beside the cell one is in, and in the strip above the table.
  function showFaults(faults) {
    body.querySelectorAll("td.wrong, td.blank").forEach((cell) => {
      cell.classList.remove("wrong", "blank");
      cell.querySelectorAll(".why").forEach((why) => why.remove());
      inputOf(cell).removeAttribute("aria-invalid");
      inputOf(cell).removeAttribute("aria-describedby");
    });
    const item = (fault) => {
      const line = document.createElement("li");
      if (fault.row !== null) {
        const link = document.createElement("a");
        link.href = "#";
        link.dataset.row = fault.row;
        link.dataset.column = fault.column || 0;
        const head = fault.column === null ? null : heads()[fault.column];
        link.textContent = `Row ${fault.row + 1}${head ? `, ${label(head)}` : ""}`;
        line.append(link, ": ");
      }
      line.append(fault.text);
      return line;
    };
    faults.forEach((fault) => {
      const input = fault.row === null ? null : at(fault.row, fault.column || 0);
      if (!input || input.hasAttribute("aria-describedby")) return;
      const why = document.createElement("span");
      why.className = "why";
      why.id = `why-${fault.row}-${fault.column || 0}`;
      why.textContent = fault.text;
      input.parentElement.classList.add(fault.missing ? "blank" : "wrong");
      input.parentElement.append(why);
      input.setAttribute("aria-describedby", why.id);
      if (!fault.missing) input.setAttribute("aria-invalid", "true");
    });
    by("fault-list").replaceChildren(...faults.filter((fault) => !fault.missing && fault.row !== null).map(item));
    by("fault-general").replaceChildren(...faults.filter((fault) => fault.row === null).map(item));
    tellStrip();
  }

  function tellStrip() {
    const wrong = body.querySelectorAll("td.wrong").length;
    const blank = body.querySelectorAll("td.blank").length;
    const general = by("fault-general").children.length;
    const count = (number, one, many) => (number ? [`${number} ${number === 1 ? one : many}`] : []);
    const short = window.innerWidth < 640;
    const said = [...(short ? count(wrong, "to mend", "to mend") : count(wrong, "cell to mend", "cells to mend")),
      ...(short ? count(blank, "blank", "blank") : count(blank, "still blank", "still blank")),
      ...(short ? count(general, "below", "below") : count(general, "more below the table", "more below the table"))];
    by("strip-count").textContent = said.join(", ") || "Nothing to mend";
    by("strip").classList.toggle("to-mend", wrong + general > 0);
    by("strip-back").disabled = !(wrong + blank);
    by("strip-on").disabled = !(wrong + blank);
    tip();
  }

  // To the next cell to mend, from where one is; those that are wrong before those that are only blank.
  function step(way) {
    const wrong = [...body.querySelectorAll("td.wrong")];
    const all = (wrong.length ? wrong : [...body.querySelectorAll("td.blank")]).map(inputOf);
    const here = isCell(last) ? place(last) : [-1, -1];
    const after = (input) => { const [row, column] = place(input); return row > here[0] || (row === here[0] && column > here[1]); };
    const onwards = all.filter((input) => input !== last && after(input) === way > 0);
    go(way > 0 ? onwards[0] || all[0] : onwards[onwards.length - 1] || all[all.length - 1]);
  }

  function go(input) {
    if (!input) return;
    input.focus();
    input.select();
    input.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  function tip(input = isCell(document.activeElement) ? document.activeElement : null) {
    const place_ = by("tip");
    const why = input && input.parentElement.querySelector(":scope > .why");
    const cell = why && input.getBoundingClientRect();
    const view = frame.getBoundingClientRect();
    const inView = why && cell.right > view.left + 40 && cell.left < view.right && cell.bottom > view.top + 30 && cell.top < view.bottom;
    if (!inView) { if (place_.matches(":popover-open")) place_.hidePopover(); return; }
    place_.textContent = why.textContent;
    place_.classList.toggle("still", input.parentElement.classList.contains("blank"));
    if (!place_.matches(":popover-open")) place_.showPopover();
    const above = input.getAttribute("aria-expanded") === "true";
    beside(place_, input, above);
  }

  // Puts what floats below a cell, or above it where there is no room, within the window.
  function beside(floating, cell, above = false) {
    const box = cell.getBoundingClientRect();
    const { width, height } = floating.getBoundingClientRect();
    const up = above || box.bottom + height + 4 > document.documentElement.clientHeight;
    floating.style.left = `${Math.max(4, Math.min(box.left, document.documentElement.clientWidth - width - 4))}px`;
    floating.style.top = `${up && box.top - height - 3 > 0 ? box.top - height - 3 : box.bottom + 2}px`;
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
    const formed = shape;
    const order = heads();
    Desk.mark("table", "saving");
    by("slip").classList.add("stale");
    const sent = table();
    const unseen = Number(grid.dataset.unseen);
    const places = heads().map((head) => (head.dataset.place === undefined ? null : Number(head.dataset.place)));
    const whole = { ...sent, revision: based || Desk.revision(), unseen, what, reads, ...(unseen && shape ? { places } : {}) };
    let answer;
    try {
      answer = await Desk.send(location.pathname, whole);
    } catch {
      sending = false;
      Desk.mark("table", "failed", "the desk does not answer. Trying again.");
      timer = setTimeout(() => save(), 2000);
      return;
    }
    sending = false;
    if (answer.status === 409) {
      Desk.mark("table", "failed", "changed meanwhile");
      Desk.clash(answer.told, (current) => save(current));
      return;
    }
    if (answer.status >= 400) {
      reads = {};
      Desk.mark("table", "failed", "see the message");
      Desk.tell(answer.told.message);
      return;
    }
    Desk.showSlip(answer.told.slip);
    Desk.showSearch(answer.told.search);
    order.forEach((head, column) => { head.dataset.place = column; });
    if (formed === shape) showHeads(answer.told.heads);
    // A cell that somebody goes on typing in is not told wrong for half of what it will say.
    const same = (fault) => { const input = fault.row === null ? null : at(fault.row, fault.column || 0); return !input || formed !== shape || input.value === ((sent.rows[fault.row] || [])[fault.column || 0] || ""); };
    showFaults(answer.told.faults.filter(same));
    showRemarks(answer.told.remarks);
    sent.rows.forEach((row, number) => {
      if (formed === shape && body.rows[number]) cells(body.rows[number]).forEach((input, column) => { if (input.defaultValue !== row[column]) input.defaultValue = row[column]; });
    });
    kept = upto;
    Desk.mark("table", settled() ? "saved" : "saving");
    what = "table edited";
    document.dispatchEvent(new Event("table-saved"));
    if (again) { again = false; await save(); }
  }

  function showRemarks(remarks) {
    const place_ = by("remarks");
    place_.hidden = !remarks.length;
    place_.querySelector("summary").textContent = `${remarks.length} ${remarks.length === 1 ? "remark" : "remarks"} on how the table was read`;
    place_.querySelector("ul").replaceChildren(...remarks.map((text) => { const item = document.createElement("li"); item.textContent = text; return item; }));
  }

  // Heads as they are read now: a heading may have got a unit, or another meaning.
  function showHeads(told) {
    reads = {};
    let moved = false;
    heads().forEach((head, column) => {
      const now = told[column];
      if (!now || (head.dataset.heading === now.text && head.dataset.name === now.name && head.dataset.likely === now.likely && head.title)) return;
      moved = true;
      dressHead(head, now);
    });
    if (moved) { renumber(); fit(); document.dispatchEvent(new Event("heads")); }
  }

  function changed() {
    edits += 1;
    Desk.mark("table", "saving");
  }

  function soon(wait) {
    clearTimeout(timer);
    changed();
    timer = setTimeout(() => save(), wait);
  }

  // A change by menu or strip: its name is what the button that takes it back says.
  function deed(told) {
    what = told;
    return save();
  }

  // Where columns that were pasted with their heading go: to those that mean the same, or to new ones.
  function columnsFor(headings, names) {
    return headings.map((text, index) => {
      const found = heads().findIndex((head) => (head.dataset.name || label(head)) === names[index]);
      if (found >= 0) return found;
      addColumn(text, names[index] === text ? "" : names[index]);
      return heads().length - 1;
    });
  }

  function spread(headings, rows, row, columns, whole) {
    let places = columns;
    if (whole) {
      while (heads().length) dropColumn(0);
      body.replaceChildren();
      headings.forEach((text) => addColumn(text));
      places = headings.map((_, index) => index);
      row = 0;
    }
    while (body.rows.length < row + rows.length + 1) addRow();
    rows.forEach((cells_, down) => cells_.forEach((cell, across) => {
      const input = at(row + down, places[across]);
      if (input) input.value = cell;
    }));
    entered = document.activeElement.value || "";
    what = `pasted ${rows.length} ${rows.length === 1 ? "row" : "rows"}`;
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
      renumber();
      fit();
      go(at(told.rows.length, 0));
      save();
      return;
    }
    if (headed) spread([], told.rows, row, columnsFor(told.headings, told.names), false);
    else spread([], bare, row, heads().map((_, index) => column + index), false);
    renumber();
    fit();
    save();
  });

  // Keys: as in a spreadsheet.
  body.addEventListener("focusin", (event) => {
    if (!isCell(event.target)) return;
    entered = event.target.value;
    last = event.target;
    tip(event.target);
  });
  body.addEventListener("focusout", () => { if (by("tip").matches(":popover-open")) by("tip").hidePopover(); });
  body.addEventListener("pointerover", (event) => {
    const cell = event.pointerType === "mouse" && event.target.closest("td.wrong, td.blank");
    if (cell) tip(inputOf(cell));
  });
  body.addEventListener("pointerout", (event) => { if (event.pointerType === "mouse" && event.target.closest("td.wrong, td.blank")) tip(); });
  frame.addEventListener("scroll", () => { if (by("tip").matches(":popover-open")) tip(); }, { passive: true });
  body.addEventListener("input", (event) => {
    changed();
    // A column grows when one stops typing: that lays out all rows, which is no work for a key.
    clearTimeout(growing);
    growing = setTimeout(() => { if (event.target.isConnected) widen(event.target); }, PAUSE);
  });
  body.addEventListener("change", (event) => { if (isCell(event.target)) widen(event.target); soon(120); });
  body.addEventListener("keydown", (event) => {
    if (!isCell(event.target) || event.defaultPrevented) return;
    const input = event.target;
    const [row, column] = place(input);
    const move = (down, across) => {
      event.preventDefault();
      if (row + down >= body.rows.length) addRow();
      go(at(row + down, column + across));
    };
    const whole = input.selectionStart === 0 && input.selectionEnd === input.value.length;
    if (event.altKey && event.key !== "Escape") return;
    if (event.key === "Enter") move(event.shiftKey ? -1 : 1, 0);
    else if (event.key === "Escape" && input.value === entered) { event.preventDefault(); by("more-rows").focus(); } // out of the table
    else if (event.key === "ArrowDown") move(1, 0);
    else if (event.key === "ArrowUp") move(-1, 0);
    else if (event.key === "ArrowRight" && input.selectionEnd === input.value.length && (whole || input.selectionStart === input.selectionEnd)) move(0, 1);
    else if (event.key === "ArrowLeft" && input.selectionStart === 0 && (whole || input.selectionEnd === 0)) {
      if (column > 0) move(0, -1);
      else { event.preventDefault(); body.rows[row].querySelector(".row-menu").focus(); }
    } else if (event.key === "Escape") { input.value = entered; input.select(); soon(120); } else if (event.key === "d" && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      if (row > 0) { input.value = at(row - 1, column).value; input.select(); soon(120); }
    }
  });

  by("more-rows").addEventListener("click", () => { addRows(5); go(at(body.rows.length - 5, 0)); });
  by("strip").addEventListener("click", (event) => {
    const link = event.target.closest("a[data-row]");
    if (event.target.id === "strip-on") step(1);
    if (event.target.id === "strip-back") step(-1);
    if (!link) return;
    event.preventDefault();
    go(at(Number(link.dataset.row), Number(link.dataset.column)));
  });

  // A link from what the total lacks names the columns that mend it: go to the first row of work that has none of them.
  function meant() {
    const names = decodeURIComponent(location.hash.slice(1)).split(",").filter(Boolean);
    const columns = heads().map((head, index) => (names.includes(head.dataset.name) ? index : -1)).filter((index) => index >= 0);
    if (!columns.length) return;
    const bare = [...body.rows].findIndex((row) => filled(row) && columns.every((column) => !cells(row)[column].value.trim()));
    go(at(Math.max(bare, 0), columns[columns.length - 1]));
  }
  window.addEventListener("hashchange", meant);

  // The page comes anew after an undo, and after other pages: it stands then where one was, in the cell one was in.
  const seat = `seat:${location.pathname}`;
  window.addEventListener("pagehide", () => {
    const cell = isCell(document.activeElement) ? place(document.activeElement) : null;
    try { sessionStorage.setItem(seat, JSON.stringify({ cell, top: frame.scrollTop, left: frame.scrollLeft, page: scrollY, at: Date.now() })); } catch { /* then it begins above */ }
  });
  function sit() {
    let was = null;
    try { was = JSON.parse(sessionStorage.getItem(seat)); } catch { return; }
    if (!was || location.hash || Date.now() - was.at > 600000) return;
    frame.scrollTo(was.left, was.top);
    if (was.cell && Date.now() - was.at < 5000 && document.activeElement === document.body && at(...was.cell)) { at(...was.cell).focus({ preventScroll: true }); at(...was.cell).select(); }
  }

  // What changes the job in another way, such as an undo, waits for what was typed; else it would clash with it.
  document.addEventListener("submit", async (event) => {
    if (!event.target.elements.revision || event.target.closest("dialog") || settled()) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    await save();
    if (settled()) event.target.requestSubmit(event.submitter);
  }, true);
  window.addEventListener("beforeunload", (event) => {
    if (!settled()) event.preventDefault();
  });
  window.addEventListener("resize", fit);
  // Of a large order it is found out behind the pages what cannot be built.
  document.addEventListener("figured", (event) => { if (settled()) showFaults(event.detail.faults); });
  heads().forEach((head, column) => { head.dataset.place = column; });
  grid.querySelector("colgroup").remove();
  grid.classList.add("live");
  fit();
  tellStrip();
  document.addEventListener("DOMContentLoaded", () => { meant(); sit(); });
  // The table can be typed into before this script has come: what differs from the page as it was sent is saved now.
  if (body.contains(document.activeElement)) { entered = document.activeElement.defaultValue; last = document.activeElement; }
  if ([...body.rows].flatMap(cells).some((input) => input.value !== input.defaultValue)) soon(120);

  return {
    addColumn, addRow, at, beside, body, by, cells, changed, deed, dressHead, dropColumn, facts, filled, fit, frame, go, grid, heads, inputOf, isBlank,
    isCell, label, moveColumn, place, renumber, settled, showFaults, soon, table, tip,
    get last() { return last; },
    readAs(column, name) { reads[column] = name; shape += 1; },
  };
})();
