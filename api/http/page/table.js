// Planned, delivered, difference: one row a period.
import { h, refill } from "./dom.js";
import { clock, reps, STATUS, statusClass, unseen } from "./words.js";

export function drawTable(place, state, go) {
  const { review } = state;
  const rows = review.plan ? review.comparison : review.periods.map((p) => ({ planned: null, delivered: p.index, status: "as planned", text: "" }));
  let block = null;
  refill(place, h("table.rounds", {},
    h("thead", {}, h("tr", {}, ["At", "Planned", "Delivered", "Difference"].map((name) => h("th", { scope: "col" }, name)))),
    h("tbody", {}, rows.map((row) => {
      const lines = [];
      const name = row.planned?.block;
      if (name && row.planned.block_index !== block) {
        block = row.planned.block_index;
        lines.push(h("tr.block", {}, h("th", { scope: "rowgroup", colspan: 4 }, name)));
      }
      lines.push(line(row, state, go));
      return lines;
    }))));
}

function line(row, { review, chosen }, go) {
  const period = row.delivered === null ? null : review.periods[row.delivered];
  const here = period && chosen !== null && period.start_s <= chosen && chosen < period.end_s;
  const fine = row.status === "as planned";
  return h(`tr${fine ? ".fine" : ""}${here ? ".chosen" : ""}`, {},
    h("td", {}, period
      ? h("button.time", { type: "button", "data-key": `row-${period.index}`, "aria-label": `Go to ${clock(period.start_s)}`, onclick: () => go.choose(period.start_s + 0.05) }, clock(period.start_s))
      : "-"),
    h("th", { scope: "row" }, row.planned ? planned(row.planned) : "-"),
    h("td", {}, period ? delivered(period, row.planned) : "-"),
    h("td.difference", {}, h("span", {},
      review.plan ? h(`span.sign.${statusClass(row.status)}`, { "aria-hidden": "true" }, STATUS[row.status][0]) : null,
      h("span", {}, review.plan ? row.text || "as planned" : "no plan"))));
}

function planned(p) {
  const name = p.label_in_block;
  const sides = p.left !== null ? ` (${p.left} left, ${p.right} right)` : "";
  return `${name.charAt(0).toUpperCase()}${name.slice(1)}: ${clock(p.duration_s)}${p.reps ? `, ${p.reps} reps${sides}` : ""}`;
}

function delivered(period, asked) {
  const parts = [clock(period.duration_s)];
  // A recovery has no planned repetitions.
  if (!asked || asked.kind === "work" || asked.reps) parts.push(reps(period.reps));
  parts.push(unseen(period));
  if (!asked && period.movement) parts.push(period.label);
  if (period.corrected.length) parts.push("set by hand");
  return parts.filter(Boolean).join(", ");
}
