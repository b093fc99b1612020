// With no signal, says beneath the first joist's box what on-site.js finds. With signal it says nothing: the server rules.
import {onSite} from "./on-site.js";

const told = document.getElementById("on-site-data");
const said = document.getElementById("no-signal");
const box = document.getElementById("id_first");

// "11", "11 1/2", "1/2", "290.5": a plain number in the job's own unit, as [top, bottom].
function plain(text) {
  const found = /^\s*(?:(\d+(?:\.\d+)?)(?:[\s-]+(\d+)\/(\d+))?|(\d+)\/(\d+))\s*(?:"|in|mm)?\s*$/.exec(text);
  if (!found) return null;
  const [, whole, top, bottom, onlyTop, onlyBottom] = found;
  if (onlyTop) return Number(onlyTop) / Number(onlyBottom);
  return Number(whole) + (top ? Number(top) / Number(bottom) : 0);
}

function inTicks(ticks, unit) {
  const size = Math.abs(ticks);
  if (unit === "mm") return `${size} mm`;
  const whole = Math.floor(size / 16);
  let top = size % 16, bottom = 16;
  while (top && top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  return `${top ? `${whole ? `${whole} ` : ""}${top}/${bottom}` : whole}"`;
}

const filled = (words, parts) => words.replace(/\{(\w+)\}/g, (_all, name) => parts[name]);

function answer(data) {
  const {words, unit, site} = data;
  const read = plain(box.value);
  const face = data.faces[`${document.getElementById("id_first_from").value} ${document.getElementById("id_datum").value}`];
  if (read === null || !face) return [words.unread];
  const at = read * data.parts + data.half[document.getElementById("id_first_to").value];
  const found = onSite({...site, joists: {...site.joists, first: Math.round(face.base + face.sign * at)}});
  if (found.clear) return [words.clear];
  const lines = [];
  const way = move => (move > 0 ? words.in : words.out);
  found.pair?.moves.forEach((move, n) => move && lines.push(filled(words.pair, {n: n + 1, by: inTicks(move, unit), way: way(move)})));
  if (found.equal) lines.push(filled(words.equal, {by: inTicks(found.equal.move, unit), way: way(found.equal.move)}));
  if (found.slide) lines.push(filled(words.slide, {by: inTicks(found.slide.move, unit)}));
  return lines.length ? lines : [words.none];
}

function show() {
  const lines = navigator.onLine || !box.value.trim() ? [] : answer(JSON.parse(told.textContent));
  said.replaceChildren(...lines.map(line => Object.assign(document.createElement("p"), {textContent: line})));
  said.hidden = !lines.length;
}

if (told && said && box) {
  for (const name of ["input", "change"]) box.form.addEventListener(name, show);
  for (const name of ["online", "offline"]) window.addEventListener(name, show);
}
