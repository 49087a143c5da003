/* Finds pages by words. The words of all pages are fetched when somebody first looks for one. */
(() => {
  const { say, said } = window.handover;
  const MOST = 20;
  const { first, language } = document.currentScript.dataset;
  const own = new URL(language || "", first); /* Of the pages in the reader's language. */
  const place = document.querySelector("[data-find]");

  function element(name, text, holder) {
    const made = document.createElement(name);
    if (text) made.textContent = text;
    if (holder) holder.append(made);
    return made;
  }

  const plain = (text) => text.toLowerCase().normalize("NFD").replace(/[\u0300-\u036f]/g, "");
  const wordsIn = (text) => plain(text).match(/[a-z0-9\u0370-\u1fff\u2c00-\ud7ff\uf900-\uffef]+/g) || [];

  /* A copy that is opened from a disk has the words as a script: browsers fetch no file there. */
  const onDisk = location.protocol === "file:";
  const fromDisk = () => new Promise((done, fail) => {
    const script = document.createElement("script");
    script.src = new URL("find/words.js", own);
    script.onload = () => done(window.handoverWords);
    script.onerror = fail;
    document.head.append(script);
  });

  /* The words of each page, from lines of a word and the steps from page to page that have it: each a digit in
     base 36, behind capital letters in base 26 for what is more. */
  function known({ pages: listed, words }) {
    const each = listed.map(() => new Set());
    for (const line of words.split("\n")) {
      const [word, steps] = line.split(" ");
      let number = 0;
      for (const [, more, last] of steps.matchAll(/([A-Z]*)([0-9a-z])/g)) {
        const letters = [...more].reduce((sum, letter) => 26 * sum + letter.charCodeAt(0) - 65, 0);
        number += 36 * letters + parseInt(last, 36);
        each[number - 1].add(word);
      }
    }
    return each;
  }

  let pages = null;
  function fetched() {
    pages = pages || (onDisk ? fromDisk() : fetch(new URL("find/words.json", own)).then((answer) => answer.json()))
      .then((all) => known(all).map((words, number) => [...all.pages[number], words]))
      .then((all) => all.map(([address, title, summary, called, words]) => ({
        address, title, summary, heading: wordsIn(title),
        known: [...new Set([...words, ...wordsIn(summary)])],
        called: called.split("|").map(telling).filter((each) => each.length) })))
      .catch(() => { pages = null; return []; });
    return pages;
  }

  /* Words that tell nothing by themselves. Other languages than the first go without such a list. */
  const LITTLE = new Set(language ? [] : ("a all an and are as at be before but by can do does for from has have how if in into is it its"
    + " my no not of off on one or out so than that the their then there they this to too until up"
    + " was what when where which who will with you your i me").split(" "));
  /* The words that tell something, or all of them where none does. */
  function telling(text) {
    const all = wordsIn(text);
    const some = all.filter((word) => !LITTLE.has(word) && word.length > 1);
    return some.length ? some : all;
  }

  /* A word as it stands, and as it begins where another word changes its first letters: Welsh "dŵr", "ddŵr". */
  const { alike } = said();
  function forms(word) {
    const others = alike.filter((beginnings) => beginnings.some((each) => begun(word, each)))
      .flatMap((beginnings) => { const one = beginnings.filter((each) => begun(word, each)).sort((a, b) => b.length - a.length)[0];
        return beginnings.map((each) => each + word.slice(one.length)); });
    return [...new Set([word, ...others])];
  }
  const begun = (word, letters) => word.startsWith(letters) && word.length > letters.length + 1;

  const begins = (word) => {
    const all = forms(word);
    return (each) => all.some((form) => each.startsWith(form) || (each.length > 3 && form.startsWith(each)));
  };

  /* What a page is called counts most, then its title, then its text. */
  function worth(page, sought) {
    let sum = 0;
    let missing = 0;
    const all = sought.length;
    for (const phrase of [page.heading, ...page.called]) {
      const found = sought.filter((word) => phrase.some(begins(word))).length;
      sum = Math.max(sum, 60 * (found / all) * Math.min(1, found / phrase.length));
    }
    for (const word of sought) {
      const inTitle = page.heading.filter(begins(word)).length;
      const inCalled = page.called.some((phrase) => phrase.some(begins(word)));
      const inText = forms(word).some((form) => page.known.some((each) => each.startsWith(form)));
      if (!inTitle && !inCalled && !inText) missing += 1;
      sum += (20 * inTitle) / page.heading.length + (inTitle ? 10 : 0) + (inText ? 2 : 0);
    }
    return missing === all ? 0 : sum * (1 - missing / all) ** 2;
  }

  const label = element("label", say("Find in this guide"), place);
  const box = element("input", "", label);
  const status = element("p", "", place);
  const list = element("ol", "", place);
  box.type = "search";
  box.autocomplete = "off";
  status.setAttribute("role", "status");
  list.className = "handover-found";

  async function find() {
    const sought = telling(box.value);
    const all = sought.length ? await fetched() : [];
    if (sought.join() !== telling(box.value).join()) return;
    const found = all.map((page) => ({ page, sum: worth(page, sought) })).filter(({ sum }) => sum > 0)
      .sort((one, other) => other.sum - one.sum).slice(0, MOST);
    list.replaceChildren();
    for (const { page } of found) {
      const entry = element("li", "", list);
      const link = element("a", page.title, entry);
      link.href = new URL(page.address + (onDisk ? "index.html" : ""), first);
      element("span", page.summary, entry);
    }
    status.textContent = !sought.length ? "" : found.length === 1 ? say("1 page") : say("%(count)s pages", { count: found.length });
  }

  box.addEventListener("focus", fetched, { once: true });
  box.addEventListener("input", find);
  place.hidden = false;
  if (location.hash === `#${place.id}`) box.focus();
  const asked = new URLSearchParams(location.search).get("q");
  if (asked) {
    box.value = asked;
    find();
  }
})();
