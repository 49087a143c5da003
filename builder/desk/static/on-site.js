// Stickers on site, on a telephone: scans by camera, judges without signal, and sends later.
// Without this script each sticker is checked by a form: nothing here is needed to do the job.
"use strict";
(() => {
  const room = document.querySelector(".on-site[data-plot]");
  if (!room) return;
  const plot = room.dataset.plot, kept = `on-site ${plot}`;
  const places = () => [...room.querySelectorAll("[data-place]")];
  const verdict = room.querySelector("[data-verdict]"), signal = room.querySelector("[data-signal]");
  const scanning = room.querySelector("[data-scan]");

  // The alphabet of codes, as the register reads them: Crockford's base 32, O is 0, I and L are 1.
  const normal = (text) => {
    const address = text.trim().match(/\/q\/([0-9a-z]+)\/?(?:[?#].*)?$/i);
    return (address ? address[1] : text).toUpperCase().replace(/[-\s]/g, "").replace(/O/g, "0").replace(/[IL]/g, "1");
  };
  const letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
  const sound = (code) => {
    if (code.length !== 14 || [...code].some((each) => !letters.includes(each))) return false;
    let rest = 0;
    for (const each of code.slice(0, -1)) rest = (rest * 32 + letters.indexOf(each)) % 37;
    return rest === letters.indexOf(code[13]);
  };

  const ticks = () => {
    try { return JSON.parse(localStorage.getItem(kept) || "[]"); } catch { return []; }
  };
  const keep = (list) => {
    try { localStorage.setItem(kept, JSON.stringify(list)); return true; } catch { return false; }
  };

  const show = (sort, word, says) => {
    const box = document.createElement("div"), head = document.createElement("p"), text = document.createElement("p");
    const sign = document.createElement("span");
    box.className = `verdict ${sort}`;
    head.className = "word";
    sign.setAttribute("aria-hidden", "true");
    sign.textContent = { right: "✓", wrong: "✕", unread: "?" }[sort];
    head.append(sign, ` ${word}`);
    text.textContent = says;
    box.append(head, text);
    verdict.replaceChildren(box);
    box.scrollIntoView({ block: "nearest" });
    if (navigator.vibrate) navigator.vibrate(sort === "right" ? 60 : [300, 120, 300]);
  };

  const ticked = (place, words) => {
    place.dataset.found = "";
    const state = document.createElement("span");
    state.className = "ready";
    state.textContent = `✓ ${words}`;
    place.querySelector("[data-state]").replaceChildren(state);
    place.querySelector("[data-choose]")?.remove();
  };

  const following = (chosen) => {
    const left = places().filter((each) => !("found" in each.dataset));
    const now = left.find((each) => each.dataset.place === chosen) || left[0];
    room.querySelector("[data-left]").textContent = left.length;
    if (!scanning) return;
    const section = scanning.closest("section");
    section.hidden = !left.length;
    if (!left.length) return;
    scanning.elements.place.value = now.dataset.place;
    room.querySelector("[data-now-title]").textContent = now.dataset.title;
    room.querySelector("[data-now-where]").textContent = now.dataset.where;
    scanning.elements.code.value = "";
  };

  const tell = () => {
    const waiting = ticks().length;
    signal.hidden = !waiting;
    signal.textContent = waiting ? `${waiting} scanned and kept on this telephone. They are sent when there is signal.` : "";
  };

  let sending = false;
  const send = async () => {
    const list = ticks();
    if (!list.length || sending) return;
    sending = true;
    const sent = new FormData();
    for (const each of list) sent.append("tick", `${each.place} ${each.code} ${each.day}`);
    try {
      const answer = await fetch(`/on-site/${plot}/sync`, { method: "POST", body: sent });
      if (answer.ok && !answer.redirected) {
        const page = new DOMParser().parseFromString(await answer.text(), "text/html");
        const told = new Set([...page.querySelectorAll("[data-place][data-found]")].map((each) => each.dataset.place));
        const refused = page.querySelector(".notice.refused");
        if (page.querySelector(".on-site")) {
          keep(ticks().filter((each) => !told.has(each.place) && !list.some((old) => old.place === each.place && refused)));
          for (const place of places()) if (told.has(place.dataset.place)) ticked(place, "scanned");
          if (refused) signal.after(refused);
        }
      }
    } catch { /* No signal: they stay on the telephone. */ }
    sending = false;
    tell();
    following(scanning && scanning.elements.place.value);
  };

  const judge = (text, name) => {
    const place = places().find((each) => each.dataset.place === name);
    const code = normal(text);
    if (!place) return;
    if (!sound(code)) {
      show("unread", "NOT READ", "This is no code of a sticker. Scan it again, or type the code that is printed on it.");
      return;
    }
    if (code === place.dataset.code) {
      const list = [...ticks().filter((each) => each.place !== name), { place: name, code, day: today() }];
      if (!keep(list)) {
        show("unread", "NOT KEPT", "This telephone keeps nothing. Send it with the form.");
        return;
      }
      show("right", "RIGHT", `${place.dataset.title}: ${place.dataset.where}.`);
      ticked(place, "scanned, to be sent");
      tell();
      following();
      send();
      return;
    }
    const own = places().find((each) => each.dataset.code === code);
    show("wrong", "NO: wrong sticker", `Not the one for ${place.dataset.title.toLowerCase()}. ` + (own
      ? `This sticker is for ${own.dataset.title.toLowerCase()}: ${own.dataset.where}. Take it off, and put it there.`
      : "It belongs to no place of this home. Take it off, and keep it apart."));
  };
  const today = () => {
    const now = new Date();
    return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, "0")}-${String(now.getDate()).padStart(2, "0")}`;
  };

  // Typed codes are judged here, so that they are without signal too. A photograph goes to the desk.
  room.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.elements.code || !form.elements.code.value.trim()) return;
    event.preventDefault();
    judge(form.elements.code.value, form.elements.place.value);
  });

  // Another place than the next one of the list.
  room.addEventListener("click", (event) => {
    const link = event.target.closest("[data-choose]");
    if (!link || !scanning) return;
    event.preventDefault();
    following(link.closest("[data-place]").dataset.place);
    scanning.closest("section").scrollIntoView();
    scanning.elements.code.focus();
  });

  const start = async () => {
    const picture = room.querySelector("[data-picture]");
    const detector = new BarcodeDetector({ formats: ["qr_code"] });
    let stream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch {
      show("unread", "NO CAMERA", "The camera may not be used here. Take a photograph, or type the code.");
      return;
    }
    picture.hidden = false;
    picture.srcObject = stream;
    await picture.play();
    const stop = () => { for (const each of stream.getTracks()) each.stop(); picture.hidden = true; };
    const look = async () => {
      if (!stream.active) return;
      const found = await detector.detect(picture).catch(() => []);
      if (found.length === 1) {
        stop();
        judge(found[0].rawValue, scanning.elements.place.value);
        return;
      }
      setTimeout(look, 120);
    };
    look();
  };
  if (scanning && "BarcodeDetector" in window && navigator.mediaDevices) {
    room.querySelector("[data-camera]").hidden = false;
    room.querySelector("[data-start]").addEventListener("click", start);
  }

  for (const each of ticks()) {
    const place = places().find((one) => one.dataset.place === each.place);
    if (place && !("found" in place.dataset)) ticked(place, "scanned, to be sent");
  }
  tell();
  following(scanning && scanning.elements.place.value);
  send();
  addEventListener("online", send);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
  setInterval(send, 30000);
  if ("serviceWorker" in navigator) navigator.serviceWorker.register("/on-site/worker.js", { scope: "/on-site/" }).catch(() => {});
})();
