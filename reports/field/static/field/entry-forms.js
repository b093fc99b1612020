// <form data-entry="kind" data-room="5" data-base="3" data-target="A1" data-append>: what is submitted is kept on this
// phone first and sent when there is signal. Without this script the same form is a plain post.
// Says "field:kept" on the form when it is kept. Must not know what is entered.
import { enter, forgetSent, held } from "./queue.js";

const { person, made } = document.body.dataset;
const words = document.getElementById("status").dataset;
const NOT_DATA = new Set(["csrfmiddlewaretoken", "base"]);
const LARGE = 1_500_000; // bytes; a photo over this is made smaller before it is kept
const LONGEST = 1600; // pixels

function placeOf(form) {
  const { entry, room, target, base } = form.dataset;
  return { person, kind: entry, room: Number(room), target: target ?? "", base: Number(base ?? 0) };
}

const threadOf = ({ kind, room, target }) => [person, kind, room, target].join(" ");

function say(form, text, bad = false) {
  let said = form.querySelector(":scope > .entry-said");
  if (!said) {
    said = document.createElement("p");
    said.className = "entry-said";
    said.setAttribute("role", "status");
    form.append(said);
  }
  said.classList.toggle("bad", bad);
  said.textContent = text;
}

async function smaller(file) {
  if (file.size < LARGE || typeof createImageBitmap !== "function") return file;
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const by = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * by);
    canvas.height = Math.round(picture.height * by);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    return (await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85))) ?? file;
  } catch {
    return file; // the server reads it, or says why not
  }
}

async function contents(form, submitter) {
  const data = {};
  let file = null;
  for (const [name, value] of new FormData(form, submitter)) {
    if (NOT_DATA.has(name)) continue;
    if (typeof value !== "string") {
      if (value.size) file = await smaller(value);
    } else if (name in data) data[name] = [data[name], value].flat();
    else data[name] = value;
  }
  return { data, file };
}

async function keep(form, submitter) {
  const { data, file } = await contents(form, submitter);
  const roomName = form.dataset.roomName ?? document.querySelector("h1")?.textContent.trim() ?? "";
  let key;
  try {
    key = await enter({ ...placeOf(form), roomName, data, file });
  } catch {
    say(form, words.full, true); // the boxes stay as they are
    return;
  }
  if ("append" in form.dataset) form.reset();
  say(form, words.entryKept);
  form.dataset.waits = key;
  form.dispatchEvent(new CustomEvent("field:kept", { bubbles: true, detail: { key, data } }));
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-entry]") || event.defaultPrevented) return;
  event.preventDefault();
  if (form.dataset.keeping) return; // a second press while the first is put on the disk
  form.dataset.keeping = "yes";
  keep(form, event.submitter).finally(() => delete form.dataset.keeping);
});

document.addEventListener("field:answered", ({ detail }) => {
  const form = document.querySelector(`form[data-waits="${detail.key}"]`);
  if (!form) return;
  const applied = detail.outcome === "applied";
  if (applied && Number.isInteger(detail.version)) form.dataset.base = detail.version;
  say(form, applied ? words.entrySent : `${words.entryLook} ${detail.words ?? ""}`, !applied);
});

// --- what was entered and this page does not know yet

function fill(form, data) {
  for (const [name, value] of Object.entries(data)) {
    const all = [value].flat();
    for (const box of form.elements) {
      if (box.name !== name) continue;
      if (box.type === "radio" || box.type === "checkbox") box.checked = all.includes(box.value);
      else if (box.type !== "hidden" && box.type !== "file" && box.type !== "submit") box.value = all[0];
    }
  }
}

async function overlay() {
  const { waiting, sent, looks } = await held(person);
  for (const form of document.querySelectorAll("form[data-entry]")) {
    const thread = threadOf(placeOf(form));
    await forgetSent(thread, made);
    const newer = sent.filter((one) => one.sentAt >= made);
    const last = [...newer, ...looks, ...waiting].filter((one) => one.thread === thread).at(-1);
    if (!last) continue;
    if (!("append" in form.dataset)) fill(form, last.data);
    const is = { waiting: words.entryKept, sent: words.entrySent, look: `${words.entryLook} ${last.answer?.words ?? ""}` };
    say(form, is[last.state], last.state === "look");
    form.dataset.waits = last.key;
    form.dispatchEvent(new CustomEvent("field:shown", { bubbles: true, detail: { data: last.data, state: last.state } }));
  }
}

overlay().catch(() => {
  // Storage is closed to this page: it shows what the server said.
});
