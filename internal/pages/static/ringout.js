// The ring-out: one key answers the question, entries are kept in this browser
// until the server has them, photos show where to touch.
import { letters, refresh, say, send, typing } from "./live.js";
import { Ground } from "./photo.js";
import { sound } from "./sound.js";

const $ = (/** @type {string} */ id) => document.getElementById(id);
const field = (/** @type {string} */ id) => /** @type {HTMLInputElement | null} */ ($(id));

/** Nodes that live on while the page around them is replaced. */
const bar = $("answer");
const photos = $("photos");

/** The question as the page shows it. */
function question() {
  const q = $("question");
  const [kind, a, b] = [q?.dataset.kind ?? "none", q?.dataset.a ?? "", (q?.dataset.b ?? "").trim()];
  // The same pads may be asked for again: after another entry that is a new question.
  return { kind, a, b, id: `${q?.dataset.entries} ${kind} ${a} ${b}` };
}

// Entries on their way. One that was not acknowledged is sent again, with the
// moment it was taken: the server knows it by that.

const SHELF = "cupel entries";
/** @typedef {Record<string, string>} Entry */

/** @returns {Entry[]} */
function kept() {
  try {
    return JSON.parse(localStorage.getItem(SHELF) ?? "[]");
  } catch {
    return [];
  }
}

/** @param {Entry[]} entries */
function keep(entries) {
  try {
    localStorage.setItem(SHELF, JSON.stringify(entries));
  } catch {
    // A full or forbidden store: the entry is on its way all the same.
  }
  const line = $("kept");
  if (!line) return;
  line.hidden = entries.length === 0;
  const text = entries.length === 1 ? line.dataset.one : line.dataset.many;
  line.textContent = (text ?? "").replace("{n}", String(entries.length));
}

/** The answers that speak of an entry; others leave it to be sent again. */
const REFUSED = [400, 409, 422];

let sending = false;
let answered = ""; // the question that was answered and not replaced yet

async function flush() {
  if (sending) return;
  sending = true;
  /** @type {number | undefined} */
  let number;
  try {
    for (let all = kept(); all.length > 0; all = kept()) {
      const entry = all[0];
      const answer = await send("/ringout/enter", entry); // a lost line throws
      if (!answer.ok && !REFUSED.includes(answer.status)) {
        say(answer.error ?? ""); // nothing was said of the entry itself
        throw new Error(answer.error);
      }
      keep(kept().filter((e) => e.when !== entry.when));
      if (!answer.ok) {
        refused(entry, answer.error ?? "");
        number = undefined;
        continue;
      }
      number = answer.number;
      sound(answer.more?.clash ? "clash" : "taken");
      const here = new URL(location.href);
      if (here.searchParams.has("a")) {
        here.search = "";
        history.replaceState(null, "", here);
        number = undefined; // what is shown is another question by now
      }
      say("");
    }
    await refresh(number);
  } catch {
    keep(kept());
    setTimeout(flush, 3000);
  } finally {
    sending = false;
  }
}

/** Gives back what was typed, with why it was not taken. @param {Entry} entry @param {string} why */
function refused(entry, why) {
  say(why);
  answered = "";
  bar?.classList.remove("waiting");
  const line = field("entry");
  if (line && line.value === "" && entry.line) line.value = entry.line;
}

/** @param {{result?: string, line?: string}} what */
function enter(what) {
  const q = question();
  const own = what.line !== undefined && /\s/.test(what.line.trim());
  if (!own && (q.kind === "none" || answered === q.id)) return; // answered already: the next one is coming
  if (!own) {
    answered = q.id;
    bar?.classList.add("waiting");
  }
  /** @type {Entry} */
  const entry = { kind: q.kind, a: q.a, b: q.b, when: stamp() };
  if (what.result) entry.result = what.result;
  if (what.line) entry.line = what.line;
  keep([...kept(), entry]);
  flush();
}

let last = 0;
/** This moment, never the same twice. */
function stamp() {
  last = Math.max(Date.now(), last + 1);
  const t = new Date(last - new Date(last).getTimezoneOffset() * 60000);
  return t.toISOString().replace("T", " ").replace("Z", "");
}

/** What stands in the entry line. @param {string} text */
function typed(text) {
  const words = text.trim().replace(/^\//, "").split(/\s+/).filter(Boolean);
  if (words.length === 0) return; // Enter alone does nothing
  const pads = words.filter(isPad).length;
  if (words.length === 1 && pads === 1) return ask(words[0], "");
  if (words.length === 2 && pads === 2) return ask(words[0], words[1]);
  enter({ line: words.join(" ") });
}

/** The names of all pads, in their order. @type {string[]} */
let pads = [];
let padsOf = "";
// It stands outside the parts that are replaced with every question.
const list = document.createElement("datalist");
list.id = "pads-list";
document.body.append(list);

/** Fetches the names of the pads where there are others now. */
async function namePads() {
  const now = $("question")?.dataset.pads ?? "";
  if (now === padsOf) return;
  const answer = await fetch("/ringout/pads", { headers: { Accept: "application/json" } }).catch(() => null);
  if (!answer?.ok) return;
  padsOf = now;
  pads = await answer.json();
  list.replaceChildren(...pads.map((p) => new Option("", p)));
}

/** @param {string} name */
const isPad = (name) => pads.includes(name);

let held = ""; // a pad that was named, against which another is to be

/** Makes two pads the question. @param {string} a @param {string} b */
function ask(a, b) {
  if (b === "") {
    if (held && held !== a) [a, b] = [held, a];
    else {
      held = a;
      const line = field("entry");
      if (line) line.value = `${a} `;
      ground?.ask([a]);
      return;
    }
  }
  held = "";
  history.replaceState(null, "", `/ringout?${new URLSearchParams({ a, b })}`);
  refresh();
}

// Keys.

const foot = () => document.documentElement.dataset.foot === "on";
const HELD = 500; // ms after which a pressed foot switch means open
let pressed = 0;

let acted = false; // the last key was an action and no text

/** One-key entry, while the entry line is empty. @param {KeyboardEvent} e @param {HTMLInputElement} line */
function key(e, line) {
  acted = false;
  if (line.value !== "" || !letters() || e.ctrlKey || e.metaKey || e.altKey || e.isComposing) return;
  if (e.key === "c" && foot()) {
    e.preventDefault();
    acted = true;
    if (!e.repeat && pressed === 0) pressed = performance.now();
    return;
  }
  const act = actions(line)[e.key];
  if (act) {
    e.preventDefault();
    acted = true;
    if (!e.repeat) act();
  } else if (["[", "]", "?", "."].includes(e.key)) {
    e.preventDefault();
    acted = true;
    document.body.dispatchEvent(new KeyboardEvent("keydown", { key: e.key, bubbles: true }));
  }
}

/** What single letters do. @param {HTMLInputElement} line @returns {Record<string, () => void>} */
function actions(line) {
  return {
    c: () => enter({ result: "connected" }),
    o: () => enter({ result: "open" }),
    n: () => $("key-later")?.click(),
    r: () => ground?.ask([question().a, ...question().b.split(" ")]),
    s: () => (line.value = `s ${question().a} `),
    b: () => (line.value = `b ${question().a} `),
    u: () => $("undo")?.click(),
    y: () => $("redo")?.click(),
  };
}

// Screen keyboards tell no keys, only what is about to be written.
document.addEventListener("beforeinput", (e) => {
  const line = e.target;
  if (!(line instanceof HTMLInputElement) || line.id !== "entry") return;
  const act = line.value === "" && letters() && !foot() ? actions(line)[e.data ?? ""] : undefined;
  if (acted || act) e.preventDefault();
  if (!acted && act) act();
  acted = false;
});

document.addEventListener("keydown", (e) => {
  if (e.target instanceof HTMLInputElement && e.target.id === "entry") key(e, e.target);
});

document.addEventListener("keyup", (e) => {
  if (e.key !== "c" || pressed === 0) return;
  const long = performance.now() - pressed >= HELD;
  pressed = 0;
  enter({ result: long ? "open" : "connected" });
});

bar?.addEventListener("submit", (e) => {
  e.preventDefault();
  const line = field("entry");
  if (line) {
    const text = line.value;
    line.value = "";
    typed(text);
  }
  field("entry")?.focus({ preventScroll: true });
});

bar?.addEventListener("click", (e) => {
  const b = e.target instanceof Element ? e.target.closest("button") : null;
  if (b?.id === "key-value") field("entry")?.focus();
  if (b?.id === "key-later") {
    send("/ringout/later", { a: question().a }).then((a) => (a.ok ? refresh() : say(a.error ?? "")), () => {});
  }
  if (b?.name === "result") {
    e.preventDefault();
    enter({ result: b.value });
    if (!matchMedia("(pointer: coarse)").matches) field("entry")?.focus({ preventScroll: true });
  }
});

// Photos.

const canvas = $("ground");
/** @type {Ground | null} */
const ground = canvas instanceof HTMLCanvasElement ? new Ground(canvas, touched) : null;
let version = "";

async function showPhotos() {
  if (!ground || !photos || photos.hidden) return;
  const now = photos.dataset.source ?? "";
  if (now !== version) {
    const answer = await fetch("/ringout/ground", { headers: { Accept: "application/json" } }).catch(() => null);
    if (!answer?.ok) return;
    version = now;
    ground.show(await answer.json());
  }
  const q = question();
  ground.ask([q.a, ...q.b.split(" ")].filter(Boolean));
}

/** What is being placed by touching, empty while nothing is. */
const placing = () => field("place-what")?.value ?? "";

/** @param {import("./photo.js").Spot} spot @param {string} pad */
function touched(spot, pad) {
  const what = placing();
  if (what === "") {
    if (pad) ask(pad, "");
    return;
  }
  const name = field("place-name")?.value.trim() ?? "";
  if (name === "") {
    tell("none");
    field("place-name")?.focus();
    return;
  }
  if (what === "scale" && ground && !ground.first) {
    ground.first = spot;
    tell("second");
    ground.draw();
    return;
  }
  /** @type {Entry} */
  const f = { what, name, side: spot.side, x: spot.x.toFixed(1), y: spot.y.toFixed(1), turn: field("place-turn")?.value ?? "0" };
  if (field("place-both")?.checked) f.both = "yes";
  if (what === "scale" && ground?.first) {
    if (ground.first.side !== spot.side) return tell("scale");
    Object.assign(f, { x: ground.first.x.toFixed(1), y: ground.first.y.toFixed(1), x2: f.x, y2: f.y, length: field("place-length")?.value ?? "" });
    ground.first = null;
  }
  place(f);
}

/** @param {Entry} f */
async function place(f) {
  const answer = await send("/ringout/place", f).catch(() => null);
  if (!answer) return;
  say(answer.ok ? "" : answer.error ?? "");
  if (!answer.ok) return;
  sound("taken");
  await refresh();
  const name = field("place-name");
  if (name && f.what === "part") name.value = document.querySelector("#place-names option")?.getAttribute("value") ?? "";
  if (name && f.what === "pad") name.value = following(f.name);
}

/** The pad after this one in the list. @param {string} pad */
function following(pad) {
  return pads[pads.indexOf(pad) + 1] ?? "";
}

/** @param {string} which */
function tell(which) {
  const line = $("place-say");
  if (line) line.textContent = line.getAttribute(`data-${which}`) ?? "";
}

document.addEventListener("input", (e) => {
  const at = e.target instanceof HTMLElement ? e.target : null;
  if (at?.id === "place-what") {
    const form = $("place");
    if (form) form.dataset.what = placing();
    if (ground) ground.first = null;
    tell(placing() || "none");
    if (placing() === "") tell("");
  }
  if (at?.id === "place-name" && placing() === "scale") {
    const long = document.querySelector(`#place-lengths option[label="${CSS.escape(/** @type {HTMLInputElement} */ (at).value)}"]`);
    const length = field("place-length");
    if (long && length) length.value = long.getAttribute("value") ?? "";
  }
  if (at?.id === "seam" && ground) {
    ground.seam = Number(/** @type {HTMLInputElement} */ (at).value) / 100;
    ground.draw();
  }
});

canvas?.addEventListener("seam", (e) => {
  const seam = field("seam");
  if (seam) seam.value = String(Math.round(100 * /** @type {CustomEvent} */ (e).detail));
});

photos?.addEventListener("click", (e) => {
  const b = e.target instanceof Element ? e.target.closest("button") : null;
  if (!b || !ground) return;
  if (b.id === "near") ground.zoom(1.5);
  if (b.id === "far") ground.zoom(1 / 1.5);
  if (b.id === "whole") ground.whole();
  if (b.id === "glass") {
    ground.glass = !ground.glass;
    b.setAttribute("aria-pressed", String(ground.glass));
    ground.draw();
  }
});

// What is placed goes out by touching the photo, not by Enter in a field.
document.addEventListener(
  "submit",
  (e) => {
    if (e.target instanceof HTMLFormElement && e.target.id === "place") e.preventDefault();
  },
  true,
);

// What changes around the nodes that stay.

/** @type {Record<string, string>} */
let place_ = {};
document.addEventListener("cupel:fresh", (e) => {
  const part = /** @type {CustomEvent} */ (e).detail;
  if (part.id === "sheet") {
    if (question().id !== answered) {
      answered = "";
      bar?.classList.remove("waiting");
    }
    // The first pads came while this page was open: it begins anew with them.
    if (!bar && part.querySelector("#answer")) return location.reload();
    const [newBar, newPhotos] = [part.querySelector("#answer"), part.querySelector("#photos")];
    if (bar && newBar) newBar.replaceWith(bar);
    if (photos && newPhotos) {
      photos.dataset.source = newPhotos.dataset.source;
      photos.hidden = newPhotos.hidden;
      newPhotos.replaceWith(photos);
    }
    namePads();
    showPhotos();
  }
  if (part.id === "margin") {
    for (const [id, value] of Object.entries(place_)) {
      const f = field(id);
      if (f?.type === "checkbox") f.checked = value === "yes";
      else if (f) f.value = value;
    }
    const form = $("place");
    if (form) form.dataset.what = placing();
    if (placing()) tell(ground?.first ? "second" : placing());
  }
});

document.addEventListener("input", (e) => {
  const f = e.target instanceof HTMLElement && e.target.closest("#place") ? /** @type {HTMLInputElement} */ (e.target) : null;
  if (f) place_[f.id] = f.type === "checkbox" ? (f.checked ? "yes" : "") : f.value;
});

document.addEventListener("cupel:line", (e) => {
  if (/** @type {CustomEvent} */ (e).detail) flush();
  else sound("lost");
});

// The line is ready at once where there is a keyboard; on a phone it would bring
// the screen keyboard up.
if (!matchMedia("(pointer: coarse)").matches && !typing(document.activeElement)) field("entry")?.focus({ preventScroll: true });
keep(kept());
if (kept().length > 0) flush();
namePads();
showPhotos();
