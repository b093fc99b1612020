// Lights a line of the sum column and its dimension on the plan together, by pointer and by keyboard, both ways.
let lit = "";

// A line may name a dimension of the plan that shows its number under a key of its own.
function lineOf(node) {
  const line = node?.closest?.("[data-line]")?.dataset;
  return line ? (line.drawn ?? line.line) : "";
}

function light(line) {
  lit = line;
  for (const one of document.querySelectorAll("[data-line].lit")) one.classList.remove("lit");
  if (!line) return;
  const name = CSS.escape(line);
  for (const one of document.querySelectorAll(`[data-line="${name}"], [data-drawn="${name}"]`)) one.classList.add("lit");
}

// What has focus stays lit when the pointer rests on nothing.
const under = ({ target }) => lineOf(target) || lineOf(document.activeElement);

document.addEventListener("pointerover", (event) => {
  const line = under(event);
  if (line !== lit) light(line);
});
document.addEventListener("focusin", ({ target }) => light(lineOf(target)));
document.addEventListener("focusout", ({ relatedTarget }) => light(lineOf(relatedTarget)));
document.addEventListener("summed", () => light(lit)); // sum-preview.js has drawn the lines anew
