/* What every page of a guide may do beyond being read. Nothing is sent anywhere. */
(() => {
  const own = document.currentScript;
  const first = new URL(own.dataset.first, document.baseURI);

  /* The emergency pages of this guide are kept on the reader's device; one that keeps nothing any
     more clears away what it kept. */
  const works = "serviceWorker" in navigator, keeps = works && "keeps" in own.dataset;
  if (keeps || (works && "clears" in own.dataset)) {
    navigator.serviceWorker.register(new URL("worker.js", first), { scope: first.pathname });
  }

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
  for (const name of wanted) {
    const script = document.createElement("script");
    script.src = new URL(`handover-${name}.js`, own.src);
    script.dataset.first = first.href;
    script.async = false; /* They run in this order: who is written to today is known before an e-mail is filled. */
    document.head.append(script);
  }
})();
