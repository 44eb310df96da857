// The list of reviews, and the form for a new one.
import { $, ask, fill, h, refill, say } from "./dom.js";
import { planEditor } from "./plan_editor.js";
import { follow, get, send, upload } from "./service.js";
import { when, working } from "./words.js";

let followed;
let unfollow = () => {};
let reviews = [];
let clip = null;

const plan = planEditor($("plan"), { onChange: ready });

$("clip").addEventListener("change", () => choose($("clip").files[0]));
$("drop").addEventListener("dragover", (event) => {
  event.preventDefault();
  $("drop").classList.add("over");
});
$("drop").addEventListener("dragleave", () => $("drop").classList.remove("over"));
$("drop").addEventListener("drop", (event) => {
  event.preventDefault();
  $("drop").classList.remove("over");
  for (const file of event.dataTransfer.files) take(file);
});
// A clip dropped outside the field should not open in the browser.
for (const kind of ["dragover", "drop"]) addEventListener(kind, (event) => event.preventDefault());

$("form").addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = new FormData();
  form.append("clip", clip);
  if (plan.part()) form.append("plan", plan.part());
  if ($("captions").files[0]) form.append("captions", $("captions").files[0]);
  if ($("phrases").files[0]) form.append("phrases", $("phrases").files[0]);
  const stopper = new AbortController();
  $("stop").onclick = () => stopper.abort();
  busy(true);
  say($("told"), "");
  try {
    const { id } = await upload(form, sent, stopper.signal);
    location.assign(`/reviews/${id}`);
  } catch (error) {
    say($("told"), error.message, true);
    busy(false);
  }
});

// Clip, plan and captions may be dropped together.
function take(file) {
  if (/\.(ya?ml|csv|xlsx|txt)$/i.test(file.name)) plan.read(file);
  else if (/\.(vtt|srt)$/i.test(file.name)) {
    const list = new DataTransfer();
    list.items.add(file);
    $("captions").files = list.files;
    $("captions").closest("details").open = true;
  } else choose(file);
}

function choose(file) {
  if (!file) return;
  clip = file;
  $("drop").classList.add("full");
  fill($("chosen"), `${file.name} (${Math.max(1, Math.round(file.size / 1e6))} MB)`);
  ready();
}

function ready() {
  $("go").disabled = !clip || !plan.fine();
  $("missing").textContent = !clip ? "Choose a clip first." : plan.fine() ? "" : "The plan has a mistake in it.";
}

function busy(on) {
  $("sending").hidden = !on;
  $("go").disabled = on;
}

function sent(part) {
  $("bar").value = part;
  $("sent").textContent = part < 1 ? `Sending the clip: ${Math.floor(100 * part)} %` : "Looking at the clip ...";
}

async function load() {
  try {
    reviews = await get("/api/reviews");
  } catch (error) {
    say($("list-told"), error.message, true);
    return;
  }
  draw();
  // One stream at a time: a browser keeps few connections open.
  const next = reviews.find((r) => r.state === "running") ?? reviews.findLast((r) => r.state === "queued");
  if (next?.id === followed) return;
  unfollow();
  followed = next?.id;
  if (next) unfollow = follow(next.id, (status) => {
    reviews = reviews.map((review) => (review.id === next.id ? status : review));
    draw();
    if (["done", "failed"].includes(status.state)) load();
  });
}

function draw() {
  refill($("list"), reviews.length ? reviews.map(card) : h("p.soft", {}, "None yet. Review your first clip."));
}

function card(review) {
  const { id, state } = review;
  const open = h("a.button.first", { href: `/reviews/${id}`, "data-key": `open-${id}` }, "Open");
  const other = reviews.find((r) => r.id !== id && r.plan_id && r.plan_id === review.plan_id && r.created_at < review.created_at);
  return h("article.sheet.card", { "aria-label": review.title ?? review.name },
    h("h3", {}, review.title ?? review.name),
    h("p.soft.small", {}, `${review.title ? `${review.name}, ` : ""}${when(review.created_at)}`),
    state === "done" ? h("p.summary", {}, review.summary) : null,
    state === "queued" ? h("p.summary", {}, sign("", "…"), "Waiting for its turn") : null,
    state === "failed" ? h("p.summary", {}, sign("failed", "!"), review.error) : null,
    state === "running" ? h("div", {},
      h("p.summary", {}, sign("running", "▸"), working(review)),
      h("progress", { max: 1, value: review.progress, "aria-label": `Progress of ${review.name}` })) : null,
    h("div.row", {},
      open,
      other ? h("a.button", { href: `/takes?first=${other.id}&second=${id}` }, "Compare with the take before") : null,
      ["queued", "running"].includes(state) ? act(id, "Stop", "POST", `/api/reviews/${id}/cancel`) : null,
      state === "failed" ? act(id, "Start again", "POST", `/api/reviews/${id}/retry`) : null,
      h("button.push", { type: "button", "data-key": `delete-${id}`, onclick: () => remove(review) }, "Delete")));
}

function act(id, words, method, path) {
  return h("button", { type: "button", "data-key": `${words}-${id}`, onclick: async () => {
    try {
      await send(method, path);
      await load();
    } catch (error) {
      say($("list-told"), error.message, true);
    }
  } }, words);
}

async function remove(review) {
  if (!(await ask(`Delete "${review.title ?? review.name}" with its clip, corrections and notes?`, "Delete"))) return;
  try {
    await send("DELETE", `/api/reviews/${review.id}`);
    await load();
  } catch (error) {
    say($("list-told"), error.message, true);
  }
}

const sign = (kind, text) => h(`span.sign${kind ? `.${kind}` : ""}`, { "aria-hidden": "true" }, text);

load();
