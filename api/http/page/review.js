// The review page: one state, and the parts that draw it.
import { corrections } from "./corrections.js";
import { $, fill, h, say } from "./dom.js";
import { drawDrift } from "./drift.js";
import { drawExports } from "./exports.js";
import { looksOf, drawLooks } from "./looks.js";
import { drawNext } from "./next_time.js";
import { notesPart } from "./notes.js";
import { planEditor } from "./plan_editor.js";
import { peoplePart } from "./people.js";
import { player } from "./player.js";
import { drawStills } from "./stills.js";
import { follow, get, send } from "./service.js";
import { drawTable } from "./table.js";
import { timelinePart } from "./timeline.js";
import { drawVerdict } from "./verdict.js";
import { drawWaiting } from "./waiting.js";
import { when } from "./words.js";

const MAX_TAKES = 4;

const id = location.pathname.split("/")[2];
const at = `/api/reviews/${id}`;

// What the parts share. `chosen` is a time inside the chosen period: it stays valid when periods are renumbered.
const state = { id, at, review: null, script: null, movements: [], chosen: null };

async function start() {
  try {
    const status = await get(at);
    head(status);
    if (status.state === "done") await show();
    else wait(status);
  } catch (error) {
    say($("told"), error.message, true);
  }
}

function wait(status) {
  $("waiting").hidden = false;
  drawWaiting($("waiting"), status, start);
  if (["queued", "running"].includes(status.state)) {
    const clip = h("video", { src: `${at}/clip`, controls: true, playsinline: true, preload: "metadata", "aria-label": "The clip", onerror: () => ($("meanwhile").hidden = true) });
    fill($("meanwhile"), clip).hidden = false;
    follow(id, (now) => {
      head(now);
      drawWaiting($("waiting"), now, start);
      if (now.state === "failed") fill($("meanwhile")).hidden = true;
      if (now.state === "done") show();
    });
  }
}

async function show() {
  $("waiting").hidden = true;
  fill($("meanwhile")).hidden = true;
  [state.review, state.script, state.movements] = await Promise.all([
    get(`${at}/review.json`), get(`${at}/script`), get("/api/movements"),
  ]);
  $("review").hidden = false;
  const screen = player($("screen"), state);
  const choose = (time) => {
    state.chosen = time;
    screen.seek(time);
    draw();
  };
  const timeline = timelinePart($("timeline"), $("zoom"), state, screen, choose, (edit) => editing.add(edit));
  const editing = corrections($("panel"), state, screen, changed);
  const notes = notesPart($("notes"), state, screen, changed);
  const go = { choose, loop: screen.loop, seek: screen.seek };

  function draw() {
    const looks = looksOf(state.review);
    $("title").textContent = state.review.plan?.title ?? state.review.clip.name;
    $("looks-title").textContent = state.review.plan ? "What differed" : "Worth a look";
    $("timeline").classList.toggle("alone", !state.review.plan);
    drawVerdict($("verdict"), state.review);
    drawLooks($("looks"), looks, state.review, go);
    timeline.draw();
    editing.draw();
    drawTable($("table"), state, go);
    drawNext($("next"), state);
    drawStills($("stills-section"), $("stills"), state, go);
    drawDrift($("drift"), state, go);
    notes.draw();
  }

  // After every change that the service has saved.
  async function changed(review) {
    state.review = review;
    state.script = await get(`${at}/script`);
    draw();
  }

  drawExports($("exports"), state);
  anotherPlan(changed);
  otherTakes();
  peoplePart($("screen"), state, screen);
  draw();
}

// Other takes of the same plan, to compare with.
async function otherTakes() {
  const all = await get("/api/reviews");
  const mine = all.find((r) => r.id === id);
  const others = all.filter((r) => r.id !== id && r.plan_id && r.plan_id === mine?.plan_id);
  if (!others.length) return;
  fill($("takes"), h("span.soft", {}, "Compare with"), others.slice(0, MAX_TAKES).map((other) => {
    const order = other.created_at < mine.created_at ? [other.id, id] : [id, other.id];
    return h("a", { href: `/takes?first=${order[0]}&second=${order[1]}` }, `${other.name}, ${when(other.created_at)}`);
  }));
}

function head({ name, title }) {
  document.title = `${title ?? name} - takeproof`;
  $("where").textContent = name;
  $("title").textContent = title ?? name;
}

function anotherPlan(changed) {
  const part = $("plan-part");
  let editor = null;
  part.addEventListener("toggle", async () => {
    if (editor || !part.open) return;
    editor = planEditor($("plan"), { file: false, onChange: () => ($("plan-go").disabled = !editor?.fine()) });
    const kept = await get(`${at}/plan`);
    if (kept.drafted) say($("plan-told"), "There is no plan yet: this one is drafted from what was delivered.");
    await editor.set(kept.text ?? "");
  });
  $("plan-go").addEventListener("click", async () => {
    try {
      await changed(await send("PUT", `${at}/plan`, { text: editor.text().trim() ? editor.text() : null }));
      say($("plan-told"), "Done. Everything above follows from this plan now.");
    } catch (error) {
      say($("plan-told"), error.message, true);
    }
  });
}

start();
