/* This guide keeps nothing on the reader's device any more: what earlier builds kept is deleted. */
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter((name) => name.startsWith("guide {{ scope }} ") || name === "whole guide {{ scope }}").map((name) => caches.delete(name))))
      .then(() => self.registration.unregister())
  );
});
