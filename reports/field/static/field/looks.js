// On the page of what needs a look: what this phone holds itself, each with a way to save a copy, try again, or let go.
import { held, letGo, tryAgain } from "./queue.js";

const { person } = document.body.dataset;
const place = document.getElementById("on-this-phone");
const words = place.dataset;
const boxes = JSON.parse(document.getElementById("box-words").textContent);
const tongue = document.documentElement.lang;

function element(name, text, more = {}) {
  const made = Object.assign(document.createElement(name), more);
  if (text) made.textContent = text;
  return made;
}

const asText = (file) =>
  new Promise((done) => {
    const reader = new FileReader();
    reader.onload = () => done(reader.result);
    reader.readAsDataURL(file);
  });

async function copyOf(entries) {
  const told = await Promise.all(
    entries.map(async ({ kind, room, roomName, data, at, base, state, answer, file }) => ({
      kind, room, roomName, entered: at, base, data, state, answer, photo: file ? await asText(file) : null,
    })),
  );
  return new Blob([JSON.stringify(told, null, 2)], { type: "application/json" });
}

async function save(entries) {
  const link = element("a", "", { href: URL.createObjectURL(await copyOf(entries)), download: "entries.json" });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

function key(text, press) {
  const button = element("button", text, { type: "button" });
  button.addEventListener("click", press);
  return button;
}

function row(one) {
  const item = element("li");
  item.append(element("h3", `${one.roomName} · ${new Date(one.at).toLocaleString(tongue)}`));
  if (one.answer?.words) item.append(element("p", one.answer.words));
  const values = element("dl", "", { className: "pairs" });
  for (const [name, value] of Object.entries(one.data)) {
    if (!String(value) || boxes.leftOut.includes(name)) continue;
    const said = [value].flat().map((text) => boxes.choices[name]?.[text] ?? text);
    values.append(element("dt", boxes.names[name] ?? name), element("dd", said.join(", ")));
  }
  const keys = element("p", "", { className: "doing" });
  keys.append(key(words.save, () => save([one])));
  if (one.state === "look" && !one.answer?.outcome) {
    keys.append(key(words.again, () => tryAgain(one.seq).then(show)));
    keys.append(key(words.letGo, () => confirm(words.sure) && letGo(one.seq).then(show)));
  }
  item.append(values, keys);
  return item;
}

async function show() {
  const { waiting, looks } = await held(person);
  const all = [...looks, ...waiting];
  place.hidden = !all.length;
  place.querySelector("ul").replaceChildren(...all.map(row));
  place.querySelector(".doing.all").replaceChildren(...(all.length > 1 ? [key(words.saveAll, () => save(all))] : []));
}

document.addEventListener("field:answered", show);
document.addEventListener("field:kept", show);
show();
