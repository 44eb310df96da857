// The timeline: planned above delivered, joined where they match; ticks, flags, cues, notes.
import { fill, h, refill, svg } from "./dom.js";
import { dragEdges } from "./edges.js";
import { clock, KINDS, reps, STATUS, statusClass, unseen } from "./words.js";

const NEAREST = 80; // pixels a second
const READABLE = 64; // pixels of a usual period
const FOR_TICKS = 2.5; // fewer, and the ticks of repetitions run together
const STEPS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600];
const LINKS = { "as planned": "#009e73", short: "#e69f00", long: "#e69f00", partial: "#e69f00", swapped: "#cc79a7" };

export function timelinePart(place, zoomPlace, state, screen, choose, edit) {
  let scale = undefined; // pixels a second; null: all of it fits
  const field = h("div.field");
  const head = h("div.playhead", { "aria-hidden": "true" });
  const box = h("div.timeline", { role: "group", "aria-label": "Timeline; left and right arrows move in the clip, up and down go from period to period", id: "lanes" }, field);
  const hint = h("p.soft.small.hint", {},
    "Drag a boundary to correct it, click a period to work on it. Keys here: ",
    h("kbd", {}, "←"), " ", h("kbd", {}, "→"), " a second (", h("kbd", {}, "Shift"), " five), ",
    h("kbd", {}, "↑"), " ", h("kbd", {}, "↓"), " period, ", h("kbd", {}, "Space"), " play, ", h("kbd", {}, "L"), " loop the period, ",
    h("kbd", {}, "+"), " ", h("kbd", {}, "−"), " zoom.");
  fill(place, box, hint);
  fill(zoomPlace,
    h("button", { type: "button", "aria-label": "Zoom out", onclick: () => zoom(1 / 1.6) }, "−"),
    h("button", { type: "button", "aria-label": "Zoom in", onclick: () => zoom(1.6) }, "+"),
    h("button", { type: "button", onclick: () => zoom(null) }, "All"));

  const fit = () => Math.max(box.clientWidth - 2, 50) / length(state.review);
  const perSecond = () => scale ?? fit();

  function zoom(factor) {
    const now = screen.time();
    scale = factor === null ? null : Math.min(NEAREST, Math.max(fit(), perSecond() * factor));
    draw();
    box.scrollLeft = now * perSecond() - box.clientWidth / 2;
  }

  function draw() {
    const { review, chosen } = state;
    if (scale === undefined) scale = comfortable(review, fit());
    const px = perSecond();
    field.style.width = `${Math.floor(length(review) * px)}px`;
    const bars = delivered(review, chosen, px, choose);
    refill(field,
      ruler(review, px, choose),
      h("div.lane.planned", {}, planned(review, px, choose)),
      links(review, px),
      h("div.lane.delivered", {}, bars, dragEdges(review, px, screen, edit)),
      ticks(review, px),
      h("div.lane.marks", {}, marks(review, px, screen, choose)),
      head);
    follow(screen.time());
  }

  function follow(time) {
    const x = time * perSecond();
    head.style.left = `${x}px`;
    if (scale === null || !screen.playing()) return;
    if (x < box.scrollLeft || x > box.scrollLeft + box.clientWidth * 0.9) box.scrollLeft = x - box.clientWidth * 0.1;
  }

  screen.onTime(follow);
  new ResizeObserver(() => scale === null && draw()).observe(box);

  box.addEventListener("keydown", (event) => {
    const periods = state.review.periods;
    const step = event.shiftKey ? 5 : 1;
    const here = periods.findIndex((p) => screen.time() < p.end_s);
    const to = (i) => {
      const period = periods[Math.max(0, Math.min(i, periods.length - 1))];
      choose(period.start_s + 0.05);
      field.querySelector(`[data-key="bar-${period.index}"]`)?.focus();
    };
    const keys = {
      ArrowLeft: () => screen.seek(screen.time() - step),
      ArrowRight: () => screen.seek(screen.time() + step),
      ArrowUp: () => to((here < 0 ? periods.length : here) - 1),
      ArrowDown: () => to(here < 0 ? periods.length - 1 : here + 1),
      " ": () => screen.toggle(),
      l: () => (screen.looping() ? screen.unloop() : periods[here] && screen.loop(periods[here].start_s, periods[here].end_s)),
      "+": () => zoom(1.6),
      "-": () => zoom(1 / 1.6),
    };
    const act = keys[event.key];
    if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    act();
  });

  return { draw };
}

// At first, a usual period is wide enough to read and touch.
function comfortable(review, fit) {
  const lengths = review.periods.map((p) => p.duration_s).sort((a, b) => a - b);
  const usual = lengths[Math.floor(lengths.length / 2)];
  return usual && usual * fit < READABLE ? READABLE / usual : null;
}

const length = (review) => Math.max(review.clip.duration_s, review.plan?.total_s ?? 0, 1);

function ruler(review, px, choose) {
  const step = STEPS.find((s) => s * px >= 56) ?? 900;
  const labels = [];
  for (let t = 0; t <= length(review) - step / 3; t += step) {
    labels.push(svg("line", { x1: t * px + 0.5, x2: t * px + 0.5, y1: 14, y2: 24, stroke: "#8f897c" }), svg("text", { x: t * px + 3, y: 14 }, clock(t)));
  }
  return svg("svg.ruler", {
    "aria-hidden": "true",
    onclick: (event) => choose((event.clientX - event.currentTarget.getBoundingClientRect().left) / px),
  }, labels);
}

function planned(review, px, choose) {
  if (!review.plan) return null;
  const rows = new Map(review.comparison.filter((r) => r.planned).map((r) => [r.planned.index, r]));
  let last = 0;
  return review.plan.periods.map((p) => {
    const row = rows.get(p.index);
    const period = row?.delivered == null ? null : review.periods[row.delivered];
    const goal = period ? period.start_s + 0.05 : Math.max(0, last - 3);
    if (period) last = period.end_s;
    const missing = row?.status === "skipped";
    return h(`button.bar.${missing ? "skipped" : p.kind}${p.duration_s * px < 34 ? ".tiny" : ""}`, {
      type: "button", tabindex: -1, title: p.label, "data-key": `plan-${p.index}`,
      "aria-label": `Planned ${clock(p.start_s)} to ${clock(p.end_s)}: ${p.label}${missing ? ", left out" : ""}`,
      style: { left: `${p.start_s * px}px`, width: `${p.duration_s * px}px` },
      onclick: () => choose(goal),
    }, missing && p.duration_s * px >= 20 ? h("b.sign.skipped", {}, "✗") : null, h("span", {}, p.short_label));
  });
}

function delivered(review, chosen, px, choose) {
  const rows = new Map(review.comparison.filter((r) => r.delivered !== null).map((r) => [r.delivered, r]));
  const at = review.periods.findIndex((p) => chosen !== null && p.start_s <= chosen && chosen < p.end_s);
  return review.periods.map((p, i) => {
    const row = rows.get(p.index);
    const odd = row && row.status !== "as planned";
    const kind = KINDS.includes(p.kind) ? p.kind : "still";
    return h(`button.bar.${kind}${odd ? ".odd" : ""}${p.duration_s * px < 34 ? ".tiny" : ""}${i === at ? ".chosen" : ""}`, {
      type: "button", "data-key": `bar-${p.index}`, tabindex: i === Math.max(at, 0) ? 0 : -1, "aria-pressed": i === at ? "true" : "false",
      title: `${unseen(p) || p.label}${odd ? `: ${row.text}` : ""}`,
      "aria-label": `Delivered ${clock(p.start_s)} to ${clock(p.end_s)}: ${p.label}, ${p.kind}, ${unseen(p) || reps(p.reps) || (p.reps.count === null ? "repetitions not known" : "no repetitions")}${odd ? `, ${row.text}` : ""}`,
      style: { left: `${p.start_s * px}px`, width: `${p.duration_s * px}px` },
      onclick: () => choose(p.start_s + 0.05),
    },
    odd && p.duration_s * px >= 20 ? h(`b.sign.${statusClass(row.status)}`, { "aria-hidden": "true" }, STATUS[row.status][0]) : null,
    h("span", {}, row?.planned?.short_label ?? p.label));
  });
}

// From where it was planned to where it was done: slanted when the class runs early or late.
function links(review, px) {
  return svg("svg.lane.links", { "aria-hidden": "true", width: length(review) * px, height: 26 },
    review.comparison.filter((r) => r.planned && r.delivered !== null).map((r) => {
      const [a, b, p] = [r.planned.start_s, r.planned.end_s, review.periods[r.delivered]];
      const colour = LINKS[r.status] ?? "#5a564e";
      return svg("path", {
        d: `M${a * px + 1} 0L${b * px - 1} 0L${p.end_s * px - 1} 26L${p.start_s * px + 1} 26Z`,
        fill: colour, "fill-opacity": r.status === "as planned" ? 0.14 : 0.55,
      });
    }));
}

function ticks(review, px) {
  if (px < FOR_TICKS) return null;
  const path = review.periods.flatMap((p) => p.reps.each.map((rep) => `M${(rep.peak_s * px).toFixed(1)} 3V17`)).join("");
  return svg("svg.lane.ticks", { "aria-hidden": "true", width: length(review) * px, height: 20 },
    svg("path", { d: path, stroke: "#1c1b19", "stroke-width": Math.min(2, px / 8), fill: "none" }));
}

function marks(review, px, screen, choose) {
  const mark = (kind, time, sign, words, act) => h(`button.mark-at.${kind}`, {
    type: "button", tabindex: -1, title: words, "aria-label": `${clock(time)} ${words}`, style: { left: `${time * px}px` },
    onclick: act ?? (() => choose(time)),
  }, sign);
  return [
    ...review.periods.flatMap((p) => p.reps.each.filter((rep) => rep.back.assessable && rep.back.rounded).map((rep) =>
      mark("flag", rep.peak_s, "⚑", "Repetition worth a look: loop it", () => screen.loop(rep.start_s, rep.end_s)))),
    ...review.cues.map((cue) => mark(`cue.${cue.verdict}`, cue.at_s, { right: "▾", wrong: "✗", unknown: "?" }[cue.verdict],
      `Cue “${cue.text}”, ${cue.verdict}${cue.difference ? `: ${cue.difference}` : ""}`)),
    ...review.notes.map((note) => mark("note", note.at_s, "✎", `Note: ${note.text}`)),
  ];
}
