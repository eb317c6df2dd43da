// Lays the book out in leaves of A4 and fills in the page numbers of contents and register: no
// browser's style sheets can yet tell on which page something will stand. Everything is measured
// where it flows first, at the width it will have, then moved. Without this script the file is one
// long page whose links lead on.
"use strict";
(function () {
  const main = document.querySelector("main"), leaves = document.createElement("div");
  const ROWS_TOGETHER = 3, LEAST_COLUMN = 5, LEAST_TEXT = 110;
  document.documentElement.classList.add("paged");
  const paper = document.createElement("style");
  paper.textContent = "@page { size: A4; margin: 0 }";
  document.head.append(paper);
  document.body.append(leaves);

  let type = null, start = 0, running = "", kind = "", height = 0;

  function element(name, kind, text) {
    const made = document.createElement(name);
    if (kind) made.className = kind;
    if (text) made.textContent = text;
    return made;
  }

  // A new leaf, which what flows from `top` on comes to stand on.
  function leaf(top) {
    const last = leaves.lastChild, made = element("div", "leaf " + kind);
    const sheets = last && last.classList.contains("long") ? sheetsOf(last) : 1;
    const number = last ? Number(last.dataset.page) + sheets : 1;
    made.dataset.page = number;
    type = element("div", "type");
    made.append(type);
    if (running) {
      const head = element("div", "head"), foot = element("div", "foot", String(number));
      head.append(element("span", "", document.body.dataset.title), element("span", "", running));
      head.setAttribute("aria-hidden", "true");
      made.prepend(head);
      made.append(foot);
    }
    leaves.append(made);
    height = height || type.getBoundingClientRect().height;
    start = top;
  }

  const place = (block) => type.append(block);
  // What is higher than a whole leaf and cannot be cut here is cut by the browser, over more sheets.
  function allow({ top, bottom }) {
    if (bottom - top > height) type.parentNode.classList.add("long");
  }
  const sheetsOf = (long) => Math.ceil(long.getBoundingClientRect().height / leaves.firstChild.getBoundingClientRect().height - 0.01);
  const heading = (block) => /^H[1-6]$/.test(block.tagName);

  // What a block comes to, in pieces that must not be cut: each where it flows, and how it is put.
  function measured(block) {
    const { top, bottom } = block.getBoundingClientRect();
    if (block.tagName === "TABLE") return [{ block, top, bottom, table: measuredTable(block) }];
    if (block.classList.contains("columns"))
      return [{ block, top, bottom, lines: [...block.children].map((line) => {
        const box = line.getBoundingClientRect();
        return { line, top: box.top, bottom: box.bottom, group: /group|level1/.test(line.className) };
      }) }];
    if (block.tagName === "UL" && bottom - top > 200)
      return [{ block, top, bottom, items: [...block.children].map((item) => {
        const box = item.getBoundingClientRect();
        return { item, top: box.top, bottom: box.bottom };
      }) }];
    return [{ block, top, bottom }];
  }

  function measuredTable(table) {
    const rows = [...table.tBodies].flatMap((body) => [...body.rows]).map((row) => {
      const box = row.getBoundingClientRect();
      return { row, top: box.top, bottom: box.bottom };
    });
    const widths = [...table.rows[0].cells].map((cell) => cell.getBoundingClientRect().width);
    const head = table.tHead ? table.tHead.getBoundingClientRect().height : 0;
    return { rows, widths, head };
  }

  // How far down a piece must have room for its beginning.
  function beginning(piece) {
    if (piece.table && piece.table.rows.length) {
      const rows = piece.table.rows;
      return rows[Math.min(rows.length <= ROWS_TOGETHER + 1 ? rows.length : ROWS_TOGETHER, rows.length) - 1].bottom;
    }
    if (piece.items) return piece.items[Math.min(2, piece.items.length) - 1].bottom;
    if (piece.lines) {
      const few = Math.ceil(piece.lines.length / Number(piece.block.dataset.columns));
      return piece.lines[Math.min(LEAST_COLUMN, few) - 1].bottom;
    }
    return piece.bottom;
  }

  function put(piece) {
    if (piece.table) putTable(piece);
    else if (piece.items) putItems(piece);
    else if (piece.lines) putLines(piece);
    else {
      place(piece.block);
      allow(piece);
    }
  }

  function putTable({ block, bottom, table }) {
    if (bottom - start <= height) return place(block);
    const { rows, widths, head } = table;
    const columns = element("colgroup");
    for (const width of widths) {
      const column = element("col");
      column.style.width = width + "px";
      columns.append(column);
    }
    block.prepend(columns);
    block.style.tableLayout = "fixed";
    let part = block, body = part.tBodies[0];
    place(part);
    const left = [...rows];
    while (left.length) {
      let fits = left.filter((row) => row.bottom - start <= height).length;
      // No row stands alone at a foot of a page, nor fewer than three at a head.
      const over = left.length - fits;
      if (over > 0 && over < ROWS_TOGETHER && fits > ROWS_TOGETHER) fits -= ROWS_TOGETHER - over;
      else if (fits && over === 1) fits -= 1;
      fits = Math.max(fits, 1);
      for (const measuredRow of left.splice(0, fits)) {
        body.append(measuredRow.row);
        allow(measuredRow);
      }
      if (!left.length) break;
      leaf(left[0].top - head);
      const next = part.cloneNode(false);
      next.append(columns.cloneNode(true));
      if (block.tHead) next.append(block.tHead.cloneNode(true));
      body = element("tbody");
      for (const { row } of left) body.append(row);
      next.append(body);
      part = next;
      place(part);
    }
  }

  function putItems({ block, bottom, items }) {
    if (bottom - start <= height) return place(block);
    let part = block;
    place(part);
    for (const measuredItem of items) {
      if (measuredItem.bottom - start > height && part.children.length) {
        leaf(measuredItem.top);
        part = block.cloneNode(false);
        place(part);
      }
      part.append(measuredItem.item);
      allow(measuredItem);
    }
  }

  // Where each column ends if none is higher than `most`; too few ends where they do not do.
  function cut(lines, number, most) {
    const ends = [];
    let at = 0;
    while (at < lines.length && ends.length < number) {
      let end = at;
      while (end < lines.length && lines[end].bottom - lines[at].top <= most) end += 1;
      if (end < lines.length) while (end > at + 1 && lines[end - 1].group) end -= 1;
      // What would be too high for any leaf has to stand here.
      if (end === at && lines[at].bottom - lines[at].top <= height) break;
      at = Math.max(end, at + 1);
      ends.push(at);
    }
    return ends;
  }

  function putLines({ block, bottom, lines }) {
    const number = Number(block.dataset.columns);
    let left = lines;
    for (;;) {
      // From the top of this part down to the foot of the leaf.
      const offset = left[0].top - start, room = height - offset;
      let most = room, ends = cut(left, number, room);
      const isWhole = ends[ends.length - 1] === left.length;
      if (isWhole) {
        let low = 0;
        while (most - low > 1) {
          const middle = (low + most) / 2, tried = cut(left, number, middle);
          if (tried[tried.length - 1] === left.length) most = middle;
          else low = middle;
        }
        ends = cut(left, number, most);
      }
      const row = element("div", number === 3 ? "row three" : "row");
      let from = 0, deepest = 0;
      for (const end of ends) {
        deepest = Math.max(deepest, left[end - 1].bottom - left[from].top);
        const part = block.cloneNode(false);
        part.append(...left.slice(from, end).map(({ line }) => line));
        left.slice(from, end).forEach(allow);
        row.append(part);
        from = end;
      }
      if (from) place(row);
      left = left.slice(from);
      if (!left.length) {
        // What follows flowed below one long column.
        start += bottom - (start + offset + deepest);
        return;
      }
      leaf(left[0].top);
    }
  }

  function lay(sections) {
    const chapters = sections.map((section) => [section, [...section.children].flatMap(measured)]);
    for (const [section, pieces] of chapters) {
      const first = section.querySelector("h1");
      kind = section.className;
      running = section.className === "cover" ? "" : first.textContent;
      if (!pieces.length) continue;
      leaf(pieces[0].top);
      let waiting = [];
      for (const piece of pieces) {
        // A portrait begins on a leaf of its own, the first one below the chapter's heading.
        if (kind === "portraits" && piece.block.tagName === "H2" && !waiting.length) leaf(piece.top);
        waiting.push(piece);
        // A heading goes with what it is the heading of, and with more than a line of it.
        const isShort = piece.bottom - waiting[0].top < LEAST_TEXT && !piece.table && !piece.lines;
        if (heading(piece.block) || (isShort && heading(waiting[0].block))) continue;
        if (beginning(piece) - start > height && type.children.length) leaf(waiting[0].top);
        waiting.forEach(put);
        waiting = [];
      }
      const end = waiting[waiting.length - 1];
      if (end && end.bottom - start > height && type.children.length) leaf(waiting[0].top);
      waiting.forEach(put);
      section.remove();
    }
  }

  const pageOf = (block) => Number(block.closest(".leaf").dataset.page);

  function runs(pages) {
    const found = [];
    for (const page of pages) {
      const last = found[found.length - 1];
      if (last && last[1] === page - 1) last[1] = page;
      else found.push([page, page]);
    }
    return found.map(([from, to]) => (from === to ? String(from) : from + "–" + to)).join(", ");
  }

  function numberPersons() {
    const pages = new Map();
    for (const link of leaves.querySelectorAll('a[href^="#person-"]')) {
      const person = decodeURIComponent(link.hash.slice(1));
      if (!pages.has(person)) pages.set(person, new Set());
      pages.get(person).add(pageOf(link));
    }
    for (const entry of main.querySelectorAll('li[id^="person-"]')) {
      const found = [...(pages.get(entry.id) || [])].sort((one, other) => one - other);
      entry.querySelector(".at").textContent = runs(found);
    }
  }

  const sections = [...main.children];
  const register = sections.findIndex((section) => section.classList.contains("register"));
  lay(register < 0 ? sections : sections.slice(0, register));
  numberPersons();
  if (register >= 0) lay(sections.slice(register));
  for (const entry of leaves.querySelectorAll(".contents li, .leaf li")) {
    const at = entry.querySelector(":scope > .at"), link = entry.querySelector(":scope > a");
    const target = at && link && document.getElementById(decodeURIComponent(link.hash.slice(1)));
    if (target && !entry.id) at.textContent = String(pageOf(target));
  }
  main.remove();
  leaves.setAttribute("role", "main");
})();
