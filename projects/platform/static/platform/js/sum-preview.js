// Sums a room again while it is being changed: fetches the page's own results and puts them in place around what is
// being typed. Old values stand struck through until they are kept; Undo goes back. Without scripts a button does it.
const WAIT = 150; // ms of quiet before asking
const NAMED = 3; // changed lines that are read out; the rest are struck through where they stand
const PARTS = ["plan", "sum-results"];

const form = document.getElementById("sum-form");
const tools = document.getElementById("sum-tools");
const said = document.getElementById("sum-said");
const undoButton = document.getElementById("sum-undo");

let timer = 0;
let asked = null;

// --- the form's state, and the way back

const control = (one) => one.name && one.type !== "hidden" && one.type !== "submit" && one.type !== "button";
const state = () =>
  [...form.elements].filter(control).map((one) => ({
    name: one.name,
    value: one.value,
    checked: one.checked,
  }));
const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

const past = [];
let settled = state();

function settle() {
  const now = state();
  if (same(now, settled)) return;
  past.push(settled);
  settled = now;
  undoButton.disabled = false;
}

function undo() {
  const back = same(state(), settled) ? past.pop() : settled;
  if (!back) return;
  for (const { name, value, checked } of back) {
    for (const one of form.elements) {
      if (one.name !== name || !control(one)) continue;
      if (one.type === "radio" || one.type === "checkbox") {
        if (one.value === value) one.checked = checked;
      } else one.value = value;
    }
  }
  settled = back;
  undoButton.disabled = past.length === 0;
  preview();
}

// --- old values

const lines = () => document.querySelectorAll("#sum-results [data-line]");

function valueOf(line) {
  const number = line.querySelector(".number");
  if (!number) return "";
  const input = number.querySelector("input, select");
  if (input) return input.value.trim();
  return [...number.childNodes]
    .filter((node) => !node.classList?.contains("was"))
    .map((node) => node.textContent)
    .join("")
    .trim();
}

const kept = new Map([...lines()].map((line) => [line.dataset.line, valueOf(line)]));

function strikeOldValues() {
  const changed = [];
  for (const line of lines()) {
    const old = kept.get(line.dataset.line);
    const now = valueOf(line);
    line.querySelector(".number > .was")?.remove();
    if (!old || old === now) continue;
    const was = document.createElement("del");
    was.className = "was";
    was.textContent = old;
    line.querySelector(".number").prepend(was);
    changed.push(`${line.querySelector(".what")?.textContent.trim() ?? ""} ${now}`);
  }
  return changed;
}

// --- putting the new results in place

const keyOf = (node) => node.dataset?.line ?? node.id ?? "";

function twinOf(held, fresh) {
  const key = keyOf(held);
  const alike = [...fresh.children].filter((one) => one.tagName === held.tagName);
  if (key) return alike.find((one) => keyOf(one) === key);
  const place = [...held.parentNode.children].filter((one) => one.tagName === held.tagName).indexOf(held);
  return alike[place];
}

// Replaces everything in `old` by `fresh`, except the way down to the element that has focus: that one is not touched.
function putInPlace(old, fresh) {
  const focused = document.activeElement;
  const held = [...old.children].find((one) => one.contains(focused));
  const twin = held && twinOf(held, fresh);
  if (!twin) {
    old.replaceChildren(...fresh.childNodes);
    return;
  }
  for (const node of [...old.childNodes]) if (node !== held && !("live" in (node.dataset ?? {}))) node.remove();
  const nodes = [...fresh.childNodes];
  const at = nodes.indexOf(twin);
  held.before(...nodes.slice(0, at));
  old.append(...nodes.slice(at + 1));
  if (held === focused) return;
  held.className = twin.className;
  putInPlace(held, twin);
}

const folds = () => PARTS.flatMap((id) => [...document.getElementById(id).querySelectorAll("details")]);
const foldName = (one) => one.closest("[data-line]")?.dataset.line ?? one.querySelector("summary").textContent;

// The page came back built otherwise: the same control stands elsewhere, and takes the focus and the text with it.
function takeUpAgain(typing) {
  const same = typing.id && document.getElementById(typing.id);
  if (!same) return;
  if (typing.type === "text") {
    same.value = typing.value;
    same.focus();
    same.setSelectionRange(typing.selectionStart, typing.selectionEnd);
  } else same.focus();
}

function show(html) {
  const fresh = new DOMParser().parseFromString(html, "text/html");
  if (!PARTS.every((id) => fresh.getElementById(id))) throw new Error("not a room's results");
  if (fresh.querySelector("#sum-results .wrong") && lines().length) {
    // A number half typed: the last sums stay, and with them the box it is typed in.
    say([...fresh.querySelectorAll("#sum-results .notice, #sum-results .errorlist li")].map((one) => one.textContent).join(" "));
    return;
  }
  const open = new Set(folds().filter((one) => one.open).map(foldName));
  const typing = document.activeElement;
  for (const id of PARTS) putInPlace(document.getElementById(id), fresh.getElementById(id));
  for (const one of folds()) if (open.has(foldName(one))) one.open = true;
  if (!typing.isConnected) takeUpAgain(typing);
  const changed = strikeOldValues();
  say(changed.length ? tools.dataset.changed.replace("{lines}", changed.slice(0, NAMED).join(", ") + (changed.length > NAMED ? ", …" : "")) : tools.dataset.same);
  document.dispatchEvent(new Event("summed"));
}

function say(text) {
  said.textContent = text;
}

async function preview() {
  clearTimeout(timer);
  asked?.abort();
  asked = new AbortController();
  const query = new URLSearchParams(new FormData(form));
  query.delete("csrfmiddlewaretoken");
  try {
    const response = await fetch(`${form.dataset.previewUrl}?${query}`, {
      headers: { Accept: "text/html" },
      signal: asked.signal,
    });
    show(await response.text());
  } catch (failed) {
    if (failed.name !== "AbortError") say(tools.dataset.failed);
  }
}

form.addEventListener("input", () => {
  clearTimeout(timer);
  timer = setTimeout(preview, WAIT);
});
form.addEventListener("change", settle);
undoButton.addEventListener("click", undo);
document.addEventListener("keydown", (event) => {
  const typing = event.target.matches?.("input, textarea, select");
  if (typing || event.shiftKey || !(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
  event.preventDefault();
  undo();
});
tools.hidden = false;
