// The bar on top of every phone page: what waits, when it was last sent, whether there is signal; sending it; signing
// out; keeping the screen on; keeping the day's rooms. Must not know what is entered.
import { forget, held, remembered, send, unsent } from "./queue.js";

const page = document.body.dataset;
const bar = document.getElementById("status");
const words = bar.dataset;
const signal = document.getElementById("signal");
const said = document.getElementById("queue-said");
const doing = document.getElementById("queue-doing");
const addresses = { hello: page.hello, report: page.report, sync: page.sync };
const AGAIN = 20_000; // ms between tries while something waits
const TRIES = 90; // looks at the shelf, two seconds apart, while the day is put on it
const FRESH = 90_000; // ms a page counts as just made

const tongue = document.documentElement.lang;
const clock = (iso) => new Date(iso).toLocaleTimeString(tongue, { hour: "2-digit", minute: "2-digit" });
const moment = (iso) =>
  Date.now() - Date.parse(iso) > 20 * 3600 * 1000 ? new Date(iso).toLocaleString(tongue, { dateStyle: "medium", timeStyle: "short" }) : clock(iso);
const put = (text, values) => text.replace(/\{(\w+)\}/g, (_all, name) => values[name]);

async function show() {
  const { waiting, looks, others } = await held(page.person);
  const last = await remembered("last sent");
  const lines = [];
  if (waiting.length) lines.push(waiting.length === 1 ? words.waitsOne : put(words.waits, { n: waiting.length }));
  else lines.push(last ? put(words.sent, { time: moment(last) }) : words.none);
  if (looks.length) lines.push(put(words.look, { n: looks.length }));
  if (others) lines.push(put(words.others, { n: others }));
  const text = lines.join(" · ");
  if (said.textContent !== text) said.textContent = text;
  bar.dataset.state = waiting.length ? "waits" : "clear";
  doing.hidden = !waiting.length;
  return waiting.length;
}

function showSignal({ why, now }) {
  const kept = put(words.kept, { time: moment(page.made) });
  let text = signal.textContent;
  if (why === "no signal") text = `${words.noSignal} ${kept}`;
  else if (why === "signed out" || why === "ended") text = words.signedOut;
  else if (now && Date.parse(now) - Date.parse(page.made) > FRESH) text = kept;
  if (text !== signal.textContent) signal.textContent = text;
  bar.dataset.signal = why === "no signal" ? "none" : why === "signed out" ? "out" : "good";
  document.dispatchEvent(new CustomEvent("field:signal", { detail: { why } }));
}

let timer = 0;
const touched = new Set();

function answered(one, answer) {
  touched.add(one.room);
  document.dispatchEvent(new CustomEvent("field:answered", { detail: { ...answer, key: one.key } }));
}

async function pump() {
  clearTimeout(timer);
  try {
    const outcome = await send(page.person, addresses, answered);
    if (outcome.why === "ended") await forgetPages();
    if (outcome.why !== "busy") showSignal(outcome);
    if (touched.size) fetchAgain();
    if ((await show()) || outcome.why) timer = setTimeout(pump, AGAIN);
  } catch {
    timer = setTimeout(pump, AGAIN);
  }
}

// --- what the worker keeps

const worker = () => navigator.serviceWorker?.controller;

function fetchAgain() {
  worker()?.postMessage({ again: [...touched], person: page.person });
  touched.clear();
}

async function forgetPages() {
  if (!("caches" in window)) return;
  for (const name of await caches.keys()) if (name.startsWith("person-")) await caches.delete(name);
}

async function keepTheDay() {
  if (!("serviceWorker" in navigator)) return;
  const kept = await navigator.serviceWorker.register(page.worker, { scope: "/", updateViaCache: "none" });
  await navigator.serviceWorker.ready;
  kept.update().catch(() => {}); // else a browser asks in its own time, and a phone stays on an old program for a day
  const answer = await fetch(page.keep, { redirect: "manual" });
  if (!answer.ok) return;
  const { person, addresses: day } = await answer.json();
  if (person !== page.person) return;
  (await navigator.serviceWorker.ready).active?.postMessage({ keep: day, person });
  await sayWhatIsKept(person, day);
}

// Before somebody goes to the basement: how many of the day's rooms are on this phone. Asked of the shelf itself.
async function sayWhatIsKept(person, day) {
  const place = document.getElementById("kept-rooms");
  const rooms = day.filter((one) => /^\/field\/rooms\/\d+\//.test(one)).map((one) => one.split("/")[3]);
  const all = new Set(rooms).size;
  if (!place || !all || !("caches" in window)) return;
  for (let left = TRIES; left > 0; left--) {
    const missing = new Set();
    const shelf = (await caches.has(`person-${person}`)) ? await caches.open(`person-${person}`) : null;
    for (const one of day) if (/^\/field\/rooms\//.test(one) && !(await shelf?.match(one))) missing.add(one.split("/")[3]);
    const text = missing.size ? put(place.dataset.some, { n: all - missing.size, all }) : put(place.dataset.all, { all });
    if (place.textContent !== text) place.textContent = text;
    if (!missing.size) return;
    await new Promise((go) => setTimeout(go, 2_000));
  }
}

// --- signing out: refused while something waits, else this phone forgets

const out = document.getElementById("sign-out");
out?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const n = await unsent(page.person).catch(() => 0);
  if (n) {
    said.textContent = put(words.noSignOut, { n });
    bar.scrollIntoView();
    return;
  }
  await forget(page.person).catch(() => {});
  await forgetPages();
  out.submit();
});

// --- the screen stays on while someone works from it

const awake = document.getElementById("awake");
let lock = null;

async function stayAwake() {
  try {
    lock = await navigator.wakeLock.request("screen");
    lock.addEventListener("release", () => (lock = null));
  } catch {
    awake.setAttribute("aria-pressed", "false"); // a phone low on power may refuse
  }
}

if (awake && "wakeLock" in navigator) {
  awake.hidden = false;
  awake.addEventListener("click", async () => {
    const on = awake.getAttribute("aria-pressed") !== "true";
    awake.setAttribute("aria-pressed", String(on));
    if (on) await stayAwake();
    else await lock?.release();
  });
}

document.addEventListener("visibilitychange", () => {
  if (document.visibilityState !== "visible") return;
  if (awake?.getAttribute("aria-pressed") === "true" && !lock) stayAwake();
  pump();
});
window.addEventListener("online", pump); // a hint, no more: pump() finds out for itself
document.getElementById("send-now").addEventListener("click", pump);
document.addEventListener("field:kept", () => show().then(pump));

show()
  .then(pump)
  .catch(() => {
    said.textContent = words.full;
  });
keepTheDay().catch(() => {
  // No signal, or no worker here: what is kept already stays kept.
});
