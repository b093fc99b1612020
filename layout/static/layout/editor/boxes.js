// The editor's boxes as one state that can be taken and put back, rows that come and go included. Knows no meaning.
const LEFT_OUT = new Set(["csrfmiddlewaretoken", "draft_version", "ceiling_version", "moves"]);
const held = (one) => one.name && !LEFT_OUT.has(one.name) && one.type !== "submit" && one.type !== "button";
const ticked = (one) => one.type === "checkbox" || one.type === "radio";

export function state(form) {
  return [...form.elements].filter(held).map((one) => [one.name, ticked(one) ? (one.checked ? one.value : null) : one.value]);
}

const counter = (rows) => rows.querySelector(":scope > input[type=hidden]");

export function addRow(rows) {
  const count = counter(rows);
  const number = Number(count.value);
  const html = rows.querySelector(":scope > template").innerHTML.replaceAll("__n__", number);
  rows.querySelector(":scope > template").insertAdjacentHTML("beforebegin", html);
  count.value = number + 1;
  return rows.querySelector(`[data-row$="-${number}"]`);
}

function setRows(rows, count) {
  while (Number(counter(rows).value) < count) addRow(rows);
  const fields = [...rows.querySelectorAll(":scope > .plan-row")];
  for (const one of fields.slice(count)) one.remove();
  counter(rows).value = count;
}

export function putBack(form, kept) {
  const values = new Map(kept.filter(([, value]) => value !== null));
  for (const rows of form.querySelectorAll("[data-rows]")) {
    setRows(rows, Number(values.get(`${rows.dataset.rows}-count`) ?? 0));
  }
  for (const one of form.elements) {
    if (!held(one)) continue;
    if (ticked(one)) one.checked = values.get(one.name) === one.value;
    else one.value = values.get(one.name) ?? "";
  }
}

export const box = (form, name) => form.elements.namedItem(name);

export function write(form, name, text) {
  const one = box(form, name);
  if (!one) return false;
  one.value = text;
  return true;
}
