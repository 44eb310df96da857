// What differed, in order of time: each line goes to its place in the clip.
import { h, refill } from "./dom.js";
import { clock, STATUS, statusClass } from "./words.js";

export function looksOf(review) {
  const found = [];
  let last = 0;
  for (const row of review.comparison) {
    const period = row.delivered === null ? null : review.periods[row.delivered];
    if (row.status !== "as planned") {
      const name = row.planned ? `${row.planned.label}: ` : "";
      found.push({
        start: period?.start_s ?? last, end: period?.end_s ?? last, kind: row.status,
        sign: STATUS[row.status][0], text: name + row.text, missing: !period,
      });
    }
    if (period) last = period.end_s;
  }
  for (const notice of review.notices) {
    if (notice.level === "info") continue;
    found.push({
      start: notice.start_s, end: notice.end_s, kind: "look", text: notice.text,
      sign: notice.level === "warning" ? "!" : "◉", loop: notice.level === "look",
    });
  }
  for (const cue of review.cues) {
    if (cue.verdict === "wrong") {
      found.push({ start: cue.at_s, end: cue.at_s + 3, kind: "look", sign: "❝", text: `You said “${cue.text}”: ${cue.difference}` });
    }
  }
  return found.sort((a, b) => (a.start ?? -1) - (b.start ?? -1));
}

export function drawLooks(place, looks, review, go) {
  const noted = review.notices.filter((n) => n.level === "info");
  refill(place,
    looks.length ? list(looks, go) : h("p.soft", {}, review.plan ? "Nothing beyond the plan's tolerance, and nothing flagged." : "Nothing flagged."),
    noted.length ? h("details.noted", {}, h("summary", {}, `Also noted (${noted.length})`),
      h("ul", {}, noted.map((n) => h("li", {}, n.start_s === null ? "" : `${clock(n.start_s)} `, n.text)))) : null);
}

function list(looks, go) {
  return h("ol", {}, looks.map((look, i) =>
    h("li", {}, h("button", {
      type: "button", "data-key": `look-${i}`, "data-kind": look.kind, disabled: look.start === null || look.start === undefined,
      onclick: () => (look.loop && look.end !== null ? go.loop(look.start, look.end) : go.choose(look.missing ? Math.max(0, look.start - 3) : look.start + 0.05)),
    },
    h(`span.sign.${statusClass(look.kind)}`, { "aria-hidden": "true" }, look.sign),
    h("span.at", {}, look.start === null || look.start === undefined ? "" : clock(look.start)),
    h("span", {}, look.text)))));
}
