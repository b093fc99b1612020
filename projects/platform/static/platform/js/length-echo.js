// Says beneath a length box how it was read, while it is typed; offers both readings when there are two.
// Works on every input with data-length, also on ones that come later. Must not know what the length is for.
const WAIT = 200; // ms of quiet before asking
const boxes = new WeakMap(); // input -> its echo, its timer, its open question

function place(input) {
  const known = boxes.get(input);
  if (known) return known;
  const echo = document.createElement("p");
  echo.className = "echo";
  echo.id = `${input.id || input.name}_echo`;
  echo.setAttribute("aria-live", "polite");
  const readings = document.createElement("div");
  readings.className = "readings";
  // A page that redraws itself around a box in use leaves these two standing.
  echo.dataset.live = readings.dataset.live = "";
  (input.closest(".box, .number") ?? input).after(echo, readings);
  const described = input.getAttribute("aria-describedby");
  input.setAttribute("aria-describedby", described ? `${described} ${echo.id}` : echo.id);
  const box = { echo, readings, timer: 0, asked: null };
  boxes.set(input, box);
  return box;
}

function clear({ echo, readings }) {
  echo.textContent = "";
  echo.classList.remove("unread");
  readings.replaceChildren();
}

function choice(input, reading) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = reading.echo;
  button.addEventListener("click", () => {
    input.value = reading.text;
    input.focus();
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.dispatchEvent(new Event("change", { bubbles: true }));
  });
  return button;
}

function show(input, box, answer) {
  clear(box);
  box.echo.textContent = answer.ok ? answer.echo : answer.error;
  box.echo.classList.toggle("unread", !answer.ok);
  box.readings.append(...(answer.readings ?? []).map((reading) => choice(input, reading)));
}

async function ask(input, box) {
  const url = input.dataset.echoUrl ?? document.body.dataset.echoUrl;
  if (!url) return;
  box.asked = new AbortController();
  const question = new URLSearchParams({ text: input.value });
  if (input.dataset.style) question.set("style", input.dataset.style);
  try {
    const response = await fetch(`${url}?${question}`, {
      headers: { Accept: "application/json" },
      signal: box.asked.signal,
    });
    if (response.ok && !response.redirected) show(input, box, await response.json());
    else clear(box);
  } catch (failed) {
    // No signal: nothing is claimed about the text; the server reads it when it is saved.
    if (failed.name !== "AbortError") clear(box);
  }
}

document.addEventListener("focusin", ({ target }) => {
  if (target.matches?.("input[data-length]")) place(target); // the live region stands before it speaks
});

document.addEventListener("input", ({ target }) => {
  if (!target.matches?.("input[data-length]")) return;
  const box = place(target);
  clearTimeout(box.timer);
  box.asked?.abort();
  if (target.value.trim()) box.timer = setTimeout(ask, WAIT, target, box);
  else clear(box);
});
