/* Pages come from the network first, and from this device where there is none. The pages that
   matter in an emergency are kept from the first visit on; others when they are read. */
const KEPT = "guide {{ scope }} {{ edition }}";
const FILES = {{ files | tojson }};
const SHARED = new URL("../../assets/", self.registration.scope).href;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEPT).then((cache) => cache.addAll(FILES)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches.keys()
      .then((names) => names.filter((name) => name.startsWith("guide {{ scope }} ") && name !== KEPT))
      .then((names) => Promise.all(names.map((name) => caches.delete(name))))
      .then(() => self.clients.claim())
  );
});

/* A cache that another worker has deleted meanwhile is not begun again: to open it would. */
async function keep(request, answer) {
  if (await caches.has(KEPT)) await (await caches.open(KEPT)).put(request, answer);
}

/* In place of a page that is not kept: the way to the emergency page, in the language of that page. Its
   links and drawings stand where they are from its own address alone. */
async function instead(address) {
  const scope = self.registration.scope;
  const language = address.slice(scope.length).split("/")[0];
  for (const page of [`${language}/{{ emergency }}`, "{{ emergency }}"]) {
    const place = new URL(page, scope).href;
    if (await caches.match(place)) return Response.redirect(place);
  }
  return Response.error();
}

self.addEventListener("fetch", (event) => {
  const ours = [self.registration.scope, SHARED].some((start) => event.request.url.startsWith(start));
  /* Who keeps the whole guide asks for its files by themselves, and keeps them apart from these. */
  if (event.request.method !== "GET" || !ours || event.request.headers.has("handover-keep")) return;
  event.respondWith(
    fetch(event.request)
      .then((answer) => {
        const copy = answer.clone();
        if (answer.ok) event.waitUntil(keep(event.request, copy));
        return answer;
      })
      .catch(() => caches.match(event.request, { ignoreSearch: true, cacheName: KEPT })
        .then((kept) => kept || caches.match(event.request, { ignoreSearch: true }))
        .then((kept) => kept || (event.request.mode === "navigate" ? instead(event.request.url) : Response.error())))
  );
});
