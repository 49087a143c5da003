// Makes live what every page does without it: nothing here is needed to do a job.
"use strict";
document.documentElement.classList.add("scripted");

// A choice that sends its form.
for (const field of document.querySelectorAll("[data-sends]")) {
  field.addEventListener("change", () => field.form.requestSubmit());
}

// A page that waits for something looks again, while nobody is typing and nothing is chosen.
for (const waiting of document.querySelectorAll("[data-again]")) {
  setTimeout(() => {
    const busy = document.activeElement && document.activeElement !== document.body && document.activeElement.matches("input, select, textarea, button, a");
    if (!busy && !document.hidden) location.reload();
  }, Number(waiting.dataset.again) * 1000);
}

// Signing out: what this telephone keeps of stickers on site is nobody's to open any more. What was scanned
// and not sent yet stays, and is sent by whoever signs in next.
for (const leaving of document.querySelectorAll("form[action='/sign-out']")) {
  leaving.addEventListener("submit", async (event) => {
    if (!("caches" in window)) return;
    event.preventDefault();
    try {
      for (const each of await caches.keys()) if (each.startsWith("on-site-")) await caches.delete(each);
    } catch { /* A browser that keeps nothing has nothing to forget. */ }
    leaving.submit();
  });
}

// Long work: how far it is, as it gets further; the whole page once it is finished.
for (const work of document.querySelectorAll("[data-work]")) {
  if (["done", "failed", "cut off"].includes(work.dataset.state)) continue;
  const events = new EventSource(work.dataset.work);
  const words = work.querySelector("[data-words]"), bar = document.querySelector("[data-bar]");
  events.addEventListener("message", (event) => {
    const told = JSON.parse(event.data);
    words.textContent = told.words.charAt(0).toUpperCase() + told.words.slice(1);
    if (bar && told.total) bar.value = Math.min(told.steps, told.total);
    if (["done", "failed", "cut off"].includes(told.state)) {
      events.close();
      location.reload();
    }
  });
}

// A file that is dropped on its field.
for (const place of document.querySelectorAll("[data-drop]")) {
  const field = place.querySelector("input[type=file]");
  place.addEventListener("dragover", (event) => event.preventDefault());
  place.addEventListener("drop", (event) => {
    event.preventDefault();
    if (event.dataTransfer.files.length) field.files = event.dataTransfer.files;
  });
}

// A text that is tried while it is written: what a check says of it, and its page beside it.
for (const form of document.querySelectorAll("[data-tries]")) {
  const told = document.querySelector("[data-tried]"), shown = document.querySelector("[data-shown]");
  let waiting = 0, asked = 0;
  const ask = async () => {
    const mine = ++asked;
    try {
      const answer = await fetch(form.dataset.tries, { method: "POST", body: new FormData(form) });
      if (!answer.ok || mine !== asked) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (mine !== asked) return;
      told.replaceChildren(...page.body.childNodes);
      const preview = told.querySelector("[data-preview]");
      if (preview && preview.dataset.preview && shown) shown.src = preview.dataset.preview;
    } catch {
      told.textContent = "The desk does not answer. What you write is kept on this page; save it when the desk is back.";
    }
  };
  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(ask, 900);
  });
}
