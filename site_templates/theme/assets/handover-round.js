/* The walk round a home: where its reader stopped stays on this device, and the device reads a stop aloud. */
(() => {
  const { say } = window.handover;
  const first = document.currentScript.dataset.first;
  const name = `handover-round ${new URL(first).pathname}`;
  const kept = (work) => { try { return work(localStorage); } catch { return null; } };

  const made = (element, text, more = {}) => Object.assign(document.createElement(element), { textContent: text }, more);

  /* Where the reader stopped. */
  const stop = document.querySelector("[data-round]");
  const on = document.querySelector("[data-round-on]");
  if (stop) kept((store) => store.setItem(name, JSON.stringify([stop.dataset.round, stop.dataset.roundName])));
  if (on) {
    const [id, title] = JSON.parse(kept((store) => store.getItem(name)) || "[]");
    const there = [...document.querySelectorAll(".round-stops a")].find((each) => each.getAttribute("href").split("/").includes(id));
    if (there) {
      on.append(made("a", say("Go on where you stopped: %(stop)s", { stop: title }), { href: there.href }));
      on.hidden = false;
    }
  }

  /* Reading aloud, one paragraph after the other. */
  const tools = document.querySelector("[data-round-tools]");
  const voice = window.speechSynthesis;
  if (!stop || !tools || !voice) return;
  const READ = say("Read this stop aloud"), END = say("Stop reading");
  const button = made("button", READ, { type: "button", className: "handover-button" });
  const says = made("span", "");
  says.setAttribute("role", "status");
  let begun = 0;

  const texts = () => [...stop.querySelectorAll("h1, h2, p:not(.stop-of), li")]
    .filter((each) => !each.closest("nav") && !each.querySelector("p"))
    .map((each) => {
      const copy = each.cloneNode(true);
      copy.querySelectorAll(".stop-number").forEach((number) => number.remove());
      return copy.textContent.replace(/\s+/g, " ").trim();
    })
    .filter(Boolean);
  const end = (message = "") => {
    begun += 1;
    voice.cancel();
    button.textContent = READ;
    says.textContent = message;
  };
  const begin = () => {
    const turn = begun += 1;
    const unable = () => { if (turn === begun) end(say("This device has no voice to read with.")); };
    const waited = setTimeout(() => { if (!voice.getVoices().length) unable(); }, 2000);
    const spoken = texts().map((text) => Object.assign(new SpeechSynthesisUtterance(text), { lang: stop.closest("[lang]").lang }));
    spoken[0].onstart = () => clearTimeout(waited);
    spoken[0].onerror = unable;
    spoken.at(-1).onend = () => { if (turn === begun) end(); };
    button.textContent = END;
    says.textContent = "";
    spoken.forEach((each) => voice.speak(each));
  };
  button.addEventListener("click", () => (button.textContent === READ ? begin() : end()));
  addEventListener("pagehide", () => voice.cancel());
  tools.append(button, says);
  tools.hidden = false;
})();
