// A place to sign: what a finger draws goes, as strokes of whole numbers on a field of 600 by 200, into a hidden box.
// Without scripts there is no such place; the name stands alone, or the paper is signed.
const WIDE = 600;
const HIGH = 200;
const MOST_POINTS = 4500;

for (const place of document.querySelectorAll("[data-sign]")) {
  const box = document.getElementById(place.dataset.sign);
  const canvas = document.createElement("canvas");
  canvas.width = WIDE;
  canvas.height = HIGH;
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", place.dataset.label);
  const said = document.createElement("p");
  said.className = "hint";
  said.textContent = place.dataset.label;
  const clear = document.createElement("button");
  clear.type = "button";
  clear.className = "quiet";
  clear.textContent = place.dataset.clear;
  place.append(said, canvas, clear);

  const pen = canvas.getContext("2d");
  pen.lineWidth = 3;
  pen.lineCap = pen.lineJoin = "round";
  pen.strokeStyle = "#111";
  let strokes = [];
  let points = 0;
  let drawing = false;

  const at = (event) => {
    const edge = canvas.getBoundingClientRect();
    const x = Math.round(((event.clientX - edge.left) / edge.width) * WIDE);
    const y = Math.round(((event.clientY - edge.top) / edge.height) * HIGH);
    return [Math.min(Math.max(x, 0), WIDE), Math.min(Math.max(y, 0), HIGH)];
  };
  const line = (from, to) => {
    pen.beginPath();
    pen.moveTo(...from);
    pen.lineTo(...to);
    pen.stroke();
  };

  canvas.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    canvas.setPointerCapture(event.pointerId);
    drawing = true;
    const start = at(event);
    strokes.push([start]);
    points += 1;
    line(start, start);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!drawing || points >= MOST_POINTS) return;
    const stroke = strokes.at(-1);
    const next = at(event);
    const last = stroke.at(-1);
    if (next[0] === last[0] && next[1] === last[1]) return;
    line(last, next);
    stroke.push(next);
    points += 1;
  });
  const lift = () => {
    drawing = false;
    box.value = strokes.length ? JSON.stringify(strokes) : "";
  };
  canvas.addEventListener("pointerup", lift);
  canvas.addEventListener("pointercancel", lift);
  clear.addEventListener("click", () => {
    strokes = [];
    points = 0;
    box.value = "";
    pen.clearRect(0, 0, WIDE, HIGH);
  });
}
