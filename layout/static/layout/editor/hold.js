// Moves what is drawn, by pointer and by arrow keys, and writes where it then is into the boxes: nothing else is moved.
import { box, write } from "./boxes.js";
import { written } from "./tape.js";

const FINGER = 22; // px: half of what a thumb needs
const STARTS = 4; // px before a press is a drag
const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }; // right, toward the far wall

export function hold(form, sheet, { facts, words, moved, done, busy }) {
  let drag = null;
  const ahead = new Map(); // where things were moved to, until the server's answer knows of it

  const text = (nm) => written(nm, facts().tape.style);
  const mode = () => form.elements.moves.value;
  const named = (node) => node?.closest?.(".mark, .in-the-way, .corner-held")?.dataset.line ?? "";

  function target(name) {
    if (!name || !facts()) return null;
    const { marks, things, corners } = facts();
    const corner = corners.find((one) => one.key === name);
    if (corner) return { corner };
    const mark = marks.find((one) => `mark-${one.id}` === name);
    if (mark) return { mark };
    const thing = things.find((one) => one.key === name);
    return thing ? { thing } : null;
  }

  // From right and far, in nanometers, to along and across from the zero corner.
  function turned([right, far]) {
    const { level, fromLeft, fromDoor } = facts().turn;
    const x = fromLeft ? right : -right;
    const y = fromDoor ? far : -far;
    return level ? { along: x, across: y } : { along: y, across: x };
  }

  const within = (nm, most) => Math.min(Math.max(nm, 0), most);
  const snapped = (nm) => Math.round(nm / facts().steps[0]) * facts().steps[0];

  function holdLine(line, number, at, size) {
    if (!number) return "";
    const lines = facts()[`${line}s`];
    const hold = (which, where) => {
      write(form, `${line}-${which}`, text(where));
      ahead.set(`${line}-${which}`, where);
    };
    hold(number, at);
    const twin = lines.length + 1 - number;
    if (twin !== number && form.elements.symmetric.checked) hold(twin, size - at);
    return `${line}-${number}`;
  }

  // `from`: where it stood when the move began. `by`: right and far, nanometers. Gives what moves, and its words.
  function move(what, from, by, way) {
    const { size } = facts();
    if (what.thing) return moveThing(from.thing, by);
    if (what.corner) return moveCorner(from.corner, by);
    const { along, across } = turned(by);
    if (mode() === "mark" || (!from.mark.column && !from.mark.row)) {
      const at = [within(from.mark.along + along, size.along), within(from.mark.across + across, size.across)];
      write(form, `${from.mark.box}-along`, text(at[0]));
      write(form, `${from.mark.box}-across`, text(at[1]));
      ahead.set(from.mark.box, { along: at[0], across: at[1] });
      return [`mark-${from.mark.id}`, `${from.mark.id} ${at.map(text).join(", ")}`];
    }
    const line = (way ?? (Math.abs(along) > Math.abs(across) ? "column" : "row")) === "column" ? "column" : "row";
    const [now, most] = line === "column" ? [from.lines.column + along, size.along] : [from.lines.row + across, size.across];
    const at = within(now, most);
    const key = holdLine(line, from.mark[line], at, most);
    return [key, `${rowWords(key)} ${text(at)}`];
  }

  const rowWords = (key) => form.querySelector(`[data-box="${CSS.escape(key)}"] th`)?.textContent ?? key;

  function moveThing(from, [right, far]) {
    if (mode() === "size") {
      const wide = Math.max(from.wide + right, facts().steps[0]);
      const deep = from.round ? wide : Math.max(from.deep + far, facts().steps[0]);
      write(form, `${from.box}-wide`, text(wide));
      write(form, `${from.box}-deep`, from.round ? "" : text(deep));
      ahead.set(from.box, { wide, deep });
      return ["", `${from.name} ${text(wide)} × ${text(deep)}`];
    }
    const [x, y] = [Math.max(from.x + right, 0), Math.max(from.y + far, 0)];
    write(form, `${from.box}-x`, text(x));
    write(form, `${from.box}-y`, text(y));
    ahead.set(from.box, { x, y });
    return ["", `${from.name} ${text(x)}, ${text(y)}`];
  }

  function moveCorner(from, [right, far]) {
    const { wide, deep } = facts().plan;
    const [x, y] = [within(from.x + right, wide), within(from.y + far, deep)];
    write(form, `${from.box}-x`, text(x));
    write(form, `${from.box}-y`, text(y));
    ahead.set(from.box, { x, y });
    return ["", `${words.corner} ${text(x)}, ${text(y)}`];
  }

  function stands(what) {
    const { columns, rows } = facts();
    if (what.corner) return { corner: { ...what.corner, ...ahead.get(what.corner.box) } };
    if (!what.mark) return { thing: { ...what.thing, ...ahead.get(what.thing.box) } };
    const at = (line, lines) => ahead.get(`${line}-${what.mark[line]}`) ?? lines[what.mark[line] - 1];
    return {
      mark: { ...what.mark, ...ahead.get(what.mark.box) },
      lines: { column: at("column", columns), row: at("row", rows) },
    };
  }

  function letGo(what) {
    const row = what.thing ?? what.corner;
    if (row) {
      const drop = box(form, `${row.box}-drop`);
      if (drop) drop.checked = true;
      return row.name ?? words.corner;
    }
    for (const way of ["along", "across"]) write(form, `${what.mark.box}-${way}`, "");
    if (mode() === "mark") return what.mark.id;
    for (const line of ["column", "row"]) {
      const number = what.mark[line];
      const twin = facts()[`${line}s`].length + 1 - number;
      write(form, `${line}-${number}`, "");
      if (form.elements.symmetric.checked) write(form, `${line}-${twin}`, "");
    }
    return what.mark.id;
  }

  // --- by keys

  sheet.addEventListener("keydown", (event) => {
    const what = target(named(event.target));
    if (!what || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      moved("", letGo(what));
      done();
      return;
    }
    const way = WAYS[event.key];
    if (!way) return;
    event.preventDefault();
    const step = facts().steps[event.shiftKey ? 1 : 0];
    const level = facts().turn.level;
    moved(...move(what, stands(what), way.map((one) => one * step), (way[0] !== 0) === level ? "column" : "row"));
    done();
  });

  // --- by pointer

  const unit = () => {
    const matrix = sheet.querySelector("svg").getScreenCTM();
    return matrix.a; // px to one of the drawing's units
  };

  sheet.addEventListener("pointerdown", (event) => {
    const name = named(event.target);
    const what = event.button === 0 && facts() ? target(name) : null;
    if (!what) return;
    drag = { id: event.pointerId, what, from: stands(what), x: event.clientX, y: event.clientY, begun: false, way: null };
    document.getElementById(event.target.closest("[id]").id)?.focus({ preventScroll: true });
  });

  sheet.addEventListener("pointermove", (event) => {
    if (!drag || event.pointerId !== drag.id || busy()) return;
    const [dx, dy] = [event.clientX - drag.x, event.clientY - drag.y];
    if (!drag.begun) {
      if (Math.hypot(dx, dy) < STARTS) return;
      drag.begun = true;
      sheet.setPointerCapture(event.pointerId);
      drag.way = Math.abs(dx) > Math.abs(dy) === facts().turn.level ? "column" : "row";
    }
    const scale = facts().sheet.nmPerUnit / unit();
    moved(...move(drag.what, drag.from, [snapped(dx * scale), snapped(-dy * scale)], drag.way));
  });

  const lift = (event) => {
    if (!drag || event.pointerId !== drag.id) return;
    const begun = drag.begun;
    drag = null;
    if (begun) done();
  };
  for (const end of ["pointerup", "pointercancel"]) addEventListener(end, lift);

  // --- a finger's width round what can be moved, and where it may stand once it has the focus

  function drawn() {
    const reach = Math.min(FINGER / unit(), 7);
    for (const group of sheet.querySelectorAll(".mark")) {
      const symbol = group.querySelector(".symbol");
      if (!symbol) continue;
      const at = symbol.getBBox();
      const grip = document.createElementNS("http://www.w3.org/2000/svg", "circle");
      grip.setAttribute("class", "grip");
      grip.setAttribute("cx", at.x + at.width / 2);
      grip.setAttribute("cy", at.y + at.height / 2);
      grip.setAttribute("r", Math.max(reach, at.width / 2));
      group.append(grip);
    }
  }

  return { drawn, known: () => ahead.clear(), dragging: () => drag !== null };
}
