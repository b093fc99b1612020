// The phone's worker: keeps the day's rooms of whoever is signed in, and answers from them when there is no signal.
// What waits to be sent is not its business (queue.js), save at sign-out, which it refuses while something waits.
const VERSION = "VERSION-HERE";
const SHELL = ["SHELL-HERE"];
const SHELF = `shell-${VERSION}`;
const CHECKED = "checked"; // when each card was last looked up, and no more than that
const NO_SIGNAL = "/field/no-signal/";
const CANNOT_TELL = "/field/cannot-tell/";
const WAITING = "/field/waiting/";
const PATIENCE = 4_000; // ms for the network before a page that is kept is shown instead
const CHECK_PATIENCE = 10_000;
const WHOLE_PATIENCE = 60_000; // for one page that is fetched to be kept
const KEPT_FOR = 8 * 24 * 3600 * 1000; // ms a page stays that nobody asked for again
const AT_ONCE = 3;

const shelfOf = (person) => `person-${person}`;

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(SHELF)
      .then((shelf) => Promise.all(SHELL.map((one) => put(shelf, one, new Request(one, { cache: "reload" })))))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) if (name.startsWith("shell-") && name !== SHELF) await caches.delete(name);
      await self.clients.claim();
    })(),
  );
});

// Only a whole answer of our own is kept: no redirect, no error, nothing from elsewhere.
async function put(shelf, address, request) {
  const answer = await fetch(request);
  if (!whole(answer)) throw new Error(`${address} answered ${answer.status}`);
  await shelf.put(address, answer);
}

const whole = (answer) => answer.status === 200 && answer.type === "basic" && !answer.redirected;

const within = (ms, promise) =>
  new Promise((done, fail) => {
    const timer = setTimeout(() => fail(new Error("no answer")), ms);
    promise.then(done, fail).finally(() => clearTimeout(timer));
  });

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== self.location.origin) return;
  if (request.method === "POST") {
    if (pathname === "/sign-out/") event.respondWith(signOut(request));
    else if (pathname === "/sign-in/" || pathname === "/join/") event.respondWith(signIn(request));
    else if (request.mode === "navigate" && pathname.startsWith("/field/rooms/")) event.respondWith(notSent(request));
    return;
  }
  if (request.method !== "GET") return;
  if (SHELL.includes(pathname)) event.respondWith(fromShell(request, pathname));
  else if (/^\/check\/[^/]+\/$/.test(pathname) && request.mode === "navigate") event.respondWith(check(request, pathname));
  else if (mine(pathname)) event.respondWith(page(event, request, pathname));
  else if (request.mode === "navigate") event.respondWith(notSent(request)); // an office page: not kept, but said so
});

// Pages of the field are kept; questions and the list of what to keep are not, nor other parts' files.
const NOT_KEPT = ["/field/hello/", "/field/keep/", "/field/report/", "/field/sync/"];
const mine = (pathname) =>
  pathname.startsWith("/field/") && !NOT_KEPT.includes(pathname) && !pathname.startsWith("/field/phones/");

async function fromShell(request, pathname) {
  return (await caches.match(pathname, { cacheName: SHELF })) ?? fetch(request);
}

// --- pages of a person

async function keptPage(request) {
  for (const name of await caches.keys()) {
    if (!name.startsWith("person-")) continue;
    const kept = await caches.match(request, { cacheName: name, ignoreVary: true });
    if (kept) return kept;
  }
  return null;
}

async function page(event, request, pathname) {
  const since = partings;
  const gone = new AbortController();
  const fetched = fetch(request, { signal: gone.signal });
  event.waitUntil(fetched.then((answer) => keep(pathname, answer.clone(), since)).catch(() => {}));
  const kept = await keptPage(request);
  try {
    const answer = await (kept ? within(PATIENCE, fetched) : fetched);
    return kept && answer.status >= 500 ? kept : answer;
  } catch {
    gone.abort(); // a question that hangs would keep this worker from giving way to the next
    if (kept) return kept;
    if (request.mode !== "navigate") return Response.error();
    return (await caches.match(NO_SIGNAL, { cacheName: SHELF })) ?? Response.error();
  }
}

// How often somebody signed in or out since this worker woke. What was asked for before that is not kept after it.
let partings = 0;

// A page says whose it is; another person's pages go from the phone as soon as one of somebody else comes.
async function keep(pathname, answer, since) {
  const person = answer.headers.get("X-Field-Person");
  if (!whole(answer) || !person) return;
  for (const name of await caches.keys()) {
    if (name.startsWith("person-") && name !== shelfOf(person)) await caches.delete(name);
  }
  if (since !== partings) return;
  const shelf = await caches.open(shelfOf(person));
  await shelf.put(pathname, answer);
  if (since !== partings) await caches.delete(shelfOf(person));
}

async function keepAll(addresses, person) {
  const rest = [...new Set(addresses)];
  const since = partings;
  const take = async () => {
    for (let one = rest.shift(); one; one = rest.shift()) {
      try {
        const answer = await fetch(one, { credentials: "same-origin", signal: AbortSignal.timeout(WHOLE_PATIENCE) });
        if (since !== partings) return;
        if (answer.headers.get("X-Field-Person") === person) await keep(one, answer, since);
      } catch {
        return; // the signal is gone; what is kept stays
      }
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, take));
}

async function dropOld(person, addresses) {
  if (!(await caches.has(shelfOf(person)))) return;
  const shelf = await caches.open(shelfOf(person));
  for (const request of await shelf.keys()) {
    const kept = await shelf.match(request);
    const age = Date.now() - Date.parse(kept?.headers.get("Date") ?? "");
    if (!addresses.includes(new URL(request.url).pathname) && age > KEPT_FOR) await shelf.delete(request);
  }
}

self.addEventListener("message", (event) => {
  const { keep: addresses, again, person } = event.data ?? {};
  if (addresses) event.waitUntil(keepAll(addresses, person).then(() => dropOld(person, addresses)));
  if (again) event.waitUntil(fetchAgain(again, person));
});

async function fetchAgain(rooms, person) {
  if (!(await caches.has(shelfOf(person)))) return;
  const shelf = await caches.open(shelfOf(person));
  const paths = (await shelf.keys()).map((request) => new URL(request.url).pathname);
  await keepAll(paths.filter((path) => rooms.some((room) => path.startsWith(`/field/rooms/${room}/`))), person);
}

// --- is this card the latest?

async function check(request, pathname) {
  try {
    const answer = await within(CHECK_PATIENCE, fetch(request));
    if (whole(answer)) {
      const shelf = await caches.open(CHECKED);
      await shelf.put(`${pathname}?checked`, Response.json({ at: new Date().toISOString() }));
    }
    if (answer.status < 500) return answer;
  } catch {
    // No answer is no answer, whatever was known before.
  }
  return (await caches.match(CANNOT_TELL, { cacheName: SHELF })) ?? Response.error();
}

// --- signing in and out

async function notSent(request) {
  try {
    return await fetch(request);
  } catch {
    return (await caches.match(NO_SIGNAL, { cacheName: SHELF })) ?? Response.error();
  }
}

async function signIn(request) {
  const answer = await fetch(request);
  if (answer.type === "opaqueredirect") await forgetPages(); // somebody is signed in, perhaps somebody else
  return answer;
}

async function signOut(request) {
  const forwarded = request.clone();
  let me;
  try {
    me = await (await fetch("/field/hello/", { credentials: "same-origin", cache: "no-store" })).json();
  } catch {
    return (await caches.match(NO_SIGNAL, { cacheName: SHELF })) ?? Response.error();
  }
  const n = me.person ? await unsent(me.person).catch(() => 0) : 0;
  if (n) return refused(n);
  const answer = await fetch(forwarded);
  await forgetPages();
  if (me.person) await forgetEntries(me.person).catch(() => {});
  return answer;
}

async function refused(n) {
  const kept = await caches.match(WAITING, { cacheName: SHELF });
  const text = kept ? await kept.text() : "{n}";
  const headers = { "Content-Type": "text/html; charset=utf-8" };
  for (const name of ["Content-Security-Policy", "X-Content-Type-Options"]) {
    if (kept?.headers.get(name)) headers[name] = kept.headers.get(name);
  }
  return new Response(text.replaceAll("{n}", n), { status: 409, headers });
}

async function forgetPages() {
  partings++;
  for (const name of await caches.keys()) if (name.startsWith("person-") || name === CHECKED) await caches.delete(name);
}

// --- the queue, read as queue.js writes it

function base() {
  return new Promise((done, fail) => {
    const asked = indexedDB.open("ceilingbook-field");
    asked.onupgradeneeded = () => asked.transaction.abort(); // no page has made it: nothing waits
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
}

async function entries(mode, each) {
  const opened = await base();
  try {
    return await new Promise((done, fail) => {
      const transaction = opened.transaction(["queue", "seen", "state"], mode);
      const all = [];
      transaction.objectStore("queue").openCursor().onsuccess = ({ target: { result: cursor } }) => {
        if (!cursor) return;
        all.push(cursor.value);
        each?.(cursor, transaction);
        cursor.continue();
      };
      transaction.oncomplete = () => done(all);
      transaction.onabort = transaction.onerror = () => fail(transaction.error);
    });
  } finally {
    opened.close();
  }
}

async function unsent(person) {
  const all = await entries("readonly");
  return all.filter(
    (one) => one.person === person && (one.state === "waiting" || (one.state === "look" && !one.answer?.outcome)),
  ).length;
}

async function forgetEntries(person) {
  await entries("readwrite", (cursor, transaction) => {
    if (cursor.value.person === person && cursor.value.state !== "waiting") cursor.delete();
    transaction.objectStore("seen").clear();
    transaction.objectStore("state").delete("last sent");
  });
}
