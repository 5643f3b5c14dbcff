// Tables of figures: sorted by a heading, narrowed by a text, copied as CSV where they stand. A table that takes part has
// a name, data-table; the line above it, data-for, holds the link that downloads it, which needs no script. What is a sum
// (tr.all, tr.part) stands at the foot once a table is sorted, and is no row of its CSV. Values of cells are what
// pricing/desk/as_csv.py reads: data-value, else what fields and text say.
"use strict";

(() => {
  const MANY = 5; // fewer rows are seen at a glance: no field to narrow them
  const FORMULA = /^'*[=+\-@\t\r＝＋－＠]/; // as pricing/studio/table_file.py guards them
  const COMMENT = /^'*#/;
  const PLAIN = /^[+−-]?\s*([1-9]\d{0,2}(,\d{3})+|0|[1-9]\d*)(\.\d+)?$/;
  const LEADING = /^[+−-]?\s*\d[\d,]*(\.\d+)?/;
  const DAY = /^\d{4}-\d\d-\d\d/;
  const isSum = (row) => row.matches(".all, .part:not([data-row]), [data-acts]");

  // How a table was left, kept over a fresh page and over a reload, until the window is closed.
  const left = new Map();
  const key = (table) => `table ${location.pathname} ${table.dataset.table}`;
  function order(table, change) {
    const own = key(table);
    if (!left.has(own)) {
      try { left.set(own, JSON.parse(sessionStorage.getItem(own)) || {}); } catch { left.set(own, {}); }
    }
    if (change) {
      left.set(own, { ...left.get(own), ...change });
      try { sessionStorage.setItem(own, JSON.stringify(left.get(own))); } catch { /* it holds for this page */ }
    }
    return left.get(own);
  }

  function textOf(cell) {
    if (cell.dataset.value !== undefined) return cell.dataset.value;
    const copy = cell.cloneNode(true);
    const fields = cell.querySelectorAll("input, select");
    copy.querySelectorAll("input, select").forEach((field, index) => {
      const own = fields[index];
      const value = own.type === "checkbox" ? (own.checked ? "yes" : "") : own.type === "hidden" ? "" :
        own.selectedOptions ? own.selectedOptions[0].textContent : own.value;
      field.replaceWith(` ${value} `);
    });
    copy.querySelectorAll("button, script, datalist, .written").forEach((each) => each.remove());
    copy.querySelectorAll("br, li, p, summary").forEach((each) => each.after(" "));
    return copy.textContent.replace(/\s+/g, " ").trim();
  }

  // A row's cells by column, what spans several counted as that many.
  const cells = (row) => [...row.cells].flatMap((cell) => [textOf(cell), ...Array(cell.colSpan - 1).fill("")]);

  function number(text) {
    const found = DAY.test(text) ? null : text.match(LEADING);
    return found ? Number(found[0].replace(/[,\s+]/g, "").replace("−", "-")) : NaN;
  }

  function sorted(rows, column, down) {
    const told = rows.map((row) => ({ row, text: cells(row)[column] || "" }));
    const counts = told.every((each) => !each.text || !Number.isNaN(number(each.text)));
    const turn = down ? -1 : 1;
    told.sort((one, other) => {
      if (!one.text || !other.text) return Number(!one.text) - Number(!other.text); // what says nothing comes last
      const by = counts ? number(one.text) - number(other.text) : 0;
      return turn * (by || one.text.localeCompare(other.text, "en", { numeric: true }));
    });
    return told.map((each) => each.row);
  }

  const homes = new WeakMap(); // of a table: each row with the body that it stood in
  function lay(table) {
    const home = homes.get(table);
    const { by, down, only } = order(table);
    const column = headings(table).findIndex((head) => head.dataset.head === by);
    home.forEach(([row, body]) => body.append(row));
    if (column >= 0) {
      const rows = home.map(([row]) => row);
      home[0][1].append(...sorted(rows.filter((row) => !isSum(row)), column, down), ...rows.filter(isSum));
    }
    const wanted = (only || "").trim().toLowerCase().split(/\s+/).filter(Boolean);
    const rows = home.map(([row]) => row).filter((row) => !isSum(row));
    rows.forEach((row) => {
      const text = cells(row).join(" ").toLowerCase();
      row.hidden = !wanted.every((word) => text.includes(word));
    });
    headings(table).forEach((head, index) => {
      if (index === column) head.setAttribute("aria-sort", down ? "descending" : "ascending");
      else head.removeAttribute("aria-sort");
    });
    const shown = rows.filter((row) => !row.hidden).length;
    const count = tools(table).querySelector(".table-count");
    const sums = home.some(([row]) => isSum(row)) ? "; sums are of all" : "";
    count.textContent = wanted.length ? `${shown} of ${rows.length} ${rows.length === 1 ? "row" : "rows"}${sums}` : "";
  }

  // A column of buttons alone: not sorted, and no column of the CSV.
  const isPlain = (head) => head.matches("[data-plain], .keeping") || head.querySelector(".unseen") !== null;
  const headings = (table) => [...table.tHead.rows[0].cells];
  const tools = (table) => document.querySelector(`.table-tools[data-for="${CSS.escape(table.dataset.table)}"]`);

  function csv(table) {
    const taken = headings(table).map((head) => !isPlain(head));
    const group = table.dataset.group;
    const under = new Map();
    let now = "";
    if (group) {
      homes.get(table).forEach(([row]) => {
        if (row.matches(".part")) now = textOf(row.cells[0]);
        under.set(row, now);
      });
    }
    const guarded = (text) => (FORMULA.test(text) ? `'${text}` : text);
    const value = (text) => (PLAIN.test(text) ? text.replace(/[,\s+]/g, "").replace("−", "-") : guarded(text));
    const quoted = (text) => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
    const rows = [...table.tBodies].flatMap((body) => [...body.rows]).filter((row) => !row.hidden && !isSum(row));
    const made = rows.map((row) => {
      const told = [...(group ? [under.get(row)] : []), ...cells(row).filter((_, index) => taken[index])].map(value);
      const first = told.findIndex(Boolean);
      if (first >= 0 && COMMENT.test(told[first])) told[first] = `'${told[first]}`;
      return told;
    });
    const heads = [...(group ? [group] : []), ...headings(table).filter((_, index) => taken[index]).map((head) => head.dataset.head)];
    return [heads.map(guarded), ...made].map((row) => `${row.map(quoted).join(",")}\r\n`).join("");
  }

  async function put(text) {
    try {
      await navigator.clipboard.writeText(text);
      return true;
    } catch { // a page that came without a lock, or a browser that was told no
      const field = document.createElement("textarea");
      field.value = text;
      document.body.append(field);
      field.select();
      const done = document.execCommand("copy");
      field.remove();
      return done;
    }
  }

  async function copy(table, button) {
    const text = csv(table);
    const done = await put(text);
    button.focus({ preventScroll: true });
    const count = text.split("\r\n").length - 2;
    Desk.tell(done ? `Copied as CSV: ${count} ${count === 1 ? "row" : "rows"}.` : "This browser does not let a page copy: download it instead.");
  }

  function button(text, label, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = text;
    if (label) made.setAttribute("aria-label", label);
    made.addEventListener("click", () => act(made));
    return made;
  }

  function prepare(table) {
    const line = tools(table);
    if (homes.has(table) || !line || !table.tHead || !table.tBodies.length) return;
    homes.set(table, [...table.tBodies].flatMap((body) => [...body.rows].map((row) => [row, body])));
    const { name } = line.dataset;
    const still = table.dataset.still !== undefined; // its rows are no alternatives of each other: it is copied alone
    headings(table).forEach((head) => {
      head.dataset.head = textOf(head);
      if (still || isPlain(head) || !head.dataset.head) return;
      const turn = button("", "", () => {
        const { by, down } = order(table);
        order(table, by !== head.dataset.head ? { by: head.dataset.head, down: false } : down ? { by: null, down: false } : { down: true });
        lay(table);
      });
      turn.className = "sort";
      turn.append(...head.childNodes);
      head.append(turn);
    });
    const count = document.createElement("span");
    count.className = "table-count";
    count.setAttribute("role", "status");
    const taking = button("Copy as CSV", `Copy as CSV: ${name}`, (own) => copy(table, own));
    taking.className = "small";
    line.prepend(taking);
    const rows = homes.get(table).filter(([row]) => !isSum(row)).length;
    if (rows >= MANY && !still) {
      const field = document.createElement("input");
      field.type = "search";
      field.placeholder = "only rows with";
      field.autocomplete = "off";
      field.setAttribute("aria-label", `Only rows with, ${name}`);
      field.value = order(table).only || "";
      field.addEventListener("input", () => { order(table, { only: field.value }); lay(table); });
      line.prepend(field);
    } else {
      order(table, { only: "" });
    }
    line.append(count);
    lay(table);
  }

  // Where one is in what this script made, as a fresh page does not have it: found again by table and place.
  let at = null;
  const place = (element) => {
    const table = element.closest("table[data-table]");
    const head = element.closest("th");
    const line = element.closest(".table-tools");
    if (table && head && element.matches(".sort")) return { table: table.dataset.table, head: head.dataset.head };
    if (line && element.matches("input, button")) return { table: line.dataset.for, tag: element.tagName };
    return null;
  };
  document.addEventListener("focusin", (event) => {
    if (at && !at.element.isConnected && !place(event.target)) return; // what had the focus was replaced, not left
    const found = place(event.target);
    at = found ? { ...found, element: event.target } : null;
  });
  function back() {
    if (!at || at.element.isConnected) return;
    const table = document.querySelector(`table[data-table="${CSS.escape(at.table)}"]`);
    if (!table || !tools(table)) return;
    const element = at.tag ? tools(table).querySelector(at.tag.toLowerCase()) :
      headings(table).find((head) => head.dataset.head === at.head)?.querySelector(".sort");
    if (!element) return;
    const from = at.element;
    element.focus({ preventScroll: true });
    if (element.matches("input")) element.setSelectionRange(from.selectionStart, from.selectionEnd);
  }

  function all() {
    document.querySelectorAll("table[data-table]").forEach(prepare);
    back();
  }
  document.addEventListener("fresh", all);
  all();
})();
