/* What every page of a guide may do beyond being read. Nothing is sent anywhere. */
(() => {
  const own = document.currentScript;
  const first = new URL(own.dataset.first, document.baseURI);

  /* What scripts say, in the language of the page: its words come before them, of the first language none.
     Values stand in a sentence as %(name)s. */
  const said = () => window.handoverSaid || { words: {}, months: ["January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December"], alike: [] };
  const say = (text, values = {}) => (said().words[text] || text).replace(/%\((\w+)\)s/g, (_, name) => values[name]);
  /* A day in words, by its moment. */
  const spoken = (time) => {
    const day = new Date(time);
    return `${day.getUTCDate()} ${said().months[day.getUTCMonth()]} ${day.getUTCFullYear()}`;
  };
  /* Whose home it is, which the guide's own script tells: the same pages stand in the guides of homes that
     are alike. */
  const belongsTo = (home) => {
    document.querySelector("body > header > a").textContent = home;
    document.title = `${document.title.slice(0, document.title.lastIndexOf(" – "))} – ${home}`;
  };
  window.handover = { said, say, spoken, belongsTo };

  /* The emergency pages of this guide are kept on the reader's device; one that keeps nothing any
     more clears away what it kept. */
  const works = "serviceWorker" in navigator, keeps = works && "keeps" in own.dataset;
  if (keeps || (works && "clears" in own.dataset)) {
    navigator.serviceWorker.register(new URL("worker.js", first), { scope: first.pathname });
  }

  /* A reader who has chosen a language of this guide gets its pages in that one, until they choose another. */
  const chosen = `handover-language ${first.pathname}`;
  try {
    const code = localStorage.getItem(chosen);
    const links = [...document.querySelectorAll(".languages a[hreflang]")];
    const link = links.find((each) => each.hreflang === code);
    if (link) location.replace(link.href + location.hash);
    for (const each of links) each.addEventListener("click", () => localStorage.setItem(chosen, each.hreflang));
  } catch { /* Nothing is kept. */ }

  /* What only some pages need is fetched by those. */
  const parts = {
    find: "[data-find]",
    dates: "[data-month], [data-handover-week], [data-now], [data-tick]",
    care: "[data-care-record]",
    round: "[data-round], [data-round-on]",
    report: "[data-report], [data-report-page]",
  };
  const wanted = new Set(Object.keys(parts).filter((name) => document.querySelector(parts[name])));
  /* Who keeps the whole guide gets its newer editions on every page. */
  if (keeps) {
    try { if (document.querySelector("[data-keep]") || localStorage.getItem(`handover-kept ${first.pathname}`)) wanted.add("keep"); } catch { /* Nothing is kept. */ }
  }
  const addresses = [...wanted].map((name) => new URL(`handover-${name}.js`, own.src));
  if (own.dataset.language && wanted.size) addresses.unshift(new URL(`${own.dataset.language}spoken.js`, first));
  const run = (address, inOrder) => {
    const script = document.createElement("script");
    script.src = address;
    script.dataset.first = first.href;
    if (own.dataset.language) script.dataset.language = own.dataset.language;
    script.async = !inOrder;
    document.head.append(script);
  };
  run(new URL("home.js", first), false);
  for (const address of addresses) run(address, true); /* Who is written to today is known before an e-mail is filled. */
})();
