// The worker is switched off: this one removes every page that was kept, and itself. What waits to be sent stays where
// it is, in the browser's database, and is sent by the pages.
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) await caches.delete(name);
      await self.registration.unregister();
    })(),
  );
});
