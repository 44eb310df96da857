// What to say in the next take: the lines that come from this one.
import { h, refill } from "./dom.js";
import { clock } from "./words.js";

const FROM_THIS_TAKE = ["direction", "form", "ease"];
const IF_IT_DIFFERED = ["reps"];

export function drawNext(place, state) {
  const { script, id } = state;
  const lines = script.periods.flatMap((period) =>
    period.lines.filter(({ kind }) => FROM_THIS_TAKE.includes(kind) || (period.status !== "as planned" && IF_IT_DIFFERED.includes(kind))).map((line) => ({ ...line, label: period.label })));
  refill(place,
    lines.length
      ? h("ul.says", {}, lines.map((line) => h("li", {},
        h("span.at", {}, clock(line.at_s)),
        h("span", {}, line.kind === "direction" ? line.text : h("q", {}, line.text), " ", h("span.context", {}, line.label)))))
      : h("p.soft", {}, state.review.plan ? "Nothing to correct: say it as planned." : "Give a plan at the end of this page, and the script for the next take follows."),
    h("a.button.first", { href: `/reviews/${id}/script`, "data-key": "script" }, "The whole script, to print"));
}
