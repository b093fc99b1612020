// Behind a card's QR without signal: when this phone last had an answer about this card, if ever. Never green.
const place = document.getElementById("last-checked");
const words = place.dataset;

async function lastChecked() {
  if (!("caches" in window)) return null;
  const kept = await caches.match(`${location.pathname}?checked`, { cacheName: "checked" });
  return kept ? kept.json() : null;
}

lastChecked().then((when) => {
  if (!when) return;
  const at = new Date(when.at);
  const day = at.toDateString() === new Date().toDateString() ? {} : { dateStyle: "medium" };
  place.textContent = words.last.replace("{time}", at.toLocaleString(document.documentElement.lang, { ...day, timeStyle: "short" }));
});
