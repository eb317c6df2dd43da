/* What the pages can do beyond showing everything: sort tables, and find a name. The line above
   has the words for it in the language of the pages. */
const root = new URL(".", document.currentScript.src).href;

/* Tables: a button in each column's head sorts by that column. */
const months = Array.from({ length: 12 }, (_, month) =>
  new Intl.DateTimeFormat(document.documentElement.lang, { month: "long" })
    .format(new Date(2000, month, 15)));
const collator = new Intl.Collator(document.documentElement.lang, { numeric: true });

function value(row, column) {
  const text = row.cells[column] ? row.cells[column].textContent.trim() : "";
  const date = /^(\d{1,2})\.? (\p{L}+) (\d{4})/u.exec(text);
  if (date && months.includes(date[2])) {
    return date[3] * 10000 + months.indexOf(date[2]) * 100 + Number(date[1]);
  }
  const figure = /^[^\p{L}\d]*?([−-]?\d[\d.,’]*)/u.exec(text);
  return figure ? Number(figure[1].replace("−", "-").replace(/[,’]/g, "")) : text;
}

function compared(one, other) {
  if (typeof one === "number" && typeof other === "number") return one - other;
  if (typeof one !== typeof other) return typeof one === "number" ? -1 : 1;
  return collator.compare(one, other);
}

function sort(table, column, button) {
  const head = table.tHead.rows[0].cells[column];
  const now = head.getAttribute("aria-sort");
  /* Figures are looked at from the highest down, everything else from the beginning on. */
  const first = table.classList.contains(`n${column + 1}`) && column > 0 ? "descending" : "ascending";
  const second = first === "ascending" ? "descending" : "ascending";
  const order = now === first ? second : first;
  for (const other of table.tHead.rows[0].cells) other.removeAttribute("aria-sort");
  head.setAttribute("aria-sort", order);
  const body = table.tBodies[0];
  /* A line without a first cell adds up or explains those above it, and stays below. */
  const all = Array.from(body.rows);
  const rows = all.filter((row) => row.cells[0].textContent.trim());
  const rest = all.filter((row) => !rows.includes(row));
  const known = (row) => row.cells[column] && !/^[–x]?$/.test(row.cells[column].textContent.trim());
  rows.sort((a, b) =>
    known(a) !== known(b) ? (known(a) ? -1 : 1)
      : compared(value(a, column), value(b, column)) * (order === "ascending" ? 1 : -1));
  body.append(...rows, ...rest);
  button.focus();
}

function makeSortable(table) {
  /* Where the heads lead elsewhere, two sides stand beside one another in a fixed order. */
  if (!table.tHead || table.tBodies[0].rows.length < 3 || table.tHead.querySelector("a")) return;
  Array.from(table.tHead.rows[0].cells).forEach((cell, column) => {
    if (cell.tagName !== "TH") return;
    const button = document.createElement("button");
    button.type = "button";
    button.append(...cell.childNodes);
    button.addEventListener("click", () => sort(table, column, button));
    cell.append(button);
  });
}

/* What fits needs no stop of its own on the way through the page. */
function stopOnlyWhereNeeded() {
  for (const box of document.querySelectorAll(".scroll")) {
    if (box.scrollWidth > box.clientWidth) box.tabIndex = 0;
    else box.removeAttribute("tabindex");
  }
}

/* Names: the list is a script, since pages in a plain folder may not read other files. */
let listed = null;
const field = document.createElement("input");
const found = document.createElement("ul");
const told = document.createElement("p");
const MOST = 12;

function folded(text) {
  return text.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "").replace(/([aou])e/g, "$1");
}

/* Called by the list of names. */
function names(list) {
  listed = list.map(([name, path]) => [name, path, folded(name).split(/[^\p{L}\d]+/u)]);
  find();
}

function find() {
  const wanted = folded(field.value).split(/[^\p{L}\d]+/u).filter(Boolean);
  const all = !listed || !wanted.length ? [] : listed.filter(([, , words]) =>
    wanted.every((part) => words.some((word) => word.startsWith(part))));
  found.replaceChildren(...all.slice(0, MOST).map(([name, path]) => {
    const link = document.createElement("a");
    link.href = root + path;
    link.textContent = name;
    const item = document.createElement("li");
    item.append(link);
    return item;
  }));
  told.textContent = !listed || !wanted.length ? "" : !all.length ? words.nothing
    : all.length === 1 ? words.one : words.many.replace("{count}", all.length);
}

function load() {
  if (listed || document.getElementById("names.")) return;
  const script = document.createElement("script");
  script.id = "names.";
  script.src = root + "names.js";
  document.head.append(script);
}

function makeSearch() {
  const box = document.createElement("form");
  box.setAttribute("role", "search");
  box.addEventListener("submit", (event) => event.preventDefault());
  const label = document.createElement("label");
  field.type = "search";
  field.autocomplete = "off";
  field.addEventListener("focus", load);
  field.addEventListener("input", find);
  label.append(words.find, field);
  told.setAttribute("role", "status");
  box.append(label, told, found);
  box.addEventListener("keydown", (event) => {
    const links = Array.from(found.querySelectorAll("a"));
    const at = links.indexOf(document.activeElement);
    if (event.key === "Escape") {
      field.value = "";
      find();
      field.focus();
    } else if (event.key === "ArrowDown" && at + 1 < links.length) {
      links[at + 1].focus();
      event.preventDefault();
    } else if (event.key === "ArrowUp" && at >= 0) {
      (at ? links[at - 1] : field).focus();
      event.preventDefault();
    } else if (event.key === "Enter" && at < 0 && links.length) {
      links[0].click();
    }
  });
  document.querySelector("header").append(box);
}

makeSearch();
document.querySelectorAll("main table").forEach(makeSortable);
stopOnlyWhereNeeded();
addEventListener("resize", stopOnlyWhereNeeded);
