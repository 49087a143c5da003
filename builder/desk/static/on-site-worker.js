// Keeps the pages of stickers on site on the telephone, so that they open without signal while somebody is signed in.
// The newest page always wins where there is signal. Nothing but this room is kept.
"use strict";
const NAME = "on-site-1";
const OURS = ["/static/desk.css", "/static/desk.js", "/static/on-site.js"];
self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(NAME).then((cache) => cache.addAll(OURS)).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const each of await caches.keys()) if (each.startsWith("on-site-") && each !== NAME) await caches.delete(each);
    await self.clients.claim();
    const cache = await caches.open(NAME);
    for (const client of await self.clients.matchAll({ type: "window" })) {
      const path = new URL(client.url).pathname;
      if (path.startsWith("/on-site/")) {
        const answer = await fetch(path, { credentials: "same-origin" }).catch(() => null);
        if (answer && answer.ok && !answer.redirected) await cache.put(path, answer);
      }
    }
  })());
});
self.addEventListener("fetch", (event) => {
  const { pathname } = new URL(event.request.url);
  const kept = OURS.includes(pathname) || (pathname.startsWith("/on-site/") && pathname !== "/on-site/worker.js");
  if (event.request.method !== "GET" || !kept) return;
  event.respondWith((async () => {
    const cache = await caches.open(NAME);
    try {
      const answer = await fetch(event.request);
      if (answer.ok && !answer.redirected) await cache.put(pathname, answer.clone());
      // Nobody is signed in any more, on this telephone or by another's word: nothing is kept for them.
      if (answer.type === "opaqueredirect" || (answer.redirected && new URL(answer.url).pathname === "/sign-in")) for (const each of await cache.keys()) await cache.delete(each);
      return answer;
    } catch (error) {
      const found = await cache.match(pathname);
      if (found) return found;
      throw error;
    }
  })());
});
