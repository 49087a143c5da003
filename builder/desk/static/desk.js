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
