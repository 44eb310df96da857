// Corrections by hand to the chosen period, with undo and redo; saved by the service at once.
import { h, refill, say } from "./dom.js";
import { send } from "./service.js";
import { clock, exact, KINDS, many, movementName, seconds, unseen } from "./words.js";

export function corrections(place, state, screen, changed) {
  let redo = [];
  let words = "";
  let wrong = false;
  let busy = false;

  const edits = () => state.review.edits;

  async function keep(list, done) {
    if (busy) return false;
    busy = true;
    say2("Working it out ...");
    try {
      const review = await send("PATCH", `${state.at}/periods`, { edits: list });
      busy = false;
      say2(done);
      await changed(review);
      return true;
    } catch (error) {
      busy = false;
      say2(error.message.replace(/^correction \d+ \([^)]*\): /, ""), true);
      await changed(state.review);
      return false;
    }
  }

  function say2(text, isWrong = false) {
    [words, wrong] = [text, isWrong];
    const told = place.querySelector("#edit-told");
    if (told) say(told, text, isWrong);
  }

  async function add(...more) {
    if (await keep([...edits(), ...more], "Kept. Everything on this page follows from it.")) redo = [];
    draw();
  }

  async function undo() {
    const last = edits().at(-1);
    if (last && (await keep(edits().slice(0, -1), "Taken back."))) redo.push(last);
    draw();
  }

  async function again() {
    const next = redo.at(-1);
    if (next && (await keep([...edits(), next], "Done again."))) redo.pop();
    draw();
  }

  async function original() {
    const all = edits();
    if (await keep([], "This is the analysis as it was. Redo brings the corrections back.")) redo = [...all].reverse();
    draw();
  }

  function draw() {
    const { review, chosen } = state;
    const i = review.periods.findIndex((p) => chosen !== null && p.start_s <= chosen && chosen < p.end_s);
    refill(place,
      i < 0 ? null : panel(review.periods[i], i),
      h("p", { id: "edit-told", role: "status", hidden: true }),
      h("div.row.middle.history", { role: "group", "aria-label": "Corrections" },
        h("button", { type: "button", "data-key": "undo", disabled: !edits().length, onclick: undo }, "↶ Undo"),
        h("button", { type: "button", "data-key": "redo", disabled: !redo.length, onclick: again }, "↷ Redo"),
        h("button", { type: "button", "data-key": "original", disabled: !edits().length, onclick: original }, "Back to the analysis"),
        h("span.soft.small", { id: "edit-count" }, edits().length ? `${many(edits().length, "correction")} by hand` : "No corrections")));
    say2(words, wrong);
  }

  function panel(period, i) {
    const { periods } = state.review;
    const inside = (period.start_s + period.end_s) / 2;
    const alternating = period.reps.left !== null || state.movements.find((m) => m.id === period.movement)?.sides === "alternating";
    const field = (name, label, value, more = {}) =>
      h("label", {}, h("span", {}, label), h("input.number", { "data-key": name, id: `edit-${name}`, value, ...more }));
    const at = (name, edge) => async (event) => {
      const to = seconds(event.target.value);
      if (Number.isNaN(to)) return say2("Give a time as minutes:seconds, such as 1:23.4", true);
      if (Math.abs(to - edge) >= 0.05) await add({ do: "move", at_s: edge, to_s: to });
    };
    const count = () => {
      const value = (name) => place.querySelector(`#edit-${name}`)?.value;
      const [left, right] = [Number(value("left") || 0), Number(value("right") || 0)];
      const sides = alternating && value("left") !== "" && value("right") !== "";
      if (!sides && value("reps") === "") return say2("Give the number of repetitions", true);
      add({ do: "count", at_s: inside, reps: sides ? left + right : Number(value("reps")), ...(sides ? { left, right } : {}) });
    };
    const gapBefore = i > 0 && period.start_s - periods[i - 1].end_s > 0.01;
    return h("div.panel", { id: "chosen", role: "group", "aria-label": "The chosen period" },
      h("h3", {}, `${clock(period.start_s)} to ${clock(period.end_s)}: ${period.movement ? `${movementName(period.movement, state.movements).toLowerCase()}, ` : ""}${period.kind}`),
      h("p.soft.small", {},
        `${period.reps.count ? `${many(period.reps.count, "repetition")} counted, ` : ""}boundaries ${Math.round(100 * period.confidence)} % sure`,
        period.not_assessable ? `; ${unseen(period)}` : "",
        period.corrected.length ? `; set by hand: ${period.corrected.join(", ")}` : ""),
      h("div.row", {},
        h("button", { type: "button", "data-key": "play", onclick: () => (screen.seek(period.start_s), screen.play()) }, "▶ Play from its start"),
        h("button", { type: "button", "data-key": "loop", onclick: () => screen.loop(period.start_s, period.end_s) }, "⟳ Loop it")),
      h("div.row", {},
        h("label", {}, h("span", {}, "What it was"),
          h("select", { "data-key": "kind", id: "edit-kind", onchange: (e) => add({ do: "relabel", at_s: inside, kind: e.target.value }) },
            KINDS.map((kind) => h("option", { value: kind, selected: kind === period.kind }, kind)))),
        h("label", {}, h("span", {}, "Movement"),
          h("select", { "data-key": "movement", id: "edit-movement", onchange: (e) => add({ do: "relabel", at_s: inside, movement: e.target.value }) },
            period.movement && state.movements.some((m) => m.id === period.movement) ? null : h("option", { value: "", selected: true, disabled: true }, period.movement ?? "unknown"),
            state.movements.map((m) => h("option", { value: m.id, selected: m.id === period.movement }, m.name)))),
        field("start", "Starts at", exact(period.start_s), { onchange: at("start", period.start_s), disabled: gapBefore }),
        field("end", "Ends at", exact(period.end_s), { onchange: at("end", period.end_s) })),
      h("div.row", {},
        alternating
          ? [field("left", "Left", period.reps.left ?? "", { type: "number", min: 0 }), field("right", "Right", period.reps.right ?? "", { type: "number", min: 0 })]
          : null,
        field("reps", "Repetitions", period.reps.count ?? "", { type: "number", min: 0 }),
        h("button", { type: "button", "data-key": "count", onclick: count }, "Set the count")),
      h("div.row", {},
        h("button", { type: "button", "data-key": "split", onclick: () => split(period) }, "Split at the playing position"),
        h("button", { type: "button", "data-key": "merge-before", disabled: i === 0, onclick: () => add({ do: "merge", at_s: period.start_s }) }, "Join with the one before"),
        h("button", { type: "button", "data-key": "merge-after", disabled: i === periods.length - 1, onclick: () => add({ do: "merge", at_s: period.end_s }) }, "Join with the next"),
        h("button", { type: "button", "data-key": "delete", onclick: () => add({ do: "delete", at_s: inside }) }, "Not a period: delete")));
  }

  function split(period) {
    const now = screen.time();
    if (now <= period.start_s + 0.5 || now >= period.end_s - 0.5) {
      say2("Move the playing position into this period first, at least half a second from its ends.", true);
      return;
    }
    add({ do: "split", at_s: Math.round(now * 100) / 100 });
  }

  return { draw, add };
}
