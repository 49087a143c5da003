/* The owner's record of care. It is kept on this device alone: nothing here sends anything. */
(() => {
  const KIND = "handover-care-record";
  const VERSION = 1;
  const LARGEST = 1000000;
  const { say, spoken } = window.handover;
  const place = new URL(document.currentScript.dataset.first).pathname;
  const key = `${KIND} ${place}`;
  const asideKey = `${key} set aside`;
  const record = document.querySelector("[data-care-record]");
  const tools = document.querySelector("[data-care-tools]");
  const status = document.querySelector("[data-care-status]");
  const tasks = document.querySelectorAll(".handover-care [data-task]");
  if (!record || !tools || !status || !tasks.length) return;

  /* For each task, where its last day is shown. */
  const lasts = new Map();

  /* What is done. A browser may refuse to keep anything: then it lives as long as the page. */
  let inMemory = [];
  let refused = false;

  function load() {
    if (refused) return inMemory;
    let text = null;
    try {
      text = window.localStorage.getItem(key);
      return text === null ? [] : checked(JSON.parse(text));
    } catch (error) {
      if (error instanceof Refusal || error instanceof SyntaxError) {
        setAside(text);
        return [];
      }
      refused = true;
      return inMemory;
    }
  }

  /* What cannot be read is not lost: it is put under a key of its own before anything is kept. */
  function setAside(text) {
    try {
      window.localStorage.setItem(asideKey, text);
      window.localStorage.removeItem(key);
    } catch {
      refused = true;
    }
    tell(say("What this device kept cannot be read. It is set aside."));
  }

  function keep(done) {
    inMemory = done;
    try {
      if (done.length) window.localStorage.setItem(key, JSON.stringify(file(done)));
      else window.localStorage.removeItem(key);
      refused = false;
      return true;
    } catch {
      refused = true;
      return false;
    }
  }

  const file = (done) => ({ kind: KIND, version: VERSION, home: record.dataset.careHome, done });

  class Refusal extends Error {}

  /* The entries of a file, or a Refusal that says what is wrong with it. */
  function checked(given) {
    if (given === null || typeof given !== "object" || given.kind !== KIND) {
      throw new Refusal(say("This file is not a care record."));
    }
    if (given.version !== VERSION) {
      throw new Refusal(say("This care record is of another version, and this page cannot read it."));
    }
    if (!Array.isArray(given.done)) throw new Refusal(say("This care record holds no list."));
    return given.done.map((each, index) => {
      const right = each !== null && typeof each === "object" && isText(each.task, 200) && each.task &&
        isText(each.what, 1000) && isText(each.note ?? "", 1000) && isDay(each.day);
      if (!right) throw new Refusal(say("Line %(number)s of this care record cannot be read.", { number: index + 1 }));
      return { task: each.task, what: each.what, day: each.day, note: each.note ?? "" };
    });
  }

  const isText = (value, longest) => typeof value === "string" && value.length <= longest;

  function isDay(value) {
    if (typeof value !== "string" || !/^\d{4}-\d{2}-\d{2}$/.test(value)) return false;
    const day = new Date(`${value}T00:00:00Z`);
    return !Number.isNaN(day.getTime()) && day.toISOString().slice(0, 10) === value;
  }

  const sameAs = (one) => (other) =>
    one.task === other.task && one.day === other.day && one.note === other.note;

  /* Everything that either list holds, once. */
  function merged(first, second) {
    const all = [...first];
    for (const each of second) if (!all.some(sameAs(each))) all.push(each);
    return all.sort((one, other) => (one.day < other.day ? -1 : one.day > other.day ? 1 : 0));
  }

  function todayText() {
    const now = new Date();
    const two = (number) => String(number).padStart(2, "0");
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  }

  function tell(text) {
    status.textContent = text;
  }

  function sayKept(text, kept) {
    tell(kept ? text : `${text} ${say("This browser keeps nothing for this page: save it as a file before you close it.")}`);
  }

  function element(name, given, holder) {
    const made = document.createElement(name);
    Object.assign(made, given);
    if (holder) holder.append(made);
    return made;
  }

  function button(text, holder, act) {
    const made = element("button", { type: "button", textContent: text, className: "handover-button" }, holder);
    made.addEventListener("click", act);
    return made;
  }

  /* The record as a table, the newest day last. */
  function show() {
    const done = load();
    for (const [task, last] of lasts) {
      const days = done.filter((each) => each.task === task).map((each) => each.day);
      const day = days.length && spoken(`${days[days.length - 1]}T00:00:00Z`);
      last.textContent = day ? say("Last done on %(day)s.", { day }) : "";
    }
    record.replaceChildren();
    record.hidden = false;
    element("h2", { textContent: say("What you have done") }, record);
    element("p", { textContent: record.dataset.careHome }, record);
    if (!done.length) {
      element("p", { textContent: say("Nothing is ticked yet.") }, record);
      return;
    }
    const table = element("table", { className: "handover-record" }, record);
    const head = element("tr", {}, element("thead", {}, table));
    for (const name of [say("Day"), say("What"), say("Note")]) element("th", { scope: "col", textContent: name }, head);
    const body = element("tbody", {}, table);
    for (const each of done) row(each, body);
  }

  function row(each, body) {
    const line = element("tr", {}, body);
    element("time", { dateTime: each.day, textContent: spoken(`${each.day}T00:00:00Z`) }, element("td", {}, line));
    element("td", { textContent: each.what }, line);
    const last = element("td", {}, line);
    element("span", { textContent: each.note ? `${each.note} ` : "" }, last);
    const away = button(say("Take out"), last, () => {
      const kept = keep(load().filter((other) => !sameAs(each)(other)));
      show();
      sayKept(say("Taken out: %(what)s", each), kept);
      status.focus();
    });
    away.setAttribute("aria-label", say("Take out: %(what)s, %(day)s", { what: each.what, day: spoken(`${each.day}T00:00:00Z`) }));
  }

  function tick(task, day, note) {
    const what = task.textContent.trim();
    const kept = keep(merged(load(), [{ task: task.dataset.task, what, day, note }]));
    show();
    sayKept(say("Ticked: %(what)s %(day)s.", { what, day: spoken(`${day}T00:00:00Z`) }), kept);
  }

  /* Under each task: one touch for today, and a form for another day or a note. */
  function offer(task, index) {
    const item = task.closest("li");
    const what = task.textContent.trim();
    task.id = `care-task-${index}`;
    const holder = element("div", { className: "handover-tick" }, item);
    button(say("Done today"), holder, () => tick(task, todayText(), "")).setAttribute("aria-describedby", task.id);
    lasts.set(task.dataset.task, element("span", {}, holder));
    const more = element("details", {}, holder);
    const summary = element("summary", { textContent: say("Another day, or a note") }, more);
    summary.setAttribute("aria-describedby", task.id);
    const form = element("form", {}, more);
    const day = field(form, say("Day it was done"), { type: "date", required: true, value: todayText(), max: todayText() });
    const note = field(form, say("Note, such as who did it"), { type: "text", maxLength: 200, autocomplete: "off" });
    element("button", { type: "submit", textContent: say("Tick"), className: "handover-button" }, form)
      .setAttribute("aria-label", say("Tick: %(what)s", { what }));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      if (!isDay(day.value)) return tell(say("Give the day as a date."));
      tick(task, day.value, note.value.trim());
      note.value = "";
      more.open = false;
      summary.focus();
    });
  }

  function field(form, text, given) {
    const label = element("label", { textContent: `${text} ` }, form);
    return element("input", given, label);
  }

  function save() {
    const blob = new Blob([JSON.stringify(file(load()), null, 2)], { type: "application/json" });
    const link = element("a", { href: URL.createObjectURL(blob), download: `care-record-${todayText()}.json` });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    tell(say("The care record is saved as a file on this device."));
  }

  async function open(input) {
    const [chosen] = input.files;
    if (!chosen) return;
    try {
      if (chosen.size > LARGEST) throw new Refusal(say("This file is too large to be a care record."));
      const given = checked(JSON.parse(await chosen.text()));
      const before = load();
      const all = merged(before, given);
      const kept = keep(all);
      show();
      const added = all.length - before.length;
      sayKept(say("%(added)s added, %(known)s here already.", { added, known: given.length - added }), kept);
    } catch (error) {
      tell(error instanceof Refusal ? error.message : say("This file is not a care record."));
    }
    input.value = "";
  }

  function forget() {
    if (!window.confirm(say("Forget everything that is ticked on this device? This cannot be undone."))) return;
    const kept = keep([]);
    if (kept) window.localStorage.removeItem(asideKey);
    show();
    sayKept(say("Everything on this device is forgotten."), kept);
  }

  function offerTools() {
    button(say("Print the service record"), tools, () => window.print());
    button(say("Save as a file"), tools, save);
    const label = element("label", { textContent: `${say("Open a saved file")} `, className: "handover-file" }, tools);
    const input = element("input", { type: "file", accept: ".json,application/json" }, label);
    input.addEventListener("change", () => open(input));
    button(say("Forget everything on this device"), tools, forget);
    tools.hidden = false;
  }

  document.querySelector("[data-care-without]")?.remove();
  document.documentElement.classList.add("handover-care-on");
  status.tabIndex = -1;
  offerTools();
  tasks.forEach(offer);
  show();
  if (refused) sayKept(say("You can tick, print and save."), false);
  window.addEventListener("storage", (event) => {
    if (event.key === key || event.key === null) show();
  });
})();
