// Sets the corners of the outline by pressing on the plan, over a picture or not, and shows them so that they can be moved.
import { addRow, write } from "./boxes.js";
import { written } from "./tape.js";

const SVG = "http://www.w3.org/2000/svg";

export function corners(form, sheet, { facts, done }) {
  const rows = form.querySelector('[data-rows="corner"]');
  const chosen = () => form.elements.moves.value === "corner";

  // From a press to the nearest step from the left and from the door side, within the ceiling.
  function place({ clientX, clientY }) {
    const { sheet: drawn, steps, plan } = facts();
    const svg = sheet.querySelector("svg");
    const { x, y } = new DOMPoint(clientX, clientY).matrixTransform(svg.getScreenCTM().inverse());
    const snapped = (units, most) => Math.min(Math.max(Math.round((units * drawn.nmPerUnit) / steps[0]) * steps[0], 0), most);
    return [snapped(x - drawn.left, plan.wide), snapped(drawn.bottom - y, plan.deep)];
  }

  function set(event) {
    const [x, y] = place(event);
    const row = addRow(rows).dataset.row;
    write(form, `${row}-x`, written(x, facts().tape.style));
    write(form, `${row}-y`, written(y, facts().tape.style));
    rows.closest("details").open = true;
    done();
  }

  let down = null;
  sheet.addEventListener("pointerdown", (event) => {
    down = chosen() && facts() && event.button === 0 && !event.target.closest(".corner-held") ? [event.clientX, event.clientY] : null;
  });
  sheet.addEventListener("pointerup", (event) => {
    if (down && Math.hypot(event.clientX - down[0], event.clientY - down[1]) < 4) set(event);
    down = null;
  });

  function show() {
    sheet.classList.toggle("setting-corners", chosen());
    for (const one of sheet.querySelectorAll(".corner-held")) one.remove();
    if (!chosen() || !facts()) return;
    const { sheet: drawn, corners: held } = facts();
    const svg = sheet.querySelector("svg");
    const reach = Math.min(14 / svg.getScreenCTM().a, 4);
    for (const { key, x, y } of held) {
      const group = document.createElementNS(SVG, "g");
      for (const [name, value] of Object.entries({ class: "corner-held", id: `plan-${key}`, "data-line": key, tabindex: 0 })) group.setAttribute(name, value);
      const at = { cx: drawn.left + x / drawn.nmPerUnit, cy: drawn.bottom - y / drawn.nmPerUnit };
      for (const [kind, r] of [["grip", reach * 1.5], ["", reach / 3]]) {
        const circle = document.createElementNS(SVG, "circle");
        for (const [name, value] of Object.entries({ class: kind, r, "stroke-width": 0.4, ...at })) circle.setAttribute(name, value);
        group.append(circle);
      }
      svg.append(group);
    }
  }

  form.addEventListener("change", ({ target }) => {
    if (target.name === "moves") show();
  });

  return { show };
}
