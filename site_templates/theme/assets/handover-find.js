/* Finds pages by words. The words of all pages are fetched when somebody first looks for one. */
(() => {
  const MOST = 20;
  const first = document.currentScript.dataset.first;
  const place = document.querySelector("[data-find]");

  function element(name, text, holder) {
    const made = document.createElement(name);
    if (text) made.textContent = text;
    if (holder) holder.append(made);
    return made;
  }

  const plain = (text) => text.toLowerCase().normalize("NFD").replace(/[\u0300-\u036f]/g, "");
  const wordsIn = (text) => plain(text).match(/[a-z0-9]+/g) || [];

  let pages = null;
  function fetched() {
    pages = pages || fetch(new URL("find/words.json", first))
      .then((answer) => answer.json())
      .then((all) => all.map(([address, title, summary, text]) => (
        { address, title, summary, heading: wordsIn(title), known: wordsIn(`${summary} ${text}`) })))
      .catch(() => { pages = null; return []; });
    return pages;
  }

  /* A word of a title counts more than many in a text. All words must be found somewhere. */
  function worth(page, sought) {
    let sum = 0;
    for (const word of sought) {
      const inTitle = page.heading.filter((each) => each.startsWith(word)).length;
      const inText = page.known.filter((each) => each.startsWith(word)).length;
      if (!inTitle && !inText) return 0;
      sum += 20 * inTitle / page.heading.length + 10 * Math.min(1, inTitle) + Math.min(5, inText);
    }
    return sum;
  }

  const label = element("label", "Find in this guide", place);
  const box = element("input", "", label);
  const status = element("p", "", place);
  const list = element("ol", "", place);
  box.type = "search";
  box.autocomplete = "off";
  status.setAttribute("role", "status");
  list.className = "handover-found";

  async function find() {
    const sought = wordsIn(box.value);
    const all = sought.length ? await fetched() : [];
    if (sought.join() !== wordsIn(box.value).join()) return;
    const found = all.map((page) => ({ page, sum: worth(page, sought) })).filter(({ sum }) => sum > 0)
      .sort((one, other) => other.sum - one.sum).slice(0, MOST);
    list.replaceChildren();
    for (const { page } of found) {
      const entry = element("li", "", list);
      const link = element("a", page.title, entry);
      link.href = new URL(page.address, first);
      element("span", page.summary, entry);
    }
    status.textContent = !sought.length ? "" : found.length === 1 ? "1 page" : `${found.length} pages`;
  }

  box.addEventListener("focus", fetched, { once: true });
  box.addEventListener("input", find);
  place.hidden = false;
  const asked = new URLSearchParams(location.search).get("q");
  if (asked) {
    box.value = asked;
    find();
  }
})();
