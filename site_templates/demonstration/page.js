"use strict";
// Keeps what is filled in on this device, and exports it as one file. It asks no network for anything.

const sheet = document.getElementById("sheet");
const place = `handover demonstration ${sheet.dataset.plot}`;
const fields = [...sheet.querySelectorAll("[name]")];
const signers = [...sheet.querySelectorAll("[data-signer]")];
const strokes = Object.fromEntries(signers.map((each) => [each.dataset.signer, []]));
// What the page says in its language; values stand in a text as %(name)s.
const words = JSON.parse(sheet.dataset.words || "{}");
const say = (ours, values = {}) => (words[ours] || ours).replace(/%\((\w+)\)s/g, (_, name) => values[name]);
const tell = (id, text) => { document.getElementById(id).textContent = text; };

// ---- keeping -----------------------------------------------------------------------------------

function keep() {
  const values = {};
  for (const field of fields) {
    values[field.name] = field.type === "checkbox" ? field.checked : field.value;
  }
  try {
    localStorage.setItem(place, JSON.stringify({ values, strokes }));
    tell("state", progress());
  } catch {
    tell("state", say("This device does not keep the record. Export it before you close the page."));
  }
  tell("left", missing());
}

function restore() {
  let kept = null;
  try {
    kept = JSON.parse(localStorage.getItem(place));
  } catch {
    // What cannot be read is replaced by what is filled in next.
  }
  for (const field of fields) {
    const value = kept?.values?.[field.name];
    if (value === undefined) continue;
    if (field.type === "checkbox") field.checked = value === true;
    else field.value = value;
  }
  for (const signer of Object.keys(strokes)) {
    const lines = kept?.strokes?.[signer];
    if (Array.isArray(lines)) strokes[signer].push(...lines.map(String));
  }
  const day = document.getElementById("day");
  if (!day.value) day.value = today();
}

function today() {
  const now = new Date();
  const two = (number) => String(number).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

const boxes = (list) => fields.filter((field) => field.dataset.list === list);
const unticked = (list) => boxes(list).filter((field) => !field.checked).length;

function progress() {
  const shown = boxes("shown");
  return say("%(shown)s of %(all)s shown. Kept on this device.", { shown: shown.length - unticked("shown"), all: shown.length });
}

function missing() {
  const keys = fields.filter((field) => field.dataset.key);
  const differ = keys.filter((field) => field.value !== field.dataset.count).length;
  const meters = fields.filter((field) => field.dataset.field === "reading" && !field.value).length;
  const signed = signers.filter((each) => given(each.dataset.signer)).length;
  return [
    say("Not shown yet: %(count)s.", { count: unticked("shown") }),
    say("Not tried yet: %(count)s.", { count: unticked("tried") }),
    say("Alarms not sounded: %(count)s.", { count: unticked("alarms") }),
    say("Meters without a reading: %(count)s.", { count: meters }),
    say("Keys not counted, or not as the schedule says: %(count)s.", { count: differ }),
    say("Papers not handed over: %(count)s.", { count: unticked("documents") }),
    say("Signatures: %(count)s.", { count: signed }),
  ].join(" ");
}

// ---- signatures --------------------------------------------------------------------------------

const typed = (signer) => sheet.querySelector(`[data-name="${signer}"]`).value.trim();
const given = (signer) => strokes[signer].length > 0 || typed(signer) !== "";

function draw(canvas, signer) {
  const pen = canvas.getContext("2d");
  pen.clearRect(0, 0, canvas.width, canvas.height);
  pen.lineWidth = 3;
  pen.lineCap = pen.lineJoin = "round";
  for (const line of strokes[signer]) {
    const points = line.split(" ").map((point) => point.split(",").map(Number));
    pen.beginPath();
    pen.moveTo(...points[0]);
    for (const point of points) pen.lineTo(...point);
    pen.stroke();
  }
}

function signing(fieldset) {
  const signer = fieldset.dataset.signer;
  const canvas = fieldset.querySelector("canvas");
  let line = null;
  const point = (event) => {
    const box = canvas.getBoundingClientRect();
    const inside = (share, most) => Math.min(Math.max(Math.round(share * most), 0), most);
    const x = inside((event.clientX - box.left) / box.width, canvas.width);
    const y = inside((event.clientY - box.top) / box.height, canvas.height);
    return `${x},${y}`;
  };
  const move = (event) => {
    const next = point(event);
    if (line === null || line[line.length - 1] === next || line.length >= 2000) return;
    line.push(next);
    strokes[signer][strokes[signer].length - 1] = line.join(" ");
    draw(canvas, signer);
  };
  const end = () => {
    if (line !== null) keep();
    line = null;
  };
  canvas.addEventListener("pointerdown", (event) => {
    if (strokes[signer].length >= 200) return;
    event.preventDefault();
    canvas.setPointerCapture(event.pointerId);
    line = [point(event)];
    strokes[signer].push(line[0]);
    draw(canvas, signer);
  });
  canvas.addEventListener("pointermove", move);
  canvas.addEventListener("pointerup", end);
  canvas.addEventListener("pointercancel", end);
  fieldset.querySelector("[data-clear]").addEventListener("click", () => {
    strokes[signer].length = 0;
    draw(canvas, signer);
    keep();
  });
  draw(canvas, signer);
}

// ---- the record --------------------------------------------------------------------------------

// Half a pair of a character cannot be written as UTF-8, and what cannot be seen is not kept.
const PAIRS = /[\ud800-\udbff][\udc00-\udfff]|[\ud800-\udfff]/g;
const UNSEEN = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u2028\u2029\ufeff\ufffe\uffff]/g;
const whole = (written) =>
  written.replace(PAIRS, (pair) => (pair.length === 2 ? pair : "\ufffd")).replace(UNSEEN, " ");
const text = (field) => whole(field.value.trim());
const ticked = (list, stop) =>
  boxes(list).filter((field) => field.checked && field.dataset.stop === stop).map((field) => field.dataset.id);

function record() {
  return {
    form: sheet.dataset.form,
    version: Number(sheet.dataset.version),
    plot: sheet.dataset.plot,
    sheet: sheet.dataset.mark,
    day: document.getElementById("day").value,
    by: document.getElementById("by").value,
    stops: stops(),
    meters: meters(),
    keys: keys(),
    alarms: ticked("alarms", undefined),
    documents: ticked("documents", undefined),
    outstanding: outstanding(),
    signatures: signatures(),
  };
}

function stops() {
  const notes = fields.filter((field) => field.dataset.note);
  return Object.fromEntries(notes.map((field) => {
    const stop = field.dataset.note;
    return [stop, { shown: ticked("shown", stop), tried: ticked("tried", stop), note: text(field) }];
  }));
}

function meters() {
  const found = {};
  const by = (meter, name) => text(fields.find((each) => each.dataset.meter === meter && each.dataset.field === name));
  for (const field of fields.filter((each) => each.dataset.field === "reading" && text(each) !== "")) {
    const meter = field.dataset.meter;
    const second = by(meter, "second");
    const serial = by(meter, "serial");
    found[meter] = { reading: text(field), day: document.getElementById("day").value };
    if (second !== "") found[meter].further = { second };
    if (serial !== "") found[meter].serial = serial;
  }
  return found;
}

function keys() {
  const counted = fields.filter((field) => field.dataset.key && text(field) !== "");
  return Object.fromEntries(counted.map((field) => [field.dataset.key, Number(text(field))]));
}

function outstanding() {
  const found = {};
  for (const field of fields.filter((each) => each.dataset.open && each.dataset.field === "note")) {
    if (text(field) === "") continue;
    const due = sheet.querySelector(`[data-open="${field.dataset.open}"][data-field="due"]`).value;
    found[field.dataset.open] = due ? { note: text(field), due } : { note: text(field) };
  }
  return found;
}

function signatures() {
  const signed = Object.keys(strokes).filter(given);
  return Object.fromEntries(signed.map((signer) =>
    [signer, { name: whole(typed(signer)), strokes: [...strokes[signer]] }]));
}

// What stands in the way of an export: each is a field to mend, and what is right.
function slips() {
  const found = [];
  for (const id of ["day", "by"]) {
    const field = document.getElementById(id);
    if (!field.value) found.push([field, id === "day" ? say("Fill in the date.") : say("Choose who showed the home.")]);
  }
  for (const field of fields) {
    const figures = field.dataset.field === "reading" || field.dataset.field === "second";
    if (figures && text(field) !== "" && !/^\d+(\.\d+)?$/.test(text(field))) {
      found.push([field, say("Write a reading in digits, with a point where the meter has one.")]);
    }
    if (field.dataset.key && !field.validity.valid) {
      found.push([field, say("Count keys in whole numbers.")]);
    }
  }
  return found;
}

// ---- the digest --------------------------------------------------------------------------------

// Canonical JSON after RFC 8785: keys in order, no spaces. The record holds no fractions.
function canonical(value) {
  if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
  if (value !== null && typeof value === "object") {
    const pairs = Object.keys(value).sort().map((key) => `${JSON.stringify(key)}:${canonical(value[key])}`);
    return `{${pairs.join(",")}}`;
  }
  return JSON.stringify(value);
}

const hexadecimal = (bytes) => [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");

async function digest(value) {
  const bytes = new TextEncoder().encode(canonical(value));
  if (globalThis.crypto?.subtle) {
    return hexadecimal(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)));
  }
  return hexadecimal(sha256(bytes));
}

// SHA-256 after FIPS 180-4, for browsers that keep theirs from pages opened as files.
function sha256(bytes) {
  const primes = [];
  for (let number = 2; primes.length < 64; number += 1) {
    if (primes.every((prime) => number % prime !== 0)) primes.push(number);
  }
  const fraction = (root) => Math.floor((root - Math.floor(root)) * 2 ** 32);
  const rounds = primes.map((prime) => fraction(Math.cbrt(prime)));
  const hash = primes.slice(0, 8).map((prime) => fraction(Math.sqrt(prime)));
  const padded = new Uint8Array(((bytes.length + 8 >> 6) + 1) * 64);
  padded.set(bytes);
  padded[bytes.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(padded.length - 8, Math.floor(bytes.length / 2 ** 29));
  view.setUint32(padded.length - 4, bytes.length << 3);
  for (let start = 0; start < padded.length; start += 64) {
    mix(hash, rounds, Array.from({ length: 16 }, (_, index) => view.getUint32(start + index * 4)));
  }
  return hash.flatMap((word) => [word >>> 24, word >>> 16 & 255, word >>> 8 & 255, word & 255]);
}

function mix(hash, rounds, words) {
  const turn = (word, by) => word >>> by | word << 32 - by;
  let [a, b, c, d, e, f, g, h] = hash;
  for (let index = 0; index < 64; index += 1) {
    if (index >= 16) {
      const [early, late] = [words[index - 15], words[index - 2]];
      const first = turn(early, 7) ^ turn(early, 18) ^ early >>> 3;
      const second = turn(late, 17) ^ turn(late, 19) ^ late >>> 10;
      words[index] = words[index - 16] + first + words[index - 7] + second | 0;
    }
    const high = turn(e, 6) ^ turn(e, 11) ^ turn(e, 25);
    const one = h + high + (e & f ^ ~e & g) + rounds[index] + words[index] | 0;
    const low = turn(a, 2) ^ turn(a, 13) ^ turn(a, 22);
    const two = low + (a & b ^ a & c ^ b & c) | 0;
    [a, b, c, d, e, f, g, h] = [one + two | 0, a, b, c, d + one | 0, e, f, g];
  }
  [a, b, c, d, e, f, g, h].forEach((word, index) => { hash[index] = hash[index] + word | 0; });
}

// ---- the file ----------------------------------------------------------------------------------

async function save() {
  const [slip] = slips();
  if (slip) {
    slip[0].focus();
    tell("told", slip[1]);
    return;
  }
  const unsigned = record();
  const signed = { ...unsigned, digest: await digest(unsigned) };
  const content = `${JSON.stringify(signed, null, 1)}\n`;
  document.getElementById("text").value = content;
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([content], { type: "application/json" }));
  link.download = `${signed.plot.replace("/", "_")}-${signed.day}-demonstration.json`;
  link.click();
  tell("told", say("Saved as %(file)s. Digest: %(digest)s", { file: link.download, digest: signed.digest.slice(0, 8) }));
}

function wipe() {
  localStorage.removeItem(place);
  for (const field of fields) {
    if (field.type === "checkbox") field.checked = false;
    else field.value = field.defaultValue ?? "";
  }
  for (const fieldset of signers) {
    strokes[fieldset.dataset.signer].length = 0;
    draw(fieldset.querySelector("canvas"), fieldset.dataset.signer);
  }
  tell("told", "");
  document.getElementById("text").value = "";
  tell("state", say("The record is wiped from this device."));
  tell("left", missing());
}

restore();
signers.forEach(signing);
sheet.addEventListener("input", keep);
document.getElementById("export").addEventListener("click", save);
document.getElementById("wipe").addEventListener("click", wipe);
keep();
