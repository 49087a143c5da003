/* Keeps a whole guide on the reader's device, where they ask for it, and keeps it up to date. */
(() => {
  const { say } = window.handover;
  const first = new URL(document.currentScript.dataset.first);
  const code = first.pathname.split("/").filter(Boolean).at(-1);
  const CACHE = `whole guide ${code}`, FLAG = `handover-kept ${first.pathname}`, AT_ONCE = 6;
  const store = (work) => { try { return work(localStorage); } catch { return null; } };
  const ask = (address) => fetch(address, { cache: "no-cache", headers: { "handover-keep": "1" } })
    .then((answer) => { if (!answer.ok) throw new Error(String(answer.status)); return answer; });

  const listed = () => ask(new URL("kept.json", first)).then((answer) => answer.json());
  const spoken = (bytes) => bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1e3))} kB` : `${(bytes / 1e6).toLocaleString(document.documentElement.lang, { minimumFractionDigits: 1, maximumFractionDigits: 1 })} MB`;
  const sum = (rows) => rows.reduce((bytes, row) => bytes + row[2], 0);

  /* What was read before is kept by another name too: a newer edition stands for it in both. */
  async function put(cache, address, answer) {
    await cache.put(address, answer.clone());
    for (const name of await caches.keys()) {
      if (!name.startsWith(`guide ${code} `)) continue;
      if (await caches.match(address, { cacheName: name })) await (await caches.open(name)).put(address, answer.clone());
    }
  }

  async function keepAll(rows, progress) {
    const cache = await caches.open(CACHE);
    const wanted = new Set(rows.map(([name]) => new URL(name, first).href));
    for (const request of await cache.keys()) if (!wanted.has(request.url)) await cache.delete(request);
    let bytes = 0;
    const left = [...rows];
    const work = async () => {
      for (let row = left.shift(); row; row = left.shift()) {
        const [name, digest, size] = row;
        const address = new URL(name, first).href;
        const known = await cache.match(address);
        if (known?.headers.get("handover-digest") !== digest) {
          const answer = await ask(address);
          const headers = { "content-type": answer.headers.get("content-type") || "", "handover-digest": digest };
          const content = await answer.blob();
          if (content.size !== size) throw new Error(`${name} is not what is listed`);
          await put(cache, address, new Response(content, { headers }));
        }
        bytes += size;
        progress(bytes);
      }
    };
    await Promise.all(Array.from({ length: AT_ONCE }, work));
    store((local) => local.setItem(FLAG, JSON.stringify([sum(rows), rows.length])));
  }

  /* A newer edition is taken as soon as there is a network. */
  const kept = () => JSON.parse(store((local) => local.getItem(FLAG)) || "null");
  const place = document.querySelector("[data-keep]");
  if (!place) {
    if (kept()) listed().then((rows) => keepAll(rows, () => {})).catch(() => {});
    return;
  }

  const made = (name, text) => place.appendChild(Object.assign(document.createElement(name), { textContent: text }));
  const says = made("p", "");
  says.setAttribute("role", "status");
  const bar = made("progress", "");
  bar.setAttribute("aria-label", say("How much is kept"));
  const keep = made("button", ""), drop = made("button", say("Take it off this device"));
  for (const button of [keep, drop]) Object.assign(button, { type: "button", className: "handover-button" });
  const stands = (message, { offer = "", whole = false } = {}) => {
    says.textContent = message;
    keep.textContent = offer;
    keep.hidden = !offer;
    drop.hidden = !whole;
    bar.hidden = true;
  };

  async function run(rows) {
    const all = sum(rows);
    stands(say("Keeping it…"));
    Object.assign(bar, { max: all, value: 0, hidden: false });
    try {
      await navigator.storage?.persist?.();
      await keepAll(rows, (bytes) => { bar.value = bytes; });
      stands(say("The whole guide is kept on this device: %(files)s files, %(size)s. It opens without a network.", { files: rows.length, size: spoken(all) }), { whole: true });
    } catch {
      stands(say("Not all of it could be kept. What is there stays."), { offer: say("Try again"), whole: true });
    }
  }

  async function begin() {
    const before = kept();
    let rows;
    try { rows = await listed(); } catch {
      stands(before
        ? say("The whole guide is kept on this device: %(files)s files, %(size)s. There is no network now.", { files: before[1], size: spoken(before[0]) })
        : say("The guide cannot be fetched now. Try again with a network."), { whole: Boolean(before) });
      return;
    }
    keep.onclick = () => run(rows);
    if (before) await run(rows);
    else stands(say("The emergency pages are kept already. The whole guide takes %(size)s.", { size: spoken(sum(rows)) }), { offer: say("Keep the whole guide on this device") });
  }

  drop.onclick = async () => {
    await caches.delete(CACHE);
    store((local) => local.removeItem(FLAG));
    await begin();
    keep.focus();
  };
  stands(say("Looking how large the guide is…"));
  place.hidden = false;
  begin();
})();
