// One stop of the way at a time: Next, Back, the arrow keys, and the numbers read aloud where the browser can speak.
// Goes on by itself when a mark is kept. Without it the page is one long list. Must not know what is entered.

const walk = document.getElementById("walk");
if (walk) start(walk);

function start(walk) {
  const words = walk.dataset;
  const stops = [...walk.querySelectorAll(".stop")];
  const place = `mark-out ${document.body.dataset.person ?? ""} ${words.room} ${words.revision} ${words.step}`;
  const speech = "speechSynthesis" in window ? window.speechSynthesis : null;
  let aloud = false;
  let onward = 0;

  const bar = document.createElement("div");
  bar.className = "goes";
  const at = Object.assign(document.createElement("p"), { className: "at" });
  at.setAttribute("role", "status");
  const back = button(words.back, () => go(here() - 1));
  const next = button(words.next, () => go(here() + 1));
  next.classList.add("do");
  bar.append(back, at, next);
  if (speech) {
    const read = button(words.read, () => {
      aloud = !aloud;
      read.setAttribute("aria-pressed", String(aloud));
      read.textContent = aloud ? words.silent : words.read;
      if (aloud) say(stops[here()]);
      else speech.cancel();
    });
    read.classList.add("aloud");
    read.setAttribute("aria-pressed", "false");
    walk.after(read);
  }
  walk.before(bar);
  walk.classList.add("going");

  function button(text, pressed) {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = text;
    made.addEventListener("click", pressed);
    return made;
  }

  function here() {
    return Math.max(0, stops.findIndex((stop) => stop.classList.contains("here")));
  }

  function go(to, quiet = false) {
    const number = Math.min(Math.max(to, 0), stops.length - 1);
    stops.forEach((stop, n) => stop.classList.toggle("here", n === number));
    at.textContent = words.of.replace("{n}", number + 1).replace("{all}", stops.length);
    back.disabled = number === 0;
    next.disabled = number === stops.length - 1;
    try {
      localStorage.setItem(place, stops[number].id);
    } catch {
      // Storage is closed: the way begins at its start next time.
    }
    if (!quiet) say(stops[number]);
  }

  function say(stop) {
    if (!aloud || !speech) return;
    speech.cancel();
    const spoken = new SpeechSynthesisUtterance(stop.dataset.aloud);
    spoken.lang = document.documentElement.lang;
    spoken.rate = 0.9;
    speech.speak(spoken);
  }

  document.addEventListener("keydown", (event) => {
    if (event.target.closest("input, select, textarea, summary") || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key === "ArrowRight" || event.key === "n") go(here() + 1);
    else if (event.key === "ArrowLeft" || event.key === "b") go(here() - 1);
    else return;
    event.preventDefault();
  });

  walk.addEventListener("field:kept", (event) => {
    const stop = event.target.closest(".stop");
    stop.classList.add("done");
    if (stop === stops[here()]) onward = window.setTimeout(() => go(here() + 1), 600);
  });

  // What came of an entry once it was sent: a move that waits for a yes, marks that have to be set anew.
  document.addEventListener("field:answered", ({ detail }) => {
    const form = detail.said ? walk.querySelector(`form[data-waits="${detail.key}"]`) : null;
    if (!form) return;
    const said = document.createElement("p");
    said.className = "notice warn";
    said.setAttribute("role", "status");
    said.textContent = detail.said;
    form.after(said);
    window.clearTimeout(onward); // a quick answer would be walked away from
    go(stops.indexOf(form.closest(".stop")));
  });

  const asked = stops.findIndex((stop) => `#${stop.id}` === window.location.hash);
  let kept = -1;
  try {
    kept = stops.findIndex((stop) => stop.id === localStorage.getItem(place));
  } catch {
    // As above.
  }
  // The tape check comes first each time, unless this way was begun already on this phone.
  go(asked > 0 ? asked : Math.max(0, kept), true);
}
