// Change over the repetitions: small charts, those with something to say first.
import { h, refill, svg } from "./dom.js";
import { movementName } from "./words.js";

const [WIDE, HIGH, LEFT, BOTTOM, TOP] = [320, 150, 40, 22, 10];
const SHAPES = ["circle", "square", "diamond", "triangle"];
const COLOURS = ["#0072b2", "#d55e00", "#009e73", "#000000", "#cc79a7", "#e69f00"];
const WORDS = { deg: "degrees", s: "seconds" };

export function drawDrift(place, state, go) {
  const charts = state.review.drift.filter((d) => d.per_rep.some((v) => v !== null));
  const told = charts.filter((d) => d.statement);
  const rest = charts.filter((d) => !d.statement);
  refill(place,
    told.length ? h("div.charts", {}, told.map((d) => chart(d, state, go))) : h("p.soft", {}, "No change beyond what the camera can tell."),
    rest.length ? h("details", {}, h("summary", {}, `Measures without a clear change (${rest.length})`), h("div.charts", {}, rest.map((d) => chart(d, state, go)))) : null);
}

function chart(drift, { review, movements }, go) {
  const rounds = review.periods.filter((p) => p.kind === "work" && p.movement === drift.movement && p.reps.each.length);
  const dots = rounds.flatMap((p, round) => p.reps.each.map((rep) => ({ rep, round })));
  const known = drift.per_rep.filter((v) => v !== null);
  let [low, high] = [Math.min(...known), Math.max(...known)];
  const margin = Math.max((high - low) * 0.15, drift.unit === "deg" ? 3 : 0.05);
  [low, high] = [low - margin, high + margin];
  const x = (i) => LEFT + ((i + 0.5) / drift.per_rep.length) * (WIDE - LEFT - 6);
  const y = (v) => HIGH - BOTTOM - ((v - low) / (high - low)) * (HIGH - BOTTOM - TOP);
  const title = `${movementName(drift.movement, movements)}: ${drift.measure.replaceAll("-", " ")}`;
  const digits = drift.unit === "deg" ? 0 : 2;
  const marks = drift.per_rep.map((value, i) => {
    if (value === null) return null;
    const { rep, round } = dots[i] ?? {};
    return svg("g.dot", { onclick: () => rep && go.loop(rep.start_s, rep.end_s) },
      svg("title", {}, `Repetition ${i + 1}, round ${(round ?? 0) + 1}: ${value} ${drift.unit}`),
      shape(SHAPES[(round ?? 0) % 4], x(i), y(value), COLOURS[(round ?? 0) % 6]));
  });
  let from = 0;
  const means = rounds.map((p, round) => {
    const to = from + p.reps.each.length;
    const mean = drift.per_round[round];
    const line = mean === null || mean === undefined ? null
      : svg("line", { x1: x(from) - 4, x2: x(to - 1) + 4, y1: y(mean), y2: y(mean), stroke: "#1c1b19", "stroke-width": 1.5, "stroke-dasharray": "4 2" });
    const label = svg("text", { x: (x(from) + x(to - 1)) / 2, y: HIGH - 6, "text-anchor": "middle" }, `round ${round + 1}`);
    from = to;
    return [line, label];
  });
  return h("figure.chart", {},
    h("figcaption", {}, h("strong", {}, title), ` (${WORDS[drift.unit] ?? drift.unit})`),
    svg("svg", { viewBox: `0 0 ${WIDE} ${HIGH}`, role: "img", "aria-label": `${title}, ${drift.statement ?? drift.evidence}` },
      svg("line", { x1: LEFT, x2: LEFT, y1: TOP, y2: HIGH - BOTTOM, stroke: "#8f897c" }),
      svg("line", { x1: LEFT, x2: WIDE, y1: HIGH - BOTTOM, y2: HIGH - BOTTOM, stroke: "#8f897c" }),
      svg("text", { x: LEFT - 4, y: TOP + 8, "text-anchor": "end" }, high.toFixed(digits)),
      svg("text", { x: LEFT - 4, y: HIGH - BOTTOM, "text-anchor": "end" }, low.toFixed(digits)),
      means, marks),
    drift.statement ? h("p", {}, drift.statement) : null,
    h("p.evidence", {}, drift.evidence));
}

function shape(kind, x, y, fill) {
  if (kind === "square") return svg("rect", { x: x - 3.5, y: y - 3.5, width: 7, height: 7, fill });
  if (kind === "diamond") return svg("path", { d: `M${x} ${y - 5}l5 5-5 5-5-5z`, fill });
  if (kind === "triangle") return svg("path", { d: `M${x} ${y - 5}l5 9h-10z`, fill });
  return svg("circle", { cx: x, cy: y, r: 4, fill });
}
