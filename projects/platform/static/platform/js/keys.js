// Keys that jump: ? shows the list, / goes to the search, g and a letter opens a page. Off where the person says so
// (WCAG 2.1.4), while typing, and beside any other key that is held.
const list = document.getElementById("keys");
const off = document.getElementById("keys-off");
const KEPT = "keys-off";
const WAIT = 1500; // ms that g waits for its letter

const kept = () => {
  try {
    return localStorage.getItem(KEPT) === "1";
  } catch {
    return false; // storage is closed to this page
  }
};

if (list && off) {
  const wait = { until: 0 };
  off.checked = kept();
  off.closest("[hidden]").hidden = false;
  off.addEventListener("change", () => {
    try {
      localStorage.setItem(KEPT, off.checked ? "1" : "0");
    } catch {
      // It holds until the next page.
    }
  });
  list.querySelector("[data-close]").addEventListener("click", () => list.close());

  const jump = (key) => {
    const link = list.querySelector(`[data-go="${CSS.escape(key)}"]`);
    if (link) location.assign(link.value);
    return Boolean(link);
  };

  const pressed = (key) => {
    if (performance.now() < wait.until) {
      wait.until = 0;
      return jump(key);
    }
    if (key === "?") {
      if (list.open) list.close();
      else list.showModal();
      return true;
    }
    if (key === "/" && !list.open) {
      document.getElementById("search")?.focus();
      return true;
    }
    if (key === "g") wait.until = performance.now() + WAIT;
    return key === "g";
  };

  document.addEventListener("keydown", (event) => {
    const typing = event.target.matches?.("input:not([type=checkbox], [type=radio]), textarea, select, [contenteditable]");
    if (off.checked || typing || event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    if (pressed(event.key)) event.preventDefault();
  });
}
