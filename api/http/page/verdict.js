// The summary on top: was every round there, and what differed?
import { fill, h } from "./dom.js";
import { clock, many, STATUS, statusClass } from "./words.js";

export function drawVerdict(place, review) {
  const { plan, totals } = review;
  if (!plan) {
    fill(place,
      h("p.headline", {}, `${many(review.periods.length, "period")} found in ${clock(totals.delivered_s)}.`),
      h("p.soft", {}, "No plan was given, so nothing is compared. Give one at the end of this page."));
    return;
  }
  const counts = {};
  for (const { status } of review.comparison) counts[status] = (counts[status] ?? 0) + 1;
  const fine = counts["as planned"] ?? 0;
  const all = plan.periods.length;
  const headline = fine === all && review.comparison.length === all
    ? `${all === 1 ? "The one period" : `All ${all} periods`} as planned.`
    : `${fine} of ${many(all, "period")} as planned.`;
  fill(place,
    h("p.headline", {}, h("strong", {}, headline)),
    h("ul", {},
      Object.keys(STATUS).filter((s) => s !== "as planned" && counts[s]).map((s) =>
        h("li", {}, h(`span.sign.${statusClass(s)}`, { "aria-hidden": "true" }, STATUS[s][0]), `${counts[s]} ${STATUS[s][1]}`)),
      h("li", {}, length("Class", totals.planned_s, totals.delivered_s)),
      h("li", {}, length("Work", totals.planned_work_s, totals.delivered_work_s)),
      h("li", {}, length("Recovery", totals.planned_recovery_s, totals.delivered_recovery_s))));
}

function length(what, planned, delivered) {
  const off = Math.round(delivered - planned);
  const words = off === 0 ? "as planned" : `${Math.abs(off)} s ${off < 0 ? "shorter" : "longer"} than planned`;
  return `${what} ${clock(delivered)}, ${words}`;
}
