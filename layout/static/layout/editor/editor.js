// Puts the editor's parts together: boxes, live answers, the way back, the save, the view, what is held.
import { addRow, putBack, state, write } from "./boxes.js";
import { autosave } from "./autosave.js";
import { corners } from "./corners.js";
import { history } from "./history.js";
import { hold } from "./hold.js";
import { live } from "./live.js";
import { pictureToScale } from "./picture.js";
import { written } from "./tape.js";
import { view } from "./view.js";

const form = document.getElementById("plan-form");
const sheet = document.getElementById("plan-sheet");
const said = document.getElementById("plan-said");
const words = said.dataset;
const tools = Object.fromEntries(["undo", "redo", "larger", "smaller", "whole"].map((name) => [name, document.getElementById(`plan-${name}`)]));

let facts = null;
let spoken = "";
const say = (text) => {
  said.textContent = text;
};

// --- the answer, put in place

function showDrawing(svg) {
  const focused = sheet.contains(document.activeElement) && document.activeElement !== sheet ? document.activeElement.id : "";
  const fresh = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  sheet.replaceChildren(document.importNode(fresh, true));
  seen.show();
  held.drawn();
  outline.show();
  if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
}

function showNumbers(numbers) {
  for (const [name, at] of Object.entries(numbers)) {
    const cell = form.querySelector(`[data-number="${CSS.escape(name)}"]`);
    if (cell) cell.textContent = at;
  }
  lineUp("column", facts.columns.length, numbers);
  lineUp("row", facts.rows.length, numbers);
}

// As many boxes as there are lines: a new one is made like the first, one that is gone goes.
function lineUp(line, count, numbers) {
  const rows = [...form.querySelectorAll(`#plan-lines [data-box^="${line}-"]`)];
  for (const one of rows.slice(count)) one.remove();
  for (let number = rows.length + 1; rows.length && number <= count; number += 1) {
    const html = rows[0].outerHTML.replaceAll(`${line}-1`, `${line}-${number}`);
    const last = [...form.querySelectorAll(`#plan-lines [data-box^="${line}-"]`)].at(-1);
    last.insertAdjacentHTML("afterend", html);
    const fresh = last.nextElementSibling;
    fresh.querySelector("th").textContent = rows[0].querySelector("th").textContent.replace("1", number);
    fresh.querySelector("label").textContent = rows[0].querySelector("label").textContent.replace("1", number);
    fresh.querySelector("[data-number]").textContent = numbers[`${line}-${number}`] ?? "";
    fresh.querySelector("input").value = "";
  }
}

function answered(answer, isLatest) {
  if (isLatest) held.known();
  const closing = document.getElementById("plan-closing");
  closing.textContent = answer.closing;
  closing.hidden = !answer.closing;
  document.getElementById("plan-findings").innerHTML = answer.findings;
  if (answer.ok) {
    facts = answer.facts;
    showDrawing(answer.svg);
    showNumbers(answer.numbers);
  }
  if (!spoken) return;
  const fits = answer.broken ? words.broken.replace("{count}", answer.broken) : words.fits;
  say(`${spoken}. ${answer.ok ? fits : ""}`);
  spoken = "";
}

// --- the parts

const seen = view(sheet);
const PX_PER_MM = 3; // the least at which a plan's words are read on a screen
const plan = live(form, () => ({ sheet_mm: Math.round(sheet.clientWidth / PX_PER_MM) }), answered, () => say(words.failed));
const save = autosave(form, say, { keeping: words.keeping, kept: words.kept, failed: words.failed, theirs: words.theirs });
const back = history(
  () => state(form),
  (kept) => putBack(form, kept),
  ({ back: can, forward }) => {
    tools.undo.disabled = !can;
    tools.redo.disabled = !forward;
  },
);

function settled() {
  if (back.settle()) save.soon();
}

const held = hold(form, sheet, {
  facts: () => facts,
  words,
  busy: () => seen.busy(),
  moved(what, text) {
    spoken = text;
    plan.want(what);
  },
  done: settled,
});

const outline = corners(form, sheet, {
  facts: () => facts,
  done() {
    settled();
    plan.want("");
  },
});

function step(which, text) {
  if (!back[which]()) return;
  spoken = text;
  plan.want("");
  save.soon();
}

tools.undo.addEventListener("click", () => step("undo", words.undone));
tools.redo.addEventListener("click", () => step("redo", words.redone));
tools.larger.addEventListener("click", seen.larger);
tools.smaller.addEventListener("click", seen.smaller);
tools.whole.addEventListener("click", seen.reset);
document.addEventListener("keydown", (event) => {
  const typing = event.target.matches?.("input[type=text], input:not([type]), textarea");
  if (typing || !(event.ctrlKey || event.metaKey) || event.altKey) return;
  const key = event.key.toLowerCase();
  if (key !== "z" && key !== "y") return;
  event.preventDefault();
  if (key === "y" || event.shiftKey) step("redo", words.redone);
  else step("undo", words.undone);
});

form.addEventListener("input", ({ target }) => {
  if (target.name !== "moves") plan.want();
});
form.addEventListener("change", ({ target }) => {
  if (target.name !== "moves") settled();
});

// Where a mark that has the focus may stand.
sheet.addEventListener("focusin", ({ target }) => {
  const mark = target.closest?.(".mark");
  if (mark && !held.dragging()) plan.want(mark.dataset.line);
});

// --- rows

const MIDDLE = { "ft-in": 304_800_000, in: 304_800_000, mm: 300_000_000 }; // a thing's first size: 12 in or 300 mm

function placed(row) {
  if (!row.dataset.row.startsWith("thing-") || !facts) return;
  const { style } = facts.tape;
  const tick = style === "mm" ? 1_000_000 : 1_587_500;
  const middle = (nm) => written(Math.round(nm / 2 / tick) * tick, style);
  const [x, y] = facts.turn.level ? [facts.size.along, facts.size.across] : [facts.size.across, facts.size.along];
  const first = { x: middle(x), y: middle(y), wide: written(MIDDLE[style], style), deep: written(MIDDLE[style], style) };
  for (const [name, text] of Object.entries(first)) write(form, `${row.dataset.row}-${name}`, text);
}

form.addEventListener("click", (event) => {
  const button = event.target.closest("button[name=add]");
  if (!button) return;
  event.preventDefault();
  const row = addRow(button.closest("[data-rows]"));
  placed(row);
  row.querySelector("input:not([type=hidden]), select").focus();
  settled();
  plan.want();
});

document.getElementById("plan-tools").hidden = false;
document.getElementById("plan-keys").hidden = false;
sheet.classList.add("held-by-script");
pictureToScale(document.getElementById("picture-to-scale"), document.getElementById("picture-scale"));
plan.want("");
