// Light or dark as the person chose on this device; without a choice the page follows the system. Must not wait.
(() => {
  const root = document.documentElement;
  const kept = () => {
    try {
      return localStorage.getItem("theme");
    } catch {
      return null; // storage is closed to this page: follow the system
    }
  };
  const show = (choice) => {
    if (choice === "light" || choice === "dark") root.dataset.theme = choice;
    else delete root.dataset.theme;
  };
  show(kept());

  document.addEventListener("DOMContentLoaded", () => {
    const group = document.getElementById("theme");
    if (!group) return;
    const chosen = root.dataset.theme ?? "system";
    group.querySelector(`[value="${chosen}"]`).checked = true;
    group.hidden = false;
    group.addEventListener("change", (event) => {
      show(event.target.value);
      try {
        localStorage.setItem("theme", event.target.value);
      } catch {
        // It holds until the next page.
      }
    });
  });
})();
