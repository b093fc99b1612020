// Ticks lights by pressing them on the plan or dragging a box round them; a letter typed then is written beside each.
// What is ticked and written is the form's own: without this script the table does the same.
const form = document.querySelector("#switches-form");
const sheet = document.querySelector("#switches-sheet");
const drawing = sheet?.querySelector("svg");
const ticks = new Map([...(form?.querySelectorAll("tr[data-mark] input[type=checkbox]") ?? [])].map((tick) => [tick.closest("tr").dataset.mark, tick]));
const FINGER = 22; // px: half of what a thumb needs
const STARTS = 6; // px before a press is a drag

if (drawing && ticks.size) begin();

function begin() {
  const said = document.querySelector("#switches-said");
  document.querySelector("#switches-keys").hidden = false;
  const marks = [...drawing.querySelectorAll(".mark-light")].filter((mark) => ticks.has(idOf(mark)));
  for (const mark of marks) {
    mark.setAttribute("role", "checkbox");
    mark.setAttribute("tabindex", "0");
    mark.setAttribute("aria-label", idOf(mark));
  }
  show();

  function idOf(mark) {
    return mark?.dataset.line?.replace(/^mark-/, "") ?? "";
  }

  function chosen() {
    return [...ticks.values()].filter((tick) => tick.checked);
  }

  function show() {
    for (const mark of marks) {
      const on = ticks.get(idOf(mark)).checked;
      mark.classList.toggle("chosen", on);
      mark.setAttribute("aria-checked", on);
    }
    const count = chosen().length;
    said.textContent = count ? said.dataset.chosen.replace("{count}", count) : "";
  }

  function turn(mark, on) {
    const tick = ticks.get(idOf(mark));
    tick.checked = on ?? !tick.checked;
  }

  // By pointer: a press turns one over, a drag takes in all it goes round. A finger scrolls: it presses only.
  let from = null;
  const band = document.createElement("div");
  band.className = "switches-band";
  sheet.append(band);
  sheet.tabIndex = -1;
  sheet.classList.add("held-by-script");

  sheet.addEventListener("pointerdown", (event) => {
    if (event.button === 0 && event.pointerType !== "touch") from = [event.pageX, event.pageY];
  });
  window.addEventListener("pointermove", (event) => {
    if (!from) return;
    const box = boxOf(event);
    band.classList.toggle("drawn", box.wide > STARTS || box.high > STARTS);
    const at = sheet.getBoundingClientRect();
    band.style.left = `${box.left - scrollX - at.left + sheet.scrollLeft}px`;
    band.style.top = `${box.top - scrollY - at.top + sheet.scrollTop}px`;
    band.style.width = `${box.wide}px`;
    band.style.height = `${box.high}px`;
  });
  window.addEventListener("pointerup", (event) => {
    if (!from) return;
    const box = boxOf(event);
    from = null;
    if (!band.classList.contains("drawn")) return;
    band.classList.remove("drawn");
    for (const mark of marks) {
      const [x, y] = middle(mark);
      if (x >= box.left && x <= box.left + box.wide && y >= box.top && y <= box.top + box.high) turn(mark, true);
    }
    show();
    dragged = true;
    sheet.focus({ preventScroll: true });
  });
  let dragged = false;
  sheet.addEventListener("click", ({ target, pageX, pageY }) => {
    const mark = target.closest(".mark-light") ?? near(pageX, pageY);
    if (mark && !dragged) {
      turn(mark);
      mark.focus({ preventScroll: true }); // so that the letter typed next is heard
    }
    dragged = false;
    show();
  });

  // A thumb is wider than a mark: the nearest one within its half is meant.
  function near(x, y) {
    const away = (mark) => {
      const [at, up] = middle(mark);
      return Math.hypot(at - x, up - y);
    };
    const nearest = marks.reduce((one, other) => (away(other) < away(one) ? other : one));
    return away(nearest) <= FINGER ? nearest : null;
  }

  function middle(mark) {
    const at = mark.querySelector("circle").getBoundingClientRect();
    return [at.left + at.width / 2 + scrollX, at.top + at.height / 2 + scrollY];
  }

  // On the page, which may scroll under the hand.
  function boxOf({ pageX, pageY }) {
    return {
      left: Math.min(from[0], pageX), top: Math.min(from[1], pageY),
      wide: Math.abs(pageX - from[0]), high: Math.abs(pageY - from[1]),
    };
  }

  // By keyboard: Space or Enter on a light turns it over, a letter goes to all that are chosen, Escape lets go.
  sheet.addEventListener("keydown", (event) => {
    const mark = event.target.closest?.(".mark-light");
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (mark && (event.key === " " || event.key === "Enter")) {
      turn(mark);
      show();
    } else if (event.key === "Escape") {
      for (const tick of ticks.values()) tick.checked = false;
      show();
    } else if (/^[a-z]$/i.test(event.key) && chosen().length) {
      write(event.key.toUpperCase());
    } else return;
    event.preventDefault();
  });

  function write(letter) {
    const all = chosen();
    for (const tick of all) {
      form.elements[tick.value].value = letter;
      tick.checked = false;
    }
    show();
    said.textContent = said.dataset.set.replace("{count}", all.length).replace("{letter}", letter);
  }

  form.addEventListener("change", ({ target }) => {
    if (target.name === "ticked") show();
  });
}
