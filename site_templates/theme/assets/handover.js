/* What every page of a guide may do beyond being read. Nothing is sent anywhere. */
(() => {
  const own = document.currentScript;
  const first = new URL(own.dataset.first, document.baseURI);

  /* The emergency pages of this guide are kept on the reader's device. */
  if ("keeps" in own.dataset && "serviceWorker" in navigator) {
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
  for (const [name, place] of Object.entries(parts)) {
    if (!document.querySelector(place)) continue;
    const script = document.createElement("script");
    script.src = new URL(`handover-${name}.js`, own.src);
    script.dataset.first = first.href;
    document.head.append(script);
  }
})();
