/* Reports of faults: what is wrong and what was tried go along. Nothing is sent anywhere. */
(() => {
  const { say } = window.handover;
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
  const heading = coded([`${say("What is wrong:")} ${wrong}`]);
  const tried = coded([say("What I tried:"), ...steps.map((each) => `- ${each}`)]);

  /* How much of it an e-mail says now: what is wrong and what was tried, the first alone, or nothing. */
  function fill(link) {
    const before = link.getAttribute("href");
    const short = before.replace(coded([say("What is wrong:")]), heading);
    const whole = short.replace(coded([say("What I tried:")]), tried);
    const filled = [whole, short].find((each) => each.length <= 1900);
    if (!filled || short === before) return 0;
    link.setAttribute("href", filled);
    return filled === short ? 1 : 2;
  }

  const said = [...document.querySelectorAll(".report-mail:not([hidden]) a")].map(fill);
  const most = Math.max(0, ...said);
  if (!most) return;
  const everywhere = said.every((each) => each === most);
  const willSay = most === 2 ? say("Your e-mail will say: %(wrong)s, and what you tried.", { wrong })
    : say("Your e-mail will say: %(wrong)s.", { wrong });
  place.textContent = everywhere ? willSay : `${willSay} ${say("Where there is no room for it, write it yourself.")}`;
  place.hidden = false;
})();
