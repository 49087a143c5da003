/* Reports of faults: what is wrong and what was tried go along. Nothing is sent anywhere. */
(() => {
  const NAME = `handover-tried ${new URL(document.currentScript.dataset.first).pathname}`;
  const kept = (work) => { try { return work(sessionStorage); } catch { return null; } };

  /* A page of what is wrong takes along what it said to do. */
  for (const link of document.querySelectorAll("a[data-report]")) {
    link.addEventListener("click", () => {
      const steps = [...link.closest(".way").querySelectorAll("ol > li")].map((each) => each.textContent.trim());
      kept((store) => store.setItem(NAME, JSON.stringify([document.querySelector("h1").textContent, steps])));
    });
  }

  const place = document.querySelector("[data-report-page]");
  if (!place) return;
  const [wrong, steps] = JSON.parse(kept((store) => store.getItem(NAME)) || "[]");
  if (!wrong) return;
  kept((store) => store.removeItem(NAME));
  const coded = (lines) => encodeURIComponent(lines.join("\r\n"));
  for (const link of document.querySelectorAll(".report-mail a")) {
    const tried = steps.map((each) => `- ${each}`);
    const filled = link.getAttribute("href")
      .replace(coded(["What is wrong:"]), coded([`What is wrong: ${wrong}`]))
      .replace(coded(["What I tried:"]), coded(["What I tried:", ...tried]));
    if (filled.length <= 1900) link.setAttribute("href", filled);
  }
  place.textContent = `Your e-mail will say: ${wrong}${steps.length ? ", and what you tried" : ""}.`;
  place.hidden = false;
})();
