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

  const plain = (text) => text.toLowerCase().normalize("NFD").replace(/[\u0300-\u036f'\u2019]/g, "");
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

  /* The pages that have each word, by their numbers, from lines of a word and the steps from page to page: each a
     digit in base 36, behind capital letters in base 26 for what is more. */
  function known({ pages: listed, words }) {
    const having = new Map();
    const add = (word, number) => (having.get(word) || having.set(word, []).get(word)).push(number);
    for (const line of words.split("\n")) {
      const [word, steps] = line.split(" ");
      let number = -1;
      for (const [, more, last] of steps.matchAll(/([A-Z]*)([0-9a-z])/g)) {
        const letters = [...more].reduce((sum, letter) => 26 * sum + letter.charCodeAt(0) - 65, 0);
        add(word, number += 36 * letters + parseInt(last, 36));
      }
    }
    const pages = listed.map(([address, title, summary, called, spoken], number) => {
      const page = { address, title, summary, spoken, number, heading: telling(title),
        called: called.split("|").map(telling).filter((each) => each.length) };
      for (const word of new Set([...wordsIn(title), ...wordsIn(summary), ...page.called.flat()])) add(word, number);
      return page;
    });
    return { pages, having };
  }

  const NONE = { pages: [], having: new Map() };
  let all = null;
  function fetched() {
    all = all || (onDisk ? fromDisk() : fetch(new URL("find/words.json", own)).then((answer) => answer.json()))
      .then(known).catch(() => { all = null; return NONE; });
    return all;
  }

  /* Words that tell nothing by themselves. Other languages than the first go without such a list. */
  const LITTLE = new Set(language ? [] : ("a about all am an and any are arent as at be before but by can cant could did do does doesnt"
    + " dont for from get got had has have having how i if im in into is isnt it its just me my need no not"
    + " of off on one or our out please should so some still than that the their them then there theres they this to"
    + " too until up us want was we what whats when where wheres which who whos why will with wont would you your").split(" "));
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

  /* What forms of a word have in common in the first language: leak, leaks, leaking; battery, batteries; noise, noisy. */
  const ENDS = [[/ies$/, 4], [/ing$/, 4], [/ed$/, 4], [/([sxzh])es$/, 3], [/([^s])s$/, 3], [/[ey]$/, 4]];
  function stem(word) {
    if (language) return word;
    const cut = (end) => word.replace(end, (_all, kept) => (typeof kept === "string" ? kept : ""));
    const found = ENDS.find(([end, least]) => end.test(word) && cut(end).length >= least);
    const short = found ? cut(found[0]) : word;
    return short !== word && /([bdgmnprt])\1$/.test(short) && short.length > 4 ? short.slice(0, -1) : short;
  }

  /* How well a word of a page answers one that is looked for: as it begins, by another form of it, or not. */
  function likeness(word) {
    const [all, short] = [forms(word), stem(word)];
    const near = (each) => (each.startsWith(short) && each.length - short.length < 4)
      || (each.length > 3 && all.some((form) => form.startsWith(each) && form.length - each.length < 4));
    return (each) => (all.some((form) => each.startsWith(form)) ? 1 : near(each) ? 0.8 : 0);
  }
  const best = (all, like) => all.reduce((most, each) => Math.max(most, like(each)), 0);

  /* How many letters must be put in, left out, changed or swapped with the next. */
  function apart(one, other) {
    let [before, last] = [[], [...Array(other.length + 1).keys()]];
    for (let i = 1; i <= one.length; i += 1) {
      const now = [i];
      for (let j = 1; j <= other.length; j += 1) {
        const same = one[i - 1] === other[j - 1] ? 0 : 1;
        now[j] = Math.min(last[j] + 1, now[j - 1] + 1, last[j - 1] + same);
        if (i > 1 && j > 1 && one[i - 1] === other[j - 2] && one[i - 2] === other[j - 1]) now[j] = Math.min(now[j], before[j - 2] + 1);
      }
      [before, last] = [last, now];
    }
    return last[other.length];
  }

  /* A word that no page has is read as the nearest that one has: one letter off, or two in a long word. */
  function spelt(word, vocabulary) {
    const begins = [stem(word), ...forms(word)];
    const most = word.length > 7 ? 2 : 1;
    if (word.length < 6 || vocabulary.some((each) => begins.some((form) => each.startsWith(form)))) return word;
    const near = vocabulary.filter((each) => Math.abs(each.length - word.length) <= most)
      .map((each) => [apart(word, each) + (each[0] === word[0] ? 0 : 0.5), each])
      .filter(([far]) => far <= most + 0.5).sort(([one], [other]) => one - other);
    return near.length ? near[0][1] : word;
  }

  /* A word that is looked for: how it is like another, and how well each page's text answers it. */
  function sense(word, { pages, having }) {
    const like = likeness(word);
    const inText = new Float32Array(pages.length);
    for (const [each, numbers] of having) {
      const much = like(each);
      if (much) for (const number of numbers) inText[number] = Math.max(inText[number], much);
    }
    return { like, inText };
  }

  /* What a page is called counts most, then its title, then its text. */
  function worth(page, sought) {
    let sum = 0;
    let missing = 0;
    const count = sought.length;
    for (const phrase of [page.heading, ...page.called]) {
      const found = sought.reduce((some, { like }) => some + best(phrase, like), 0);
      sum = Math.max(sum, 60 * (found / count) * Math.min(1, found / phrase.length));
    }
    for (const { like, inText } of sought) {
      const inTitle = page.heading.reduce((some, each) => some + like(each), 0);
      if (!inText[page.number]) missing += 1;
      sum += (20 * inTitle) / page.heading.length + (inTitle ? 10 : 0) + 2 * inText[page.number];
    }
    return missing === count ? 0 : sum * (1 - missing / count) ** 2;
  }

  /* Two words that some page writes as one: door bell, bed room. */
  function joined(words, having) {
    const pairs = words.map((word, index) => word + (words[index + 1] ?? " "));
    const at = pairs.findIndex((pair) => having.has(pair));
    return at < 0 ? words : [...words.slice(0, at), pairs[at], ...words.slice(at + 2)];
  }

  /* Who asks where a thing is wants the page of that thing. Who names a room with something else asks of that. */
  function fitting({ address, heading }, senses, asked) {
    if (!language && /\b(where|wheres|find|locate)\b/.test(plain(asked)) && address.startsWith("equipment/")) return 2;
    const names = senses.filter(({ like }) => best(heading, like)).length;
    return address.startsWith("rooms/") && names < senses.length ? 0.5 : 1;
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
    const { pages, having } = sought.length ? await fetched() : NONE;
    if (sought.join() !== telling(box.value).join()) return;
    const words = [...having.keys()];
    const senses = joined(sought, having).map((word) => sense(spelt(word, words), { pages, having }));
    const found = pages.map((page) => ({ page, sum: worth(page, senses) * fitting(page, senses, box.value) })).filter(({ sum }) => sum > 0)
      .sort((one, other) => other.sum - one.sum).slice(0, MOST);
    list.replaceChildren();
    for (const { page } of found) {
      const entry = element("li", "", list);
      if (page.spoken) [entry.lang, entry.dir] = [page.spoken, "auto"]; /* Shown in the first language, as nobody has translated it. */
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
