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
  const LONGEST = { day: 1, week: 7, month: 31, year: 366 };
  const MONTHS = { month: 1, year: 12 };
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

  function partsOf(every) {
    const [count, unit] = every.split(" ");
    return [Number(count), unit.replace(/s$/, "")];
  }

  function lengthOf(every) {
    const [count, unit] = partsOf(every);
    return count * LENGTHS[unit] * DAY;
  }

  /* So many months after a day: the same day of the month, or the last one of a shorter month. */
  function monthsAfter(time, months) {
    const day = new Date(time);
    const [year, month] = [day.getUTCFullYear(), day.getUTCMonth() + months];
    return Date.UTC(year, month, Math.min(day.getUTCDate(), new Date(Date.UTC(year, month + 1, 0)).getUTCDate()));
  }

  const stepAfter = (time, count, unit) =>
    MONTHS[unit] ? monthsAfter(time, count * MONTHS[unit]) : time + count * LENGTHS[unit] * DAY;

  const monthOf = (time) => new Date(time).getUTCMonth() + 1;
  const yearOf = (time) => new Date(time).getUTCFullYear();

  /* How an entry comes back, as its page says it: what stands for no limit is no day. */
  function rule({ dataset, parentElement }) {
    const limit = (text, none) => (text ? read(text) : none);
    return {
      every: dataset.every,
      counted: read(parentElement.closest("[data-counted]").dataset.counted),
      months: (dataset.months ?? "").split(" ").filter(Boolean).map(Number),
      opens: limit(dataset.opens, -Infinity),
      closes: limit(dataset.closes, Infinity),
    };
  }

  /* The next day of a rhythm, and since when a tick counts for it: half the time from the day before. */
  function nextDay({ every, counted, months, opens, closes }) {
    const [count, unit] = partsOf(every);
    const fits = (day) => day >= opens && (!months.length || months.includes(monthOf(day)));
    let before = -Infinity;
    for (let index = Math.max(1, Math.floor((today - counted) / (count * LONGEST[unit] * DAY)) - 1); ; index += 1) {
      const day = stepAfter(counted, index * count, unit);
      if (day > closes) return null;
      if (!fits(day)) continue;
      if (day >= today) return { first: day, since: day - Math.min(lengthOf(every), day - before) / 2 };
      before = day;
    }
  }

  /* The season that runs, or the next one: whole months, cut to the days from the first to the last. */
  function nextSeason({ every, counted, months, opens, closes }) {
    const from = Math.max(counted, opens);
    const season = (year, month) => [Math.max(Date.UTC(year, month - 1, 1), from), Math.min(Date.UTC(year, month, 0), closes)];
    const seasons = (year) => months.map((month) => season(year, month)).filter(([first, last]) => first <= last);
    const begun = seasons(yearOf(from)).length ? yearOf(from) : yearOf(from) + 1;
    const [count, unit] = partsOf(every ?? "1 year");
    const years = Math.max(1, Math.ceil((count * (MONTHS[unit] ?? 1)) / MONTHS.year));
    const passed = Math.max(0, Math.floor((yearOf(today) - begun) / years));
    const next = [passed, passed + 1].flatMap((each) => seasons(begun + each * years)).find(([, last]) => last >= today);
    return next ? { first: next[0], last: next[1], since: next[0] } : null;
  }

  /* Most entries are rhythms: those say no kind. */
  const kindOf = ({ dataset }) => dataset.kind ?? "rhythm";

  /* What is done once counts as done whenever it was ticked. */
  function next(entry) {
    const { day } = entry.dataset;
    if (day) return read(day) >= today ? { first: read(day), since: 0 } : null;
    if (kindOf(entry) === "season") return nextSeason(rule(entry));
    return entry.dataset.every ? nextDay(rule(entry)) : null;
  }

  /* The next days of each entry. */
  function coming() {
    const entries = [...document.querySelectorAll("[data-counted] [data-entry]")];
    const found = entries.map((entry) => ({ entry, ...next(entry) })).filter(({ first }) => first !== undefined);
    return found.sort((one, other) => Math.max(one.first, today) - Math.max(other.first, today));
  }

  function when({ entry, first, last }) {
    if (last !== undefined && first <= today) return say("Now, until %(day)s", { day: spoken(last) });
    if (first === today) return say("Today");
    return `${STANDS[kindOf(entry)]}: ${spoken(first)}`;
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

  /* A line that can be ticked: its box, what is to be done, and when. `foreign`: what its page marks as said in
     another language. */
  function line(item, { task, what, says, since, foreign }) {
    const ticks = record() !== null && !task.startsWith("cover.");
    const holder = element(ticks ? "label" : "div", "", item);
    holder.className = "tick";
    const box = ticks ? element("input", "", holder) : null;
    const words = element("span", "", holder);
    const told = element("span", what, words);
    if (foreign) [told.lang, told.dir] = [foreign.lang, "auto"];
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
      const given = { task: entry.dataset.entry, what: entry.textContent.trim(), says: when(each), since: each.since,
        foreign: entry.querySelector("[lang]") };
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
    document.querySelector("[data-week]").hidden = false;
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
    const given = { task: tick, what: what.textContent.trim(), says: small.textContent, foreign: item.querySelector("[lang]") };
    item.replaceChildren();
    line(item, { ...given, since: today - (every ? lengthOf(every) / 2 : 60 * DAY) });
  }

  /* Of those who answer one after the other, only who does so today is shown; where nobody does, all
     are. Some of them may stand elsewhere on the page, where `beside` of the nearest holder says. */
  function showNow(first) {
    const holder = first.parentElement, beside = holder.closest("[data-beside]")?.dataset.beside;
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
