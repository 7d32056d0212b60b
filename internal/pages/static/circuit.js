// The circuit: the drawn sheet with pan and zoom, the note of what is touched,
// the course of a trip link by link.
import { refresh, say, typing } from "./live.js";

const NS = "http://www.w3.org/2000/svg";

/** @typedef {{x: number, y: number, w: number, h: number}} Box */

/** The drawing that is shown, kept while parts of the page are replaced. */
const sheet = {
  source: "",
  /** @type {SVGSVGElement | null} */ svg: null,
  /** @type {Box} */ whole: { x: 0, y: 0, w: 1, h: 1 },
  /** @type {Box} */ view: { x: 0, y: 0, w: 1, h: 1 },
};
let picked = new URLSearchParams(location.search).get("at") ?? "";
let net = ""; // along which the arrows go
let step = 0;

const $ = (/** @type {string} */ id) => document.getElementById(id);

// Showing the picture.

async function mount() {
  const place = $("drawing");
  if (!place) return;
  if ($("pending")) compute();
  if (sheet.svg) place.style.aspectRatio = `${sheet.whole.w} / ${sheet.whole.h}`;
  const source = place.dataset.source ?? "";
  if (source !== sheet.source || !sheet.svg) {
    const answer = await fetch(source, { headers: { Accept: "image/svg+xml" } }).catch(() => null);
    if (!answer) return; // a lost line says so itself
    const text = await answer.text();
    if (!answer.ok) {
      place.querySelector(".wait")?.replaceChildren(told(text));
      return;
    }
    const fresh = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
    if (!(fresh instanceof SVGSVGElement)) return;
    take(document.importNode(fresh, true), source, place);
  }
  const now = $("drawing");
  if (now && sheet.svg && sheet.svg.parentNode !== now) now.replaceChildren(sheet.svg);
  widen();
  mark();
}

let computing = "";

/** Has the figures computed that the page lacks, then shows them. */
async function compute() {
  const q = location.search;
  if (computing === q) return;
  computing = q;
  await fetch(`/circuit/compute${q}`).catch(() => null);
  computing = "";
  refresh();
}

/** The sentence of a refusal. @param {string} text */
function told(text) {
  try {
    return JSON.parse(text).error;
  } catch {
    return new DOMParser().parseFromString(text, "text/html").querySelector("h1")?.textContent ?? text;
  }
}

/** @param {SVGSVGElement} svg @param {string} source @param {HTMLElement} place */
function take(svg, source, place) {
  const [x, y, w, h] = (svg.getAttribute("viewBox") ?? "0 0 1 1").split(" ").map(Number);
  const before = sheet.svg && sheet.whole.w === w ? sheet.view : null;
  sheet.whole = { x, y, w, h };
  sheet.view = before ?? sheet.whole;
  place.style.aspectRatio = `${w} / ${h}`;
  sheet.svg = svg;
  sheet.source = source;
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  svg.setAttribute("role", "group");
  svg.setAttribute("aria-roledescription", place.dataset.name ?? "");
  for (const g of svg.querySelectorAll("g.part[data-name], g.pad[data-name]")) {
    g.setAttribute("role", "button");
    g.setAttribute("tabindex", "-1");
    g.setAttribute("aria-label", g.querySelector("title")?.textContent ?? "");
  }
}

/** Gives every part and wire an area that a finger hits. */
function widen() {
  const svg = sheet.svg;
  if (!svg || svg.querySelector(".hit")) return;
  for (const g of svg.querySelectorAll("g.part[data-name], g.pad[data-name]")) {
    const b = /** @type {SVGGElement} */ (g).getBBox();
    const r = document.createElementNS(NS, "rect");
    r.setAttribute("class", "hit");
    for (const [k, v] of Object.entries({ x: b.x - 3, y: b.y - 3, width: b.width + 6, height: b.height + 6, rx: 3 })) r.setAttribute(k, String(v));
    g.querySelector("title")?.after(r);
  }
  for (const p of svg.querySelectorAll("g.net > path.wire")) {
    const wide = /** @type {SVGPathElement} */ (p.cloneNode());
    wide.setAttribute("class", "wide-hit");
    p.parentElement?.querySelector("title")?.after(wide);
  }
  const first = svg.querySelector("g.part[data-name]");
  if (!svg.querySelector('[tabindex="0"]')) first?.setAttribute("tabindex", "0");
  frame(sheet.view);
}

/** @param {string} kind @param {string} name @returns {SVGGElement | null} */
function group(kind, name) {
  return sheet.svg?.querySelector(`g.${kind}[data-name="${CSS.escape(name)}"]`) ?? null;
}

/** @param {string} name */
const partOf = (name) => group("part", name) ?? group("pad", name);

/** Marks what is picked and where the walk is. */
function mark() {
  const svg = sheet.svg;
  if (!svg) return;
  for (const g of svg.querySelectorAll(".picked, .now")) g.classList.remove("picked", "now");
  const part = partOf(picked);
  part?.classList.add("picked");
  group("net", part ? net : picked)?.classList.add("picked");
  if (part) {
    svg.querySelector('[tabindex="0"]')?.setAttribute("tabindex", "-1");
    part.setAttribute("tabindex", "0");
  }
  for (const row of document.querySelectorAll("tr.now")) row.classList.remove("now");
  const row = document.querySelector(`#steps tr[data-step="${step}"]`);
  if (row instanceof HTMLElement) {
    row.classList.add("now");
    (partOf(row.dataset.part ?? "") ?? group("net", row.dataset.net ?? ""))?.classList.add("now");
  }
}

// Pan and zoom: the view is a part of the whole sheet.

/** @param {Box} b */
function frame(b) {
  const svg = sheet.svg;
  if (!svg) return;
  const tall = shape();
  const most = Math.max(sheet.whole.w, sheet.whole.h / tall);
  const w = Math.min(Math.max(b.w, 120), most);
  const h = w * tall;
  const slack = 0.5;
  sheet.view = {
    w, h,
    x: Math.min(Math.max(b.x, sheet.whole.x - w * slack), sheet.whole.x + sheet.whole.w - w * (1 - slack)),
    y: Math.min(Math.max(b.y, sheet.whole.y - h * slack), sheet.whole.y + sheet.whole.h - h * (1 - slack)),
  };
  if (w >= most) sheet.view = { w, h, x: sheet.whole.x - (w - sheet.whole.w) / 2, y: sheet.whole.y - (h - sheet.whole.h) / 2 };
  const v = sheet.view;
  svg.setAttribute("viewBox", `${v.x} ${v.y} ${v.w} ${v.h}`);
  $("drawing")?.classList.toggle("near", w < most);
}

/** Height over width of the place for the drawing. */
function shape() {
  const place = $("drawing");
  return place && place.clientWidth > 0 ? place.clientHeight / place.clientWidth : sheet.whole.h / sheet.whole.w;
}

/** The place on the sheet under a place on the screen. @param {number} x @param {number} y */
function under(x, y) {
  const m = sheet.svg?.getScreenCTM()?.inverse();
  return m ? new DOMPoint(x, y).matrixTransform(m) : new DOMPoint();
}

/** @param {number} by @param {DOMPoint} [about] */
function zoom(by, about) {
  const v = sheet.view;
  const c = about ?? new DOMPoint(v.x + v.w / 2, v.y + v.h / 2);
  frame({ w: v.w * by, h: v.h * by, x: c.x - (c.x - v.x) * by, y: c.y - (c.y - v.y) * by });
}

/** Brings a group into view, near enough to be read. @param {SVGGElement} g */
function bring(g) {
  const b = g.getBBox();
  const v = sheet.view;
  const place = $("drawing")?.clientWidth ?? 800;
  const readable = place / 1.3; // at that width 9 px letters are 11.7 px high
  const inside = b.x > v.x && b.y > v.y && b.x + b.width < v.x + v.w && b.y + b.height < v.y + v.h;
  if (inside && v.w <= readable * 1.6) return;
  const w = Math.min(v.w, Math.max(readable, b.width * 1.2));
  const h = w * shape();
  frame({ w, h, x: b.x + b.width / 2 - w / 2, y: b.y + b.height / 2 - h / 2 });
}

/** Fingers and mice that are down. @type {Map<number, PointerEvent>} */
const down = new Map();
let moved = false;

document.addEventListener("pointerdown", (e) => {
  if (!(e.target instanceof Element) || !e.target.closest("#drawing")) return;
  if (down.size === 0) moved = false;
  down.set(e.pointerId, e);
});

document.addEventListener("pointermove", (e) => {
  const last = down.get(e.pointerId);
  if (!last) return;
  const [dx, dy] = [e.clientX - last.clientX, e.clientY - last.clientY];
  if (!moved && Math.hypot(dx, dy) < 5) return;
  moved = true;
  const before = [...down.values()];
  down.set(e.pointerId, e);
  if (before.length === 2) {
    const now = [...down.values()];
    const [a, b] = [span(before), span(now)];
    if (b > 0) zoom(a / b, under((now[0].clientX + now[1].clientX) / 2, (now[0].clientY + now[1].clientY) / 2));
    return;
  }
  const scale = sheet.view.w / ($("drawing")?.clientWidth ?? 1);
  frame({ ...sheet.view, x: sheet.view.x - dx * scale, y: sheet.view.y - dy * scale });
});

/** @param {PointerEvent[]} two */
const span = (two) => Math.hypot(two[0].clientX - two[1].clientX, two[0].clientY - two[1].clientY);

for (const kind of ["pointerup", "pointercancel"]) {
  document.addEventListener(kind, (e) => down.delete(/** @type {PointerEvent} */ (e).pointerId));
}

document.addEventListener("wheel", (e) => {
  const at = e.target instanceof Element ? e.target.closest("#drawing") : null;
  if (!at || !(e.ctrlKey || e.metaKey || at.contains(document.activeElement))) return;
  e.preventDefault();
  zoom(Math.exp(e.deltaY * (e.deltaMode === 1 ? 0.05 : 0.002)), under(e.clientX, e.clientY));
}, { passive: false });

// Picking.

/** Picks a part, pad or net; an empty name picks nothing. @param {string} name @param {boolean} [look] */
async function pick(name, look = true) {
  picked = name;
  const g = partOf(name) ?? group("net", name);
  if (g && look) bring(g);
  if (!partOf(name)) net = name;
  mark();
  const here = new URL(location.href);
  if (name) here.searchParams.set("at", name);
  else here.searchParams.delete("at");
  history.replaceState(null, "", here);
  if (name) await note(name);
}

/** Shows the note of what is picked; what takes longer fills in. @param {string} name */
async function note(name) {
  const q = new URLSearchParams(location.search);
  q.set("at", name);
  for (const more of [false, true]) {
    if (more) q.set("try", "1");
    const answer = await fetch(`/circuit/note?${q}`).catch(() => null);
    if (!answer || picked !== name) return;
    const place = $("note");
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    place?.replaceChildren(...fresh.body.childNodes);
    if (!place?.querySelector("[data-wait]")) return;
  }
}

document.addEventListener("click", (e) => {
  const at = e.target instanceof Element ? e.target : null;
  if (!at) return;
  const on = at.closest("#drawing [data-name]");
  if (on && !moved) {
    const name = on.getAttribute("data-name") ?? "";
    if (on.matches(".part, .pad")) /** @type {SVGElement} */ (on).focus({ preventScroll: true });
    pick(name, false);
    return;
  }
  const link = at.closest("#parts a, #nets a, #note a[href^='?at=']");
  if (link instanceof HTMLAnchorElement) {
    e.preventDefault();
    pick(new URL(link.href).searchParams.get("at") ?? "");
    $("drawing")?.scrollIntoView({ block: "nearest" });
    return;
  }
  const look = at.closest(".looks a");
  if (look instanceof HTMLAnchorElement && !e.ctrlKey && !e.metaKey) {
    e.preventDefault();
    turn(new URL(look.href).searchParams);
    return;
  }
  const press = { "zoom-in": () => zoom(1 / 1.5), "zoom-out": () => zoom(1.5), "zoom-fit": () => frame(sheet.whole), walk: walk }[at.id];
  press?.();
});

/** Chooses what is shown, without losing the place. @param {URLSearchParams} q */
function turn(q) {
  if (picked) q.set("at", picked);
  step = 0;
  history.replaceState(null, "", `/circuit?${q}`);
  refresh();
}

document.addEventListener("change", (e) => {
  const form = e.target instanceof Element ? e.target.closest("#looks") : null;
  if (!(form instanceof HTMLFormElement)) return;
  const q = new URLSearchParams();
  for (const [k, v] of new FormData(form)) if (v) q.set(k, String(v));
  turn(q);
});

// Keys.

/** The parts of a net from left to right. @param {string} name */
function along(name) {
  const parts = [];
  for (const row of document.querySelectorAll("#parts tr[data-part]")) {
    const r = /** @type {HTMLElement} */ (row);
    const g = (r.dataset.nets ?? "").split(" ").includes(name) ? partOf(r.dataset.part ?? "") : null;
    if (g) parts.push({ name: r.dataset.part ?? "", x: g.getBBox().x });
  }
  return parts.sort((a, b) => a.x - b.x).map((p) => p.name);
}

/** The nets of a part. @param {string} name */
function netsOf(name) {
  const row = document.querySelector(`#parts tr[data-part="${CSS.escape(name)}"]`);
  return (row instanceof HTMLElement ? row.dataset.nets ?? "" : "").split(" ").filter(Boolean);
}

/** The next of a list, around its end. @param {string[]} list @param {string} from @param {number} by */
const next = (list, from, by) => list[(list.indexOf(from) + by + list.length) % list.length] ?? from;

/** Along a net, or on to another net of the part. @param {number} part @param {number} other */
function go(part, other) {
  const here = partOf(picked) ? picked : document.activeElement?.getAttribute("data-name") ?? "";
  if (!here) return;
  const nets = netsOf(here);
  if (!nets.includes(net)) net = nets[0] ?? "";
  if (other) net = next(nets, net, other);
  const to = part ? next(along(net), here, part) : here;
  pick(to).then(() => say(""));
  partOf(to)?.focus({ preventScroll: true });
  const place = $("drawing");
  if (other && place) place.setAttribute("aria-label", net);
}

/** The next link of a trip. */
function walk() {
  const rows = document.querySelectorAll("#steps tr[data-step]");
  if (rows.length === 0) return;
  step = (step % rows.length) + 1;
  mark();
  const row = /** @type {HTMLTableRowElement} */ (rows[step - 1]);
  const g = partOf(row.dataset.part ?? "") ?? group("net", row.dataset.net ?? "");
  if (g) bring(g);
  say([...row.cells].map((c) => c.textContent).join("  "));
}

document.addEventListener("keydown", (e) => {
  if (typing(e.target) || e.ctrlKey || e.metaKey || e.altKey) return;
  const on = e.target instanceof Element && e.target.closest("#drawing") !== null;
  /** @type {Record<string, () => void>} */
  const moves = { ArrowRight: () => go(1, 0), ArrowLeft: () => go(-1, 0), ArrowUp: () => go(0, -1), ArrowDown: () => go(0, 1), "+": () => zoom(1 / 1.5), "-": () => zoom(1.5), 0: () => frame(sheet.whole) };
  const act = on ? moves[e.key] : undefined;
  if (act) {
    e.preventDefault();
    act();
  } else if (e.key === " " && ($("steps") || $("pending")) && !(e.target instanceof HTMLButtonElement)) {
    e.preventDefault();
    walk();
  } else if (e.key === "Enter" && on && e.target instanceof Element) {
    e.preventDefault();
    pick(e.target.getAttribute("data-name") ?? "");
  }
});

document.addEventListener("cupel:escape", () => pick("", false));

document.addEventListener("cupel:fresh", (e) => {
  const part = /** @type {CustomEvent} */ (e).detail;
  if (part.id === "sheet") mount();
  if (part.id === "margin" && picked) note(picked);
});

addEventListener("resize", () => frame(sheet.view));

mount().then(() => {
  const g = picked ? partOf(picked) ?? group("net", picked) : null;
  if (g) bring(g);
  if (picked) note(picked);
});
