/* Shows what is due on the reader's own day, and keeps what is ticked on this device. All dates stand in
   the page; nothing is sent anywhere. */
(() => {
  const DAY = 24 * 60 * 60 * 1000;
  const WEEK = 7;
  const MONTH = 31;
  const SEASON = 92;
  const MOST = 4;
  const OPEN = 6;
  const { say, spoken } = window.handover;
  const LENGTHS = { day: 1, week: 7, month: 30, year: 365 };
  const STANDS = { closes: say("Last day"), opens: say("From this day on"), rhythm: say("Due"), season: say("From this day on") };
  const KIND = "handover-care-record";
  const key = `${KIND} ${new URL(document.currentScript.dataset.first).pathname}`;

  const now = new Date();
  const today = Date.UTC(now.getFullYear(), now.getMonth(), now.getDate());
  const read = (text) => Date.parse(`${text}T00:00:00Z`);
  const written = (time) => new Date(time).toISOString().slice(0, 10);

  function element(name, text, holder) {
    const made = document.createElement(name);
    if (text) made.textContent = text;
    if (holder) holder.append(made);
    return made;
  }

  function mark(holder, word) {
    const row = holder.closest("tr");
    row.classList.add("handover-today");
    holder.prepend(element("strong", `${word}: `));
    return row;
  }

  const lengthOf = (every) => {
    const [count, unit] = every.split(" ");
    return Number(count) * LENGTHS[unit.replace(/s$/, "")] * DAY;
  };

  /* The first day stands there whole; each next one is so many days later. Behind a stroke stand the days
     through which one lasts. */
  function spansIn(text) {
    let day = 0;
    return text.split(" ").map((span, index) => {
      const [start, days] = span.split("/");
      day = index ? day + Number(start) * DAY : read(start);
      return days ? [day, day + Number(days) * DAY] : [day];
    });
  }

  /* Days and weeks are counted from the first date; months and years stand in the page, because
     their ends are not the same every time. */
  function spans(entry) {
    if (entry.dataset.spans) return spansIn(entry.dataset.spans);
    if (!entry.dataset.first) return [];
    const step = lengthOf(entry.dataset.every);
    const first = read(entry.dataset.first);
    const next = first + Math.max(0, Math.ceil((today - first) / step)) * step;
    return next > read(entry.dataset.last) ? [] : [[next]];
  }

  /* The next days of each entry, and since when a tick counts for them: of what comes back, from half
     the time since the days before; of a season, from its first day; of what is done once, always. */
  function coming() {
    const found = [];
    for (const entry of document.querySelectorAll("[data-entry]")) {
      const all = spans(entry);
      const index = all.findIndex(([first, last]) => (last ?? first) >= today);
      if (index < 0) continue;
      const [first, last] = all[index];
      const gap = index ? first - all[index - 1][0] : entry.dataset.every ? lengthOf(entry.dataset.every) : first;
      const since = last === undefined ? first - gap / 2 : first;
      found.push({ entry, first, last, since });
    }
    return found.sort((one, other) => Math.max(one.first, today) - Math.max(other.first, today));
  }

  function when({ entry, first, last }) {
    if (last !== undefined && first <= today) return say("Now, until %(day)s", { day: spoken(last) });
    if (first === today) return say("Today");
    return `${STANDS[entry.dataset.kind]}: ${spoken(first)}`;
  }

  /* What is ticked stands in the same record as on the page of it. One that cannot be read is left as
     it is, and then nothing can be ticked here. */
  function record() {
    try {
      const text = window.localStorage.getItem(key);
      if (text === null) return [];
      const kept = JSON.parse(text);
      return kept.kind === KIND && kept.version === 1 && Array.isArray(kept.done) ? kept.done : null;
    } catch {
      return null;
    }
  }

  function keep(done) {
    const home = document.title.split(" – ").pop();
    try {
      if (done.length) window.localStorage.setItem(key, JSON.stringify({ kind: KIND, version: 1, home, done }));
      else window.localStorage.removeItem(key);
      return true;
    } catch {
      return false;
    }
  }

  /* The last day from a time on, on which a task was done. */
  function lastDone(task, since) {
    const days = (record() ?? []).filter((each) => each.task === task && read(each.day) >= since);
    return days.map((each) => each.day).sort().pop();
  }

  /* A line that can be ticked: its box, what is to be done, and when. */
  function line(item, { task, what, says, since }) {
    const ticks = record() !== null && !task.startsWith("cover.");
    const holder = element(ticks ? "label" : "div", "", item);
    holder.className = "tick";
    const box = ticks ? element("input", "", holder) : null;
    const words = element("span", "", holder);
    element("span", what, words);
    const small = element("small", says, words);
    if (!box) return;
    box.type = "checkbox";
    /* What is ticked before its time counts on that day alone: it is due again when its time comes. */
    const from = Math.min(since, today);
    const show = () => {
      const day = lastDone(task, -Infinity);
      box.checked = day !== undefined && read(day) >= from;
      item.classList.toggle("done", box.checked);
      small.textContent = box.checked ? say("Done on %(day)s", { day: spoken(read(day)) }) : says;
      const before = day && say("Last done on %(day)s", { day: spoken(read(day)) });
      if (before && !box.checked) small.textContent = `${says}. ${before}`;
    };
    box.addEventListener("change", () => {
      const others = record().filter((each) => each.task !== task || read(each.day) < from);
      const kept = keep(box.checked ? [...others, { task, what, day: written(today), note: "" }] : others);
      show();
      if (!kept) small.textContent = say("This browser keeps nothing for this page.");
    });
    window.addEventListener("storage", show);
    show();
  }

  function fillList(list, due) {
    for (const each of due) {
      const { entry } = each;
      const given = { task: entry.dataset.entry, what: entry.textContent.trim(), says: when(each), since: each.since };
      line(element("li", "", list), given);
    }
  }

  function listed(due, holder) {
    const list = element("ul", "", holder);
    list.className = "ticks";
    fillList(list, due);
    return list;
  }

  function folded(title, due, holder) {
    const fold = element("details", "", holder);
    fold.className = "fold";
    element("summary", `${title} (${due.length})`, fold);
    listed(due, fold);
  }

  const running = (periods) =>
    periods.filter(({ dataset }) => read(dataset.from) <= today && !(dataset.until && read(dataset.until) < today));

  function fillWho(panel) {
    const answering = element("ul", "", null);
    for (const period of running([...document.querySelectorAll("tr [data-from]")])) {
      const cells = mark(period, say("Today")).cells;
      const item = element("li", "", answering);
      element("strong", `${cells[0].querySelector("strong").textContent}: `, item);
      item.append(cells[2].querySelector("strong").textContent);
      const call = cells[2].querySelector("a");
      if (call) item.append(", ", call.cloneNode(true));
    }
    if (!answering.children.length) return;
    const fold = element("details", "", panel);
    fold.className = "fold";
    element("summary", say("Who puts it right today"), fold);
    fold.append(answering);
  }

  function fill(panel) {
    element("h2", say("Now and next"), panel).id = "now-and-next";
    element("p", say("Today is %(day)s.", { day: spoken(today) }), panel);
    const due = coming();
    const within = (from, days) =>
      due.filter(({ first }) => Math.max(first, today) >= today + from * DAY && Math.max(first, today) < today + days * DAY);
    const week = within(0, WEEK);
    element("h3", say("This week"), panel);
    if (week.length) listed(week.slice(0, OPEN), panel);
    else element("p", say("Nothing is due this week."), panel);
    const groups = [[say("More this week"), week.slice(OPEN)], [say("This month"), within(WEEK, MONTH)],
      [say("This season"), within(MONTH, SEASON)], [say("Later"), within(SEASON, Infinity)]];
    for (const [title, each] of groups) if (each.length) folded(title, each, panel);
    fillWho(panel);
    panel.hidden = false;
  }

  /* The first page says what is due this week. */
  function fillWeek(place) {
    const due = coming().filter(({ first }) => first < today + WEEK * DAY);
    const list = listed(due.slice(0, MOST), place);
    if (!due.length) element("li", say("Nothing is due this week."), list);
    const more = document.querySelector(".handover-still li:last-child");
    if (more) list.append(more.cloneNode(true));
    for (const still of document.querySelectorAll(".handover-still")) still.hidden = true;
    place.hidden = false;
  }

  /* What is done of a thing stands on its page without days: a tick counts for half of its time. */
  function offer(item) {
    const [what, small] = item.children;
    const { tick, every } = item.dataset;
    const given = { task: tick, what: what.textContent.trim(), says: small.textContent };
    item.replaceChildren();
    line(item, { ...given, since: today - (every ? lengthOf(every) / 2 : 60 * DAY) });
  }

  /* Of those who answer one after the other, only who does so today is shown; where nobody does, all
     are. Some of them may stand elsewhere on the page, where `beside` of the holder says. */
  function showNow(first) {
    const holder = first.parentElement, { beside } = holder.dataset;
    const periods = [...holder.children].filter((each) => "now" in each.dataset && each.dataset.from);
    const others = beside ? [...document.querySelectorAll(beside)].filter((each) => each.dataset.from) : [];
    const today = running([...periods, ...others]);
    if (today.length) for (const each of periods) each.hidden = !today.includes(each);
  }

  for (const first of document.querySelectorAll("[data-now]")) showNow(first);
  /* What was for a time alone is not shown after it. */
  for (const each of document.querySelectorAll("[data-over]")) each.hidden = read(each.dataset.over) < today;
  const settled = document.querySelector("[data-settled]")?.dataset.settled;
  if (settled && read(settled) < today) for (const each of document.querySelectorAll(".front-first")) each.hidden = true;
  for (const item of document.querySelectorAll("li[data-tick]")) offer(item);
  const week = document.querySelector("[data-handover-week]");
  if (week && document.querySelector("[data-entry]")) fillWeek(week);
  const panel = document.querySelector("[data-handover-now]");
  const month = document.querySelector(`[data-month="${now.getMonth() + 1}"]`);
  if (month) mark(month, say("This month"));
  if (panel) fill(panel);
})();
