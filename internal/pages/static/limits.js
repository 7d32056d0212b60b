// The waveforms of the limits page.
import { letters, typing } from "./live.js";
import { Wave, decode } from "./wave.js";

/** @type {Wave | null} */
let wave = null;
let shown = "";

async function load() {
  const canvas = document.getElementById("wave");
  const choice = document.getElementById("wavechoice");
  if (!(canvas instanceof HTMLCanvasElement) || !(choice instanceof HTMLSelectElement)) return;
  const n = choice.value;
  const answer = await fetch(`/limits/wave?n=${n}`);
  if (!answer.ok) return;
  const data = decode(await answer.arrayBuffer());
  const keep = wave && shown === n && wave.canvas === canvas;
  wave = keep && wave ? wave.renew(data) : new Wave(canvas, data, document.getElementById("readout"));
  shown = n;
}

function start() {
  document.getElementById("wavechoice")?.addEventListener("change", load);
  for (const b of document.querySelectorAll("[data-wave]")) {
    b.addEventListener("click", () => wave?.act(/** @type {HTMLElement} */ (b).dataset.wave ?? ""));
  }
  load();
}

document.addEventListener("keydown", (e) => {
  if (!wave || e.ctrlKey || e.metaKey || e.altKey || typing(e.target)) return;
  const at = document.activeElement === wave.canvas;
  const act = { a: "a", b: "b", "+": "in", "-": "out", "−": "out", 0: "all", ArrowLeft: "left", ArrowRight: "right" }[e.key];
  if (!act || ((act === "left" || act === "right" || e.key === "0") && !at)) return;
  if (/[ab]/.test(e.key) && !letters() && !at) return;
  e.preventDefault();
  wave.act(act);
});

document.addEventListener("cupel:fresh", (e) => {
  if (/** @type {CustomEvent} */ (e).detail.id === "sheet") start();
});
start();
