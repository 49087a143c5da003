/* Shows what is due on the reader's own day. All dates stand in the page; nothing is sent anywhere. */
(() => {
  const DAY = 24 * 60 * 60 * 1000;
  const AHEAD = 31;
  const WEEK = 7;
  const MOST = 4;
  const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August",
    "September", "October", "November", "December"];
  const LENGTHS = { day: 1, week: 7 };
  const STANDS = { closes: "Last day", opens: "From this day on", rhythm: "Due", season: "From this day on" };

  const now = new Date();
  const today = Date.UTC(now.getFullYear(), now.getMonth(), now.getDate());
  const read = (text) => Date.parse(`${text}T00:00:00Z`);
  const spoken = (time) => {
    const day = new Date(time);
    return `${day.getUTCDate()} ${MONTHS[day.getUTCMonth()]} ${day.getUTCFullYear()}`;
  };

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

  /* Days and weeks are counted from the first date; months and years stand in the page, because
     their ends are not the same every time. */
  function spans(entry) {
    if (entry.dataset.spans) {
      return entry.dataset.spans.split(" ").map((span) => span.split("/").map(read));
    }
    if (!entry.dataset.first) return [];
    const [count, unit] = entry.dataset.every.split(" ");
    const step = Number(count) * LENGTHS[unit.replace(/s$/, "")] * DAY;
    const first = read(entry.dataset.first);
    const next = first + Math.max(0, Math.ceil((today - first) / step)) * step;
    return next > read(entry.dataset.last) ? [] : [[next]];
  }

  function coming(ahead) {
    const found = [];
    for (const entry of document.querySelectorAll("[data-entry]")) {
      const next = spans(entry).find(([first, last]) => (last ?? first) >= today);
      if (next && next[0] <= today + ahead * DAY) found.push({ entry, first: next[0], last: next[1] });
    }
    return found.sort((one, other) => Math.max(one.first, today) - Math.max(other.first, today));
  }

  function when({ entry, first, last }) {
    if (last !== undefined && first <= today) return `Now, until ${spoken(last)}`;
    if (first === today) return "Today";
    return `${STANDS[entry.dataset.kind]}: ${spoken(first)}`;
  }

  function running() {
    return [...document.querySelectorAll("[data-from]")].filter(
      ({ dataset }) => read(dataset.from) <= today && !(dataset.until && read(dataset.until) < today)
    );
  }

  function fill(panel) {
    element("h2", "Now and next", panel).id = "now-and-next";
    element("p", `Today is ${spoken(today)}.`, panel);
    const answering = element("ul", "", null);
    for (const period of running()) {
      const cells = mark(period, "Today").cells;
      const item = element("li", "", answering);
      element("strong", `${cells[0].querySelector("strong").textContent}: `, item);
      item.append(cells[2].querySelector("strong").textContent);
      const call = cells[2].querySelector("a");
      if (call) item.append(", ", call.cloneNode(true));
    }
    if (answering.children.length) {
      element("h3", "Who puts it right today", panel);
      panel.append(answering);
    }
    const due = coming(AHEAD);
    element("h3", `In the next ${AHEAD} days`, panel);
    if (!due.length) element("p", "No date falls in these days.", panel);
    const list = element("ul", "", due.length ? panel : null);
    for (const each of due) {
      const item = element("li", "", list);
      element("strong", `${when(each)}. `, item);
      item.append(each.entry.textContent);
    }
    panel.hidden = false;
  }

  /* The first page says what is due this week, and whom to call on the reader's own day. */
  function fillWeek(place) {
    const due = coming(WEEK);
    const list = element("ul", "", place);
    for (const each of due.slice(0, MOST)) {
      const item = element("li", "", list);
      element("span", each.entry.textContent, item);
      element("small", when(each), item);
    }
    if (!due.length) element("li", "Nothing is due this week.", list);
    const more = document.querySelector(".handover-still li:last-child");
    if (more) list.append(more.cloneNode(true));
    for (const still of document.querySelectorAll(".handover-still")) still.hidden = true;
    const now = running();
    for (const period of document.querySelectorAll(".front-who")) period.hidden = !now.includes(period);
    place.hidden = false;
  }

  const week = document.querySelector("[data-handover-week]");
  if (week && document.querySelector("[data-entry]")) fillWeek(week);

  const panel = document.querySelector("[data-handover-now]");
  const month = document.querySelector(`[data-month="${now.getMonth() + 1}"]`);
  if (month) mark(month, "This month");
  if (panel) fill(panel);
})();
