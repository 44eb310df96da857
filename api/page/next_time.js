// What to say in the next take: the lines that come from this one.
import { h, refill } from "./dom.js";
import { clock } from "./words.js";

const FROM_THIS_TAKE = ["direction", "form", "ease"];

export function drawNext(place, state) {
  const { script, id } = state;
  const lines = script.periods.flatMap((period) =>
    period.lines.filter((line) => FROM_THIS_TAKE.includes(line.kind)).map((line) => ({ ...line, label: period.label })));
  refill(place,
    lines.length
      ? h("ul.says", {}, lines.map((line) => h("li", {},
        h("span.at", {}, clock(line.at_s)),
        h("span", {}, line.kind === "direction" ? line.text : h("q", {}, line.text), " ", h("span.context", {}, line.label)))))
      : h("p.soft", {}, "Nothing to correct: say it as planned."),
    h("a.button.first", { href: `/reviews/${id}/script`, "data-key": "script" }, "The whole script, to print"));
}
