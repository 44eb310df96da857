// The script of the next take, to read or print.
import { $, fill, h, say } from "./dom.js";
import { get } from "./service.js";
import { clock } from "./words.js";

const id = location.pathname.split("/")[2];
$("back").href = `/reviews/${id}`;
$("print").addEventListener("click", () => print());

try {
  const [script, review] = await Promise.all([get(`/api/reviews/${id}/script`), get(`/api/reviews/${id}/review.json`)]);
  document.title = `Script: ${script.title}`;
  $("title").textContent = `${script.title}: script for the next take`;
  // Most are among the lines already, at their time.
  const said = script.periods.flatMap((p) => p.lines.map((line) => line.text));
  const loose = review.notes.filter((note) => !said.some((text) => text.includes(note.text)));
  fill($("script"),
    h("p", {}, `Length ${clock(script.duration_s)}. Times are the planned clock.`),
    script.periods.map(period),
    script.not_in_plan.length ? h("section", {}, h("h2", {}, "Not in the plan"), h("ul", {}, script.not_in_plan.map((x) => h("li", {}, x)))) : null,
    loose.length ? h("section", {}, h("h2", {}, "Notes"), h("ul", {}, loose.map((n) =>
      h("li", {}, `${clock(n.at_s)} in this take: ${n.tag ? `${n.tag}: ` : ""}${n.text}`)))) : null,
    h("section", {}, h("h2", {}, "Take care"), h("ul", {}, script.cautions.map((x) => h("li", {}, x)))));
} catch (error) {
  say($("told"), error.message, true);
}

function period(p) {
  const asked = [`${clock(p.planned_duration_s)}`, p.planned_reps ? `${p.planned_reps} reps` : ""].filter(Boolean).join(", ");
  const done = p.delivered_duration_s === null ? "left out" : [`last take ${clock(p.delivered_duration_s)}`, p.delivered_reps && p.planned_reps ? `${p.delivered_reps} reps` : ""].filter(Boolean).join(", ");
  return h("section.period", {},
    h("div.when", {}, `${clock(p.planned_start_s)} - ${clock(p.planned_start_s + p.planned_duration_s)}`),
    h("div", {},
      h("h2", {}, p.label),
      h("p.facts", {}, `${asked}; ${done}`, ["as planned", "skipped"].includes(p.status) ? null : h("span.odd", {}, `: ${p.difference}`))),
    h("ul.lines", {}, p.lines.map((line) => h("li", {}, h("span.at", {}, clock(line.at_s)), h(`span.${line.kind}`, {}, line.text)))));
}
