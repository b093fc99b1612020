// What was entered on this phone and not sent yet, kept in the browser's own database; and the sending of it.
// Must not know any page. The server takes each key once, so sending again after a lost answer is always right.
const NAME = "ceilingbook-field";
const STORES = ["queue", "seen", "state"];
const ASKING = 15_000; // ms until a question counts as unanswered
const SENDING = 120_000; // ms until a sending does: a photo on a bad line takes long
const SENT_FOR = 8 * 24 * 3600 * 1000; // ms a sent entry is remembered for pages kept before it

let opened = null;

function open() {
  opened ??= new Promise((done, fail) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      const queue = asked.result.createObjectStore("queue", { keyPath: "seq", autoIncrement: true });
      queue.createIndex("key", "key", { unique: true });
      asked.result.createObjectStore("seen", { keyPath: "thread" });
      asked.result.createObjectStore("state", { keyPath: "name" });
    };
    asked.onsuccess = () => {
      asked.result.onversionchange = () => asked.result.close();
      asked.result.onclose = () => (opened = null);
      done(asked.result);
    };
    asked.onerror = () => fail(asked.error);
    asked.onblocked = () => fail(new Error("blocked"));
  });
  opened.catch(() => (opened = null));
  return opened;
}

const got = (request) =>
  new Promise((done, fail) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error);
  });

// One transaction over all stores; the promise is fulfilled when it is on the disk.
async function within(mode, work) {
  const base = await open();
  const transaction = base.transaction(STORES, mode, { durability: "strict" });
  const stores = Object.fromEntries(STORES.map((name) => [name, transaction.objectStore(name)]));
  const ended = new Promise((done, fail) => {
    transaction.oncomplete = done;
    transaction.onabort = transaction.onerror = () => fail(transaction.error ?? new Error("aborted"));
  });
  const result = work(stores).catch((wrong) => {
    try {
      transaction.abort();
    } catch {
      // It has ended by itself.
    }
    throw wrong;
  });
  const [value] = await Promise.all([result, ended]);
  return value;
}

export function newKey() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((one) => one.toString(16).padStart(2, "0")).join("");
}

const threadOf = ({ person, kind, room, target }) => [person, kind, room, target ?? ""].join(" ");

// --- entering

// Keeps an entry; when this returns it is on the disk. Throws when the phone could not keep it.
// entry: person, kind, room, base, data, and maybe target (what within the room), roomName, file (a Blob).
export function enter(entry) {
  const thread = threadOf(entry);
  return within("readwrite", async ({ queue, seen }) => {
    const all = await got(queue.getAll());
    const own = all.filter((one) => one.thread === thread && one.state !== "sent");
    const known = await got(seen.get(thread));
    const kept = {
      key: newKey(),
      thread,
      ...entry,
      base: Math.max(Number(entry.base) || 0, known?.version ?? 0),
      after: own.at(-1)?.key ?? "",
      at: new Date().toISOString(),
      state: "waiting",
      tries: 0,
    };
    await got(queue.add(kept));
    return kept.key;
  });
}

export const everything = () => within("readonly", ({ queue }) => got(queue.getAll()));

export async function held(person) {
  const all = await everything();
  const mine = all.filter((one) => one.person === person);
  return {
    waiting: mine.filter((one) => one.state === "waiting"),
    looks: mine.filter((one) => one.state === "look"),
    sent: mine.filter((one) => one.state === "sent"),
    others: all.filter((one) => one.person !== person && one.state !== "sent").length,
  };
}

// What signing out would lose: not sent, or held by this phone alone.
export async function unsent(person) {
  const { waiting, looks } = await held(person);
  return waiting.length + looks.filter((one) => !one.answer?.outcome).length;
}

export const remembered = (name) => within("readonly", ({ state }) => got(state.get(name))).then((row) => row?.value);
export const remember = (name, value) => within("readwrite", ({ state }) => got(state.put({ name, value })));

export async function phoneIdent() {
  return within("readwrite", async ({ state }) => {
    const known = await got(state.get("phone"));
    if (known) return known.value;
    const value = newKey();
    await got(state.put({ name: "phone", value }));
    return value;
  });
}

async function change(seq, changes) {
  await within("readwrite", async ({ queue }) => {
    const one = await got(queue.get(seq));
    if (one) await got(queue.put({ ...one, ...changes }));
  });
}

export const tryAgain = (seq) => change(seq, { state: "waiting", answer: null });
export const letGo = (seq) => within("readwrite", ({ queue }) => got(queue.delete(seq)));

// What a page made later shows by itself.
export async function forgetSent(thread, madeAt) {
  const late = Date.now() - SENT_FOR;
  await within("readwrite", async ({ queue }) => {
    for (const one of await got(queue.getAll())) {
      const shown = one.thread === thread && one.sentAt < madeAt;
      if (one.state === "sent" && (shown || Date.parse(one.sentAt) < late)) await got(queue.delete(one.seq));
    }
  });
}

// All of one person's that the server knows already, and what this phone learned with it. Not what waits.
export function forget(person) {
  return within("readwrite", async ({ queue, seen, state }) => {
    for (const one of await got(queue.getAll())) {
      if (one.person === person && one.state !== "waiting") await got(queue.delete(one.seq));
    }
    await got(seen.clear());
    for (const one of await got(state.getAll())) if (one.name !== "phone") await got(state.delete(one.name));
  });
}

// --- sending

// Asks for an answer in JSON from our own server. null: no signal, or somebody else answered (a sign-in page of the
// air, a proxy). Never navigator.onLine, which only knows of a network card.
async function ask(address, options, patience) {
  const gone = new AbortController();
  const timer = setTimeout(() => gone.abort(), patience);
  try {
    const answer = await fetch(address, {
      redirect: "manual",
      credentials: "same-origin",
      cache: "no-store",
      signal: gone.signal,
      ...options,
    });
    if (answer.type === "opaqueredirect") return { status: 302, said: {} };
    const said = await answer.json().catch(() => null);
    return said === null && answer.status < 400 ? null : { status: answer.status, said };
  } catch {
    return null;
  } finally {
    clearTimeout(timer);
  }
}

async function hello(addresses, phone) {
  const answer = await ask(`${addresses.hello}?phone=${phone}`, {}, ASKING);
  return answer?.status === 200 && answer.said && "person" in answer.said ? answer.said : null;
}

function body(fields, file) {
  const form = new FormData();
  for (const [name, value] of Object.entries(fields)) form.append(name, value);
  if (file) form.append("file", file, "photo");
  return form;
}

const now = () => new Date().toISOString();

// The token stands in a cookie, so that a page kept for days still has the right one.
const token = () => document.cookie.match(/(?:^|; )(?:__Host-)?csrftoken=([^;]*)/)?.[1] ?? "";

const post = (address, fields, file) =>
  ask(address, { method: "POST", headers: { "X-CSRFToken": token() }, body: body(fields, file) }, SENDING);

function sendOne(addresses, phone, one, left) {
  const { key, kind, room, base, after, at } = one;
  const fields = { key, kind, room, base, after, at, now: now(), phone, left, data: JSON.stringify(one.data) };
  return post(addresses.sync, fields, one.file);
}

// Says what waits here, and hears who is signed in, the time, and what became of entries with a question.
async function report(addresses, phone, { waiting, looks }) {
  const keys = looks.filter((one) => one.answer?.outcome).map((one) => one.key);
  const fields = { phone, waiting: waiting.length, now: now(), keys: keys.slice(0, 500).join(",") };
  if (waiting.length) fields.since = waiting[0].at;
  const answer = await post(addresses.report, fields);
  if (answer?.status !== 200 || !answer.said?.person) return null;
  for (const one of looks) if (answer.said.states[one.key]?.settled) await letGo(one.seq);
  return answer.said;
}

// What an answer makes of an entry: "sent", "look", or why the sending stops here.
function verdict(one, answer) {
  if (answer === null) return "no signal";
  const { status, said } = answer;
  if (status === 302 || status === 401) return "signed out";
  if (status === 409) return "busy";
  if (said === null) return status >= 500 ? "fault" : "no signal";
  if (status >= 500) return "fault";
  if (status === 200) return said.key === one.key && said.outcome === "applied" ? "sent" : "no signal";
  if (said.outcome && said.outcome !== "other" && said.key !== one.key) return "no signal";
  return "look";
}

async function settleSent(one, said) {
  await within("readwrite", async ({ queue, seen, state }) => {
    if (await got(queue.get(one.seq))) {
      await got(queue.put({ ...one, state: "sent", file: null, sentAt: said.at }));
    }
    if (Number.isInteger(said.version)) await got(seen.put({ thread: one.thread, version: said.version }));
    await got(state.put({ name: "last sent", value: now() }));
  });
}

async function pass(person, addresses, told) {
  const phone = await phoneIdent();
  const before = await held(person);
  // Unheard, signed out, or with an old token: the question that anybody may ask tells them apart.
  const me = (await report(addresses, phone, before)) ?? (await hello(addresses, phone));
  if (!me) return { why: "no signal" };
  if (me.person !== person) return { why: me.ended ? "ended" : "signed out", now: me.now };
  const stuck = new Set();
  let left = before.waiting.length;
  let why = "";
  for (const one of before.waiting) {
    if (stuck.has(one.thread)) continue;
    const answer = await sendOne(addresses, phone, one, left - 1);
    const is = verdict(one, answer);
    if (is === "sent" || is === "look") {
      left--;
      if (is === "sent") await settleSent(one, answer.said);
      else await change(one.seq, { state: "look", answer: { status: answer.status, ...answer.said } });
      told?.(one, answer.said);
    } else if (is === "fault") {
      stuck.add(one.thread); // others are not held up by what the server trips over
      await change(one.seq, { tries: one.tries + 1 });
      why = "fault";
    } else return { why: is, now: me.now };
  }
  return { why, now: me.now };
}

// Sends all that waits, in the order it was entered. One page at a time does it.
// Returns { why }: "" when all of it was answered, else why not; and the server's time where it was heard.
export async function send(person, addresses, told) {
  if (!navigator.locks) return pass(person, addresses, told);
  return navigator.locks.request("ceilingbook-field-send", { ifAvailable: true }, (lock) =>
    lock ? pass(person, addresses, told) : { why: "busy" },
  );
}
